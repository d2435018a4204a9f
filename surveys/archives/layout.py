"""What an archive holds: its parts, the kinds of record in the order in which they are put back, and what each field means."""

from typing import Any, Final

from django.db import models

from surveys.models import (
    Attachment,
    Citation,
    Comment,
    Element,
    Evidence,
    Generation,
    Interpretation,
    Layer,
    Measurement,
    Membership,
    Microscope,
    Person,
    Phase,
    Project,
    Question,
    Registration,
    ReviewRequest,
    Ruling,
    Sample,
    Schedule,
    ScheduleIssue,
    ScheduleRow,
    Space,
    Traverse,
)

FORMAT: Final = "project archive"
VERSION: Final = 1
MANIFEST, README, FIELDS, PROJECT, PEOPLE = "manifest.json", "README.txt", "fields.json", "project.json", "people.jsonl"
HISTORY, UPLOADS, OUTPUTS = "history.jsonl", "uploads.jsonl", "outputs.jsonl"

# A record stands after those that it refers to.
KINDS: Final[dict[str, type[models.Model]]] = {
    model._meta.model_name or "": model
    for model in (
        Membership, Phase, Space, Generation, Element, Sample, Layer, Ruling, Evidence, Interpretation, Citation, ReviewRequest,
        Question, Comment, Schedule, ScheduleRow, ScheduleIssue, Microscope, Attachment, Registration, Traverse, Measurement,
    )
}  # fmt: skip
# Records that stay behind, and why.
LEFT_BEHIND: Final = {"invitation": "An invitation is a secret of the installation that gave it out."}
# What the history speaks of besides the kinds above.
TOLD: Final[dict[str, type[models.Model]]] = {**KINDS, "project": Project}
# Of the project's row: what belongs to the installation, or is counted anew.
OF_THE_PLACE: Final = frozenset({"id", "code", "change_sequence"})
# Of a picture: what each installation makes from the file by itself.
MADE_HERE: Final = frozenset({"prepared", "refusal", "shown"})

README_TEXT: Final = """\
A whole project: its records, its history and its files.

manifest.json   format, version, which project, how many changes, and every other part with its size and SHA-256
fields.json     every field of every kind of record: its type, what it refers to, its closed list of words
project.json    the project itself
people.jsonl    the people that the records name, by the name that they sign in with; no passwords, addresses or tokens
records/*.jsonl one record a line, a file for each kind; ids are UUIDs, references are ids, people are sign-in names
history.jsonl   every change ever made, oldest first: who, when, which record, each field from what to what
uploads.jsonl   files that were brought; the file itself is files/ followed by its SHA-256
outputs.jsonl   papers that the program made, if they were asked for
files/*         the files, each named by its SHA-256

Text is UTF-8. Moments are ISO 8601 with their offset, dates are ISO 8601, '' means 'not recorded', null means 'none'.
Left out: invitations, tokens, passwords, how each person arranged the registers, and how far each has read.
"""


def fields_of(model: type[models.Model]) -> list[Any]:
    """The fields of a kind that an archive holds."""
    lefts: dict[type[models.Model], frozenset[str]] = {Project: OF_THE_PLACE, Attachment: MADE_HERE | {"project"}}
    left = lefts.get(model, frozenset({"project"}))
    return [field for field in model._meta.concrete_fields if field.name not in left]


def names_person(field: Any) -> bool:
    """Whether a field refers to a person."""
    return bool(field.is_relation and field.related_model is Person)


def described() -> dict[str, dict[str, dict[str, Any]]]:
    """Every kind with its fields, for who reads an archive without the program."""
    return {name: {field.name: _described(field) for field in fields_of(model)} for name, model in TOLD.items()}


def _described(field: Any) -> dict[str, Any]:
    told: dict[str, Any] = {"type": _type(field)}
    if field.is_relation:
        told["refers_to"] = field.related_model._meta.model_name
    if field.choices:
        told["words"] = [word for word, _ in field.choices]
    if getattr(field, "max_length", None):
        told["most_characters"] = field.max_length
    if field.null:
        told["may_be_null"] = True
    return told


def _type(field: Any) -> str:
    if names_person(field):
        return "sign-in name"
    if field.is_relation or isinstance(field, models.UUIDField):
        return "id"
    kinds = (
        (models.DateTimeField, "moment"),
        (models.DateField, "date"),
        (models.JSONField, "JSON"),
        (models.BooleanField, "true or false"),
        (models.FloatField, "number"),
        (models.IntegerField, "whole number"),
    )
    return next((word for kind, word in kinds if isinstance(field, kind)), "text")

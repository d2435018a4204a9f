"""Writes of finish schedules, of what people add to their rows, and of issues, which never change."""

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from surveys import access, rules
from surveys.errors import Conflict, Fault, Invalid
from surveys.models import Change, Person, Project, Schedule, ScheduleIssue
from surveys.records import states
from surveys.records.computed import InputChanged
from surveys.records.writing import Pen, refuse, writing
from surveys.rules import grounds

# What stands in place of what was computed.
IN_PLACE: Final = ("finish", "munsell", "sheen")
# I and O are left out, for they are read as 1 and 0: common practice on drawings.
LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ"
# A schedule is computed from these; a change to any of them while its files are made means that they are made again.
RESTS_ON: Final = (
    "project", "space", "element", "sample", "layer", "ruling", "generation", "phase", "evidence", "interpretation", "citation", "schedule",
    "schedulerow",
)  # fmt: skip

Rows = list[tuple[Any, dict[str, Any]]]


@dataclass(frozen=True, slots=True)
class Issued:
    """What goes out: the rows as they are, what changed since the last issue, what it rests on, and the files."""

    purpose: str
    issued_on: dt.date
    note: str
    content: Mapping[str, Any]
    changes: Sequence[Mapping[str, Any]]
    basis: Mapping[str, Any]
    files: Sequence[Mapping[str, Any]]


def write(pen: Pen, rows: Rows) -> None:
    """Make schedules, with their numbers, and change them."""
    new = [record for record, _ in rows if record._state.adding]
    pen.number(new)
    pen.create(new)
    fresh = {record.pk for record in new}
    changed = pen.change_many([(record, values) for record, values in rows if record.pk not in fresh])
    _reopen(pen, [record for record, _ in rows if record.pk in changed], "its own terms changed")


def _reopen(pen: Pen, touched: Sequence[Schedule], why: str) -> None:
    """What was agreed and is changed is for comment again."""
    agreed = [schedule for schedule in touched if schedule.state == states.AGREED]
    if agreed:
        states.reopen(pen, {schedule.pk: f"{grounds.AGAIN}: {why}." for schedule in agreed}, agreed)


def transition(actor: Person, project: Project, schedule_id: Any, version: int | None, to: str, reason: str = "") -> Schedule:
    """Move a schedule to another review state, as the table of `states` lets the actor."""
    with writing(actor, project, access.REVIEW, reason=reason) as pen:
        schedule: Schedule = pen.find(Schedule, schedule_id, version)
        states.move(pen, schedule, to, reason)
        return schedule


def write_rows(pen: Pen, rows: Rows) -> None:
    """Add to rows. What a person sets in place of what was computed bears his name, and needs a reason."""
    faults = []
    for place, (record, values) in enumerate(rows):
        would_be = {name: values.get(name, getattr(record, name)) for name in (*IN_PLACE, "override_reason")}
        set_in_place = [name for name in IN_PLACE if would_be[name]]
        if set_in_place and not would_be["override_reason"].strip():
            text = f"Say why the {set_in_place[0]} is set in place of what the evidence says."
            faults.append(Fault("override_reason", "required", text, place))
        if "element" in values and not record._state.adding and values["element"].pk != record.element_id:
            faults.append(Fault("element", "fixed", "A row stays with its element. Remove it and write the other.", place))
        changed = record._state.adding or any(name in values and values[name] != getattr(record, name) for name in would_be)
        if changed:
            values["overridden_by"] = pen.actor if set_in_place else None
    refuse(faults)
    new = [record for record, _ in rows if record._state.adding]
    for record, values in rows:
        if record._state.adding:
            record.overridden_by = values.get("overridden_by")
    pen.create(new)
    fresh = {record.pk for record in new}
    changed = pen.change_many([(record, values) for record, values in rows if record.pk not in fresh])
    touched = {record.schedule.pk: record.schedule for record, _ in rows if record.pk in fresh or record.pk in changed}
    _reopen(pen, list(touched.values()), "a row was changed")


def revision_after(number: int) -> str:
    """The revision letter after so many issues: A, B, … Z, AA."""
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, len(LETTERS))
        letters = LETTERS[rest] + letters
    return letters


def next_revision(schedule: Schedule) -> str:
    """The letter that the next issue of a schedule will bear."""
    return revision_after(ScheduleIssue.objects.filter(schedule=schedule).count())


def issue(
    actor: Person,
    project: Project,
    schedule_id: Any,
    revision: str,
    issued: Issued,
    conclude: Callable[[ScheduleIssue], None] | None = None,
) -> ScheduleIssue:
    """Put an issue on record, as its files say it; InputChanged if the record has moved on since they were made.

    `conclude` is called with it at the end of the act, and stands or falls with it.
    """
    with writing(actor, project, access.ISSUE, reason=f"Issued {issued.purpose}.") as pen:
        schedule = Schedule.objects.filter(project=pen.project, pk=schedule_id).first()
        if schedule is None:
            raise InputChanged("The schedule was removed while its files were made.")
        since = Change.objects.filter(project=pen.project, sequence__gt=issued.basis["sequence"], record_type__in=RESTS_ON)
        if since.exists() or next_revision(schedule) != revision:
            raise InputChanged("The record was changed while the files of this issue were made.")
        if schedule.state == "disputed":
            raise Conflict(f"Schedule {schedule.number} is disputed: {schedule.state_reason} Settle that before it goes out.", code="state")
        record = ScheduleIssue(
            project=pen.project,
            schedule=schedule,
            revision=revision,
            issued_on=issued.issued_on,
            purpose=_purpose(issued.purpose),
            note=issued.note,
            content=issued.content,
            changes=list(issued.changes),
            basis=issued.basis,
            files=list(issued.files),
        )
        pen.create([record])
        if conclude is not None:
            conclude(record)
        return record


def _purpose(purpose: str) -> str:
    words = [word for word, _ in ScheduleIssue._meta.get_field("purpose").choices or ()]
    try:
        return rules.word_from(purpose, words)
    except rules.Refused as refusal:
        raise Invalid(str(refusal), faults=(Fault("purpose", refusal.code, str(refusal)),)) from None

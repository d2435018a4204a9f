"""Interpretations, their citations and their review; and what disciplines say of one space or element, side by side."""

from typing import Any, Final

from rest_framework import serializers

from analysis.core.vocabulary import DISCIPLINES, REVIEW_STATES
from surveys.api.serializers.common import Body, Shown, name_of, shown, values_of
from surveys.api.typed import ID, Text, Typed
from surveys.models import Interpretation
from surveys.models.findings import CITABLE, SUBJECTS

MOST_CITED: Final = 500
LONGEST_NOTE: Final = 400


class CitationShape(serializers.Serializer):
    """A record that an interpretation cites."""

    type = serializers.ChoiceField(CITABLE)
    id = serializers.UUIDField()
    name = serializers.CharField(help_text="What people call it: K-014, K-014/3, E-4, or an interpretation's number.")
    version = serializers.IntegerField(help_text="Its present version.")
    state = serializers.ChoiceField(REVIEW_STATES, allow_null=True, help_text="Of a cited interpretation.")
    note = serializers.CharField(allow_blank=True)


class InterpretationShape(Shown):
    """An interpretation: what it says of what, its review state, and what it cites."""

    author = name_of("created_by", "username")
    subject = serializers.ChoiceField(SUBJECTS)
    subject_name = serializers.CharField(help_text="What people call the record that it is about.")
    within = serializers.UUIDField(allow_null=True, help_text="The space in which that lies; null for a phase.")
    within_number = serializers.CharField(allow_null=True)
    supersedes_number = serializers.IntegerField(source="supersedes.number", allow_null=True)
    state = serializers.ChoiceField(REVIEW_STATES)
    state_by = serializers.CharField(source="state_by.name", allow_null=True)
    citation_count = serializers.IntegerField()
    citations = CitationShape(many=True)

    class Meta:
        model = Interpretation
        fields = shown(
            Interpretation, "number", "author", "subject_name", "within", "within_number", "supersedes_number", "state", "state_by",
            "state_at", "state_reason", "citation_count", "citations",
        )  # fmt: skip


def _citations(**options: Any) -> Typed:
    """What an interpretation cites, all of it."""

    def fits(value: Any) -> bool:
        return isinstance(value, list) and all(
            isinstance(one, dict) and {"type", "id"} <= set(one) <= {"type", "id", "note"} and one["type"] in CITABLE
            and isinstance(one["id"], str) and ID.fullmatch(one["id"]) is not None and isinstance(one.get("note", ""), str)
            for one in value
        )  # fmt: skip

    parts = {
        "type": {"type": "string", "enum": list(CITABLE)},
        "id": {"type": "string", "format": "uuid"},
        "note": {"type": "string", "maxLength": LONGEST_NOTE},
    }
    item = {"type": "object", "properties": parts, "required": ["type", "id"], "additionalProperties": False}
    needs = 'This must be a list of records, each as {"type": "layer", "id": "…"}, with a "note" if there is one.'
    return Typed({"type": "array", "items": item, "maxItems": MOST_CITED}, fits, needs, **options)


class InterpretationValues(values_of(Interpretation, "Interpretation")):  # type: ignore[misc]
    """What it says, and all that it cites from now on; what it cites stays where `citations` is not sent."""

    citations = _citations(required=False)


class TransitionRequest(Body):
    """The state that it is to go to, and why."""

    to = Text(description=f"One of: {', '.join(state for state in REVIEW_STATES if state != 'superseded')}.")
    reason = Text(2_000, required=False)


class ReviewersRequest(Body):
    """Members who are asked to review it, by the names that they sign in with."""

    people = Typed(
        {"type": "array", "items": {"type": "string", "minLength": 1, "maxLength": 150}, "minItems": 1, "maxItems": 100},
        lambda value: isinstance(value, list) and all(isinstance(one, str) and one for one in value),
        "This must be a list of names.",
    )


class ReviewRequestShape(serializers.Serializer):
    """Somebody who was asked to review."""

    id = serializers.UUIDField()
    username = serializers.CharField()
    name = serializers.CharField()
    asked_by = serializers.CharField()
    asked_at = serializers.DateTimeField()
    answered_at = serializers.DateTimeField(allow_null=True)


class ReviewerList(serializers.Serializer):
    """Who was asked."""

    reviews = ReviewRequestShape(many=True)


class OpenMove(serializers.Serializer):
    """A state to which you may move it now."""

    to = serializers.ChoiceField(REVIEW_STATES)
    reason_needed = serializers.BooleanField()


class MadeMove(serializers.Serializer):
    """A move that was made."""

    at = serializers.DateTimeField()
    actor = serializers.CharField()
    to = serializers.ChoiceField(REVIEW_STATES)
    reason = serializers.CharField(allow_blank=True)

    def get_fields(self) -> dict[str, Any]:
        """`from` is a word of the language, so it is put in here."""
        return {**super().get_fields(), "from": serializers.ChoiceField(REVIEW_STATES)}


class ChangedGround(serializers.Serializer):
    """A change of something that it cites."""

    type = serializers.ChoiceField(CITABLE)
    id = serializers.UUIDField()
    name = serializers.CharField()
    changed = serializers.CharField(help_text="The record that changed: the cited one, or a layer of a cited sample.")
    at = serializers.DateTimeField()
    actor = serializers.CharField()
    action = serializers.CharField()
    fields_ = serializers.ListField(child=serializers.CharField())

    def get_fields(self) -> dict[str, Any]:
        """`fields` is a serializer's own attribute, so it is declared under another name."""
        return {name.rstrip("_"): field for name, field in super().get_fields().items()}


class RelatedInterpretation(serializers.Serializer):
    """Another interpretation."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    state = serializers.ChoiceField(REVIEW_STATES)
    statement = serializers.CharField()
    discipline = serializers.ChoiceField(DISCIPLINES)


class ReviewShape(serializers.Serializer):
    """How the review of an interpretation stands, for who asks."""

    version = serializers.IntegerField()
    state = serializers.ChoiceField(REVIEW_STATES)
    may_write = serializers.BooleanField(help_text="Whether you may change what it says.")
    may_ask = serializers.BooleanField(help_text="Whether you may ask others to review it.")
    moves = OpenMove(many=True, help_text="Where you may move it now.")
    made = MadeMove(many=True, help_text="The moves so far, oldest first.")
    reviews = ReviewRequestShape(many=True)
    changed = ChangedGround(many=True, help_text="What changed in what it cites since a person last wrote or moved it.")
    cited_by = RelatedInterpretation(many=True)
    superseded_by = RelatedInterpretation(many=True)

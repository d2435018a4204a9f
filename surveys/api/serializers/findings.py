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


# -- side by side -------------------------------------------------------------------------------------------------------------


class PlaceSpace(serializers.Serializer):
    """The space."""

    id = serializers.UUIDField()
    number = serializers.CharField()
    name = serializers.CharField(allow_blank=True)


class PlaceElement(serializers.Serializer):
    """The element."""

    id = serializers.UUIDField()
    code = serializers.CharField()
    element_class = serializers.CharField()
    position = serializers.CharField(allow_blank=True)


class BoundStep(serializers.Serializer):
    """A step to a bound, and the record that it names."""

    kind = serializers.CharField()
    key = serializers.CharField()
    id = serializers.UUIDField(allow_null=True)
    sentence = serializers.CharField()


class PaintGeneration(serializers.Serializer):
    """What the paint says of one campaign."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    ordinal = serializers.IntegerField()
    label = serializers.CharField(allow_blank=True)  # type: ignore[assignment]
    phase = serializers.CharField(allow_null=True)
    layers = serializers.IntegerField(help_text="How many layers show it here.")
    least_confidence = serializers.FloatField(allow_null=True, help_text="Of the least sure of these placements.")
    earliest = serializers.IntegerField(allow_null=True)
    latest = serializers.IntegerField(allow_null=True)
    earliest_by = BoundStep(many=True)
    latest_by = BoundStep(many=True)


class PaintReading(serializers.Serializer):
    """What an element's own sequence says of its age."""

    element = serializers.CharField()
    element_id = serializers.UUIDField()
    element_class = serializers.CharField()
    space = serializers.CharField()
    first = serializers.IntegerField(allow_null=True)
    conclusion = serializers.CharField()
    certainty = serializers.FloatField(allow_null=True)
    sentence = serializers.CharField()


class SideEvidence(serializers.Serializer):
    """A piece of evidence that bears on the place."""

    id = serializers.UUIDField()
    reference = serializers.CharField()
    discipline = serializers.CharField(allow_blank=True)
    kind = serializers.CharField(allow_blank=True)
    source = serializers.CharField(allow_blank=True)  # type: ignore[assignment]
    statement = serializers.CharField()
    bears_on = serializers.CharField(allow_blank=True)
    target = serializers.CharField(allow_null=True)
    relation = serializers.CharField(allow_blank=True)
    earliest = serializers.IntegerField(allow_null=True)
    latest = serializers.IntegerField(allow_null=True)
    years_as_written = serializers.CharField(allow_blank=True)
    certainty = serializers.CharField(allow_blank=True)


class SideInterpretation(serializers.Serializer):
    """An interpretation that concerns the place."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    discipline = serializers.CharField()
    author = serializers.CharField()
    subject = serializers.CharField()
    subject_name = serializers.CharField()
    statement = serializers.CharField()
    certainty = serializers.CharField(allow_blank=True)
    state = serializers.ChoiceField(REVIEW_STATES)
    state_by = serializers.CharField(allow_null=True)
    state_reason = serializers.CharField(allow_blank=True)
    citation_count = serializers.IntegerField()


class PointRecord(serializers.Serializer):
    """A record on which an agreement or a contradiction rests."""

    type = serializers.CharField()
    id = serializers.UUIDField(allow_null=True)
    name = serializers.CharField()
    discipline = serializers.CharField(allow_blank=True)


class Point(serializers.Serializer):
    """An agreement, or a contradiction, in words."""

    kind = serializers.ChoiceField(["interpretation", "dates", "dispute", "reading"])
    sentence = serializers.CharField()
    records = PointRecord(many=True)


class OpenQuestion(serializers.Serializer):
    """A question that nobody has answered yet."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    asked_by = serializers.CharField()
    to = serializers.CharField()
    discipline = serializers.CharField(allow_blank=True)
    text = serializers.CharField()
    needed_by = serializers.DateField(allow_null=True)
    about_type = serializers.CharField()
    about_id = serializers.UUIDField()
    about_name = serializers.CharField(allow_null=True)


class SideBySideShape(serializers.Serializer):
    """What each discipline says of a space or an element, where they agree and where not, and what is still asked."""

    space = PlaceSpace()
    element = PlaceElement(allow_null=True)
    disciplines = serializers.ListField(child=serializers.CharField(), help_text="Those that say something here.")
    generations = PaintGeneration(many=True)
    readings = PaintReading(many=True)
    documents = SideEvidence(many=True)
    construction = SideEvidence(many=True)
    interpretations = SideInterpretation(many=True)
    agreements = Point(many=True)
    contradictions = Point(many=True)
    questions = OpenQuestion(many=True)

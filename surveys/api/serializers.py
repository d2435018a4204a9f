"""The shapes of answers: which fields a record shows, under which names, and of which types.

The fields of a record are read straight from the database by the columns that `source` names (`surveys.api.collections`), so these
classes are declarations: nothing is computed in them. What may be written, and of which type, follows from `surveys.rules.WRITABLE`.
"""

from typing import Any

from rest_framework import serializers

from analysis.core import coverage, vocabulary
from surveys import rules
from surveys.api.typed import Anything, Id, Text, field_for
from surveys.models import Element, Evidence, Generation, Job, Layer, Membership, Phase, Project, Ruling, Sample, Space, Token, Upload

COMMON = ("id", "version", "created_at", "created_by")


def shown(model: Any, *more: str, without: tuple[str, ...] = ()) -> tuple[str, ...]:
    """The fields of a kind of record: what all have, what a person may set in the order of the model, and more."""
    own = [field.name for field in model._meta.concrete_fields if field.name in rules.WRITABLE[model] and field.name not in without]
    return (*COMMON, *own, *more)


class Shown(serializers.ModelSerializer):
    """What every record shows: its id, its version, when it was made and by whom (by name)."""

    created_by = serializers.CharField(source="created_by.name")

    def get_fields(self) -> dict[str, serializers.Field]:
        """All fields are for reading."""
        fields = super().get_fields()
        for field in fields.values():
            field.read_only = True
            field.required = False
        return fields


def name_of(other: str, attribute: str, *, null: bool = False) -> Any:
    """The human name of a record that is referred to, shown beside its id."""
    return serializers.CharField(source=f"{other}.{attribute}", allow_null=null)


def number_of(other: str, *, null: bool = False) -> Any:
    """The number of a generation or phase that is referred to, shown beside its id."""
    return serializers.IntegerField(source=f"{other}.ordinal", allow_null=null)


class SpaceShape(Shown):
    """A space, with how much was recorded in it."""

    element_count = serializers.IntegerField()
    sample_count = serializers.IntegerField()
    layer_count = serializers.IntegerField()
    generation_count = serializers.IntegerField()

    class Meta:
        model = Space
        fields = shown(
            Space, "element_count", "sample_count", "layer_count", "generation_count", "correlated_at", "correlated_by"
        )  # fmt: skip


class ElementShape(Shown):
    """An element, with the number of its space."""

    space_number = name_of("space", "number")

    class Meta:
        model = Element
        fields = shown(Element, "space_number")


class SampleShape(Shown):
    """A sample, with its element and space."""

    element_code = name_of("element", "code")
    element_class = name_of("element", "element_class")
    space = serializers.UUIDField(source="element.space_id")
    space_number = name_of("element.space", "number")
    layer_count = serializers.IntegerField()

    class Meta:
        model = Sample
        fields = shown(Sample, "element_code", "element_class", "space", "space_number", "layer_count")


class LayerShape(Shown):
    """A layer: what was seen, and what was inferred (generation, placed_by, confidence, runner_up)."""

    name = serializers.CharField(help_text="The sample's number and the layer's position, as in K-014/3.")
    sample_number = name_of("sample", "number")
    element = serializers.UUIDField(source="sample.element_id")
    element_code = name_of("sample.element", "code")
    element_class = name_of("sample.element", "element_class")
    space = serializers.UUIDField(source="sample.element.space_id")
    space_number = name_of("sample.element.space", "number")
    generation_ordinal = number_of("generation", null=True)
    runner_up_ordinal = number_of("runner_up", null=True)

    class Meta:
        model = Layer
        fields = shown(
            Layer, "name", "sample_number", "element", "element_code", "element_class", "space", "space_number", "generation_ordinal",
            "placed_by", "confidence", "runner_up", "runner_up_ordinal", "runner_up_confidence",
        )  # fmt: skip


class RulingShape(Shown):
    """A ruling, with the names of its layers and the number of its generation."""

    first_layer_name = serializers.CharField()
    second_layer_name = serializers.CharField(allow_null=True)
    generation_ordinal = number_of("generation", null=True)
    space = serializers.UUIDField(source="first_layer.sample.element.space_id")
    space_number = name_of("first_layer.sample.element.space", "number")

    class Meta:
        model = Ruling
        fields = shown(Ruling, "first_layer_name", "second_layer_name", "generation_ordinal", "space", "space_number")


class FormerOrdinal(serializers.Serializer):
    """A number that a generation bore before."""

    ordinal = serializers.IntegerField()
    until = serializers.DateTimeField()


class BoundSetter(serializers.Serializer):
    """A record that sets a bound."""

    id = serializers.CharField()
    name = serializers.CharField()


class GenerationShape(Shown):
    """A generation: its number, what people said of it, and the years derived for it with the records that set them."""

    name = serializers.CharField(help_text="The space's number and the ordinal, as in 101/3.")
    space_number = name_of("space", "number")
    phase_ordinal = number_of("phase", null=True)
    phase_label = name_of("phase", "label", null=True)
    layer_count = serializers.IntegerField()
    earlier_ordinals = FormerOrdinal(many=True)

    class Meta:
        model = Generation
        fields = shown(
            Generation, "name", "space_number", "phase_ordinal", "phase_label", "layer_count", "distinctness", "earliest", "latest",
            "earliest_by", "latest_by", "earlier_ordinals",
        )  # fmt: skip


class PhaseShape(Shown):
    """A phase."""

    generation_count = serializers.IntegerField()

    class Meta:
        model = Phase
        fields = shown(Phase, "generation_count")


class EvidenceShape(Shown):
    """A piece of evidence, with the name of what it bears on."""

    phase_ordinal = number_of("phase", null=True)
    space_number = name_of("space", "number", null=True)
    element_code = name_of("element", "code", null=True)
    generation_ordinal = number_of("generation", null=True)

    class Meta:
        model = Evidence
        fields = shown(Evidence, "phase_ordinal", "space_number", "element_code", "generation_ordinal")


class MemberShape(Shown):
    """Who belongs to a project, in which role."""

    person = serializers.IntegerField(source="person_id")
    username = name_of("person", "username")
    name = name_of("person", "name")

    class Meta:
        model = Membership
        fields = shown(Membership, "person", "username", "name", without=("person",))


class UploadShape(serializers.ModelSerializer):
    """A file that was brought."""

    created_by = serializers.CharField(source="created_by.name", read_only=True)

    class Meta:
        model = Upload
        fields = ("id", "created_at", "created_by", "name", "size", "sha256")
        read_only_fields = fields


class ProjectShape(Shown):
    """A project and one's own place in it. Who is contractor sees code, name, place and role of it only."""

    role = serializers.ChoiceField(vocabulary.ROLES)
    discipline = serializers.ChoiceField(vocabulary.DISCIPLINES)
    cursor = serializers.IntegerField(source="change_sequence", help_text="The number of the last change; follow the changes from here.")

    class Meta:
        model = Project
        fields = shown(Project, "role", "discipline", "cursor", "dated_at")


CARD = ("code", "name", "place", "role")


class ProjectCard(serializers.ModelSerializer):
    """What every member sees of a project, a contractor too."""

    role = serializers.ChoiceField(vocabulary.ROLES, read_only=True)

    class Meta:
        model = Project
        fields = CARD
        read_only_fields = CARD


# -- work ---------------------------------------------------------------------------------------------------------------------


class Progress(serializers.Serializer):
    """How far a job is."""

    done = serializers.IntegerField()
    total = serializers.IntegerField()
    now = serializers.CharField(allow_blank=True)


class OutputFile(serializers.Serializer):
    """A file that a job made."""

    name = serializers.CharField()
    size = serializers.IntegerField()
    sha256 = serializers.CharField()
    content_type = serializers.CharField()
    url = serializers.CharField()


class JobShape(serializers.ModelSerializer):
    """A job: what was asked for, how far it is, what came of it."""

    created_by = serializers.CharField(source="created_by.name")
    progress = Progress()
    params = serializers.DictField()
    result = serializers.JSONField()
    files = OutputFile(many=True)

    class Meta:
        model = Job
        fields = (
            "id", "created_at", "created_by", "kind", "params", "state", "progress", "result", "files", "error", "started_at",
            "finished_at", "cancel_asked", "attempt",
        )  # fmt: skip
        read_only_fields = fields


class TokenShape(serializers.ModelSerializer):
    """A token, without its secret."""

    class Meta:
        model = Token
        fields = ("id", "label", "created_at", "last_used_at")
        read_only_fields = fields


class TokenMade(serializers.Serializer):
    """A token just made, with the secret that is shown this once."""

    id = serializers.UUIDField()
    label = serializers.CharField()  # type: ignore[assignment]
    created_at = serializers.DateTimeField()
    last_used_at = serializers.DateTimeField(allow_null=True)
    token = serializers.CharField()


class TokenList(serializers.Serializer):
    """One's own tokens."""

    results = TokenShape(many=True)


class PersonShape(serializers.Serializer):
    """Who is signed in."""

    id = serializers.IntegerField()
    username = serializers.CharField()
    name = serializers.CharField()


class ChangeShape(serializers.Serializer):
    """One line of the history."""

    sequence = serializers.IntegerField()
    at = serializers.DateTimeField()
    actor = serializers.CharField(help_text="The name of who did it.")
    action = serializers.ChoiceField(["created", "changed", "removed", "restored"])
    record_type = serializers.CharField()
    record_id = serializers.CharField()
    record_name = serializers.CharField()
    version = serializers.IntegerField()
    fields_ = serializers.DictField(child=serializers.ListField(), help_text="Each field that changed, from what to what.")
    act = serializers.UUIDField()
    reason = serializers.CharField(allow_blank=True)

    def get_fields(self) -> dict[str, Any]:
        """`fields` is a serializer's own attribute, so it is declared under another name."""
        return {name.rstrip("_"): field for name, field in super().get_fields().items()}


class ChangePage(serializers.Serializer):
    """Changes in the order in which they were made, and where to go on from."""

    changes = ChangeShape(many=True)
    cursor = serializers.IntegerField()
    more = serializers.BooleanField(help_text="Whether there is more to be had at once.")


class Restored(serializers.Serializer):
    """A record that was brought back."""

    type = serializers.CharField()
    collection = serializers.CharField()
    id = serializers.UUIDField()
    name = serializers.CharField()
    version = serializers.IntegerField()


class RestoredList(serializers.Serializer):
    """All that one restoration brought back."""

    restored = Restored(many=True)


# -- requests -----------------------------------------------------------------------------------------------------------------


class Body(serializers.Serializer):
    """What is sent; unknown fields are refused."""


class SignIn(Body):
    """A name and a password."""

    username = Text(150)
    password = Text(4_096)


class TokenLabel(Body):
    """What a token is for."""

    label = Text(80)  # type: ignore[assignment]


class NewMember(Body):
    """Who is let in, as what."""

    username = Text(150)
    role = Text()
    discipline = Text()


class MemberChange(Body):
    """Another role or discipline."""

    role = Text(required=False)
    discipline = Text(required=False)


class Act(Body):
    """The act that removed something: `act` of its lines in the changes."""

    act = Id()


class JobRequest(Body):
    """A kind of job, and its parameters."""

    kind = Text()
    params = Anything(required=False)


class Where(Body):
    """Where in a project one is."""

    where = Text(80)


class Present(serializers.Serializer):
    """Somebody who is here."""

    name = serializers.CharField()
    where = serializers.CharField(allow_blank=True)


class PresentList(serializers.Serializer):
    """Who else is here."""

    present = Present(many=True)


class ColourShape(serializers.Serializer):
    """A colour on a screen; a fault says why there is none."""

    asked = serializers.CharField()
    munsell = serializers.CharField(allow_blank=True, help_text="The notation in its one form; of L*a*b*, the nearest.")
    lab = serializers.ListField(child=serializers.FloatField(), allow_null=True, help_text="D65, 2° observer.")
    srgb = serializers.CharField(allow_null=True)
    in_gamut = serializers.BooleanField(help_text="Whether a screen can show it as it is.")
    fault = serializers.CharField(allow_blank=True)


class ColourList(serializers.Serializer):
    """Each colour asked for, in order."""

    results = ColourShape(many=True)


class UploadRequest(serializers.Serializer):
    """A file."""

    file = serializers.FileField()


def values_of(model: Any, name: str) -> type[Body]:
    """The body that sets the fields of a kind of record."""
    order = [field.name for field in model._meta.concrete_fields if field.name in rules.WRITABLE[model]]
    fields: dict[str, Any] = {field: field_for(model, field) for field in order}
    return type(f"{name}Values", (Body,), {**fields, "__doc__": f"The fields of a {model._meta.verbose_name} that may be set."})


ProjectValues = values_of(Project, "Project")


# -- results ------------------------------------------------------------------------------------------------------------------


class ChartGeneration(serializers.Serializer):
    """A row of a chart."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    ordinal = serializers.IntegerField()
    label = serializers.CharField()  # type: ignore[assignment]
    earliest = serializers.IntegerField(allow_null=True)
    latest = serializers.IntegerField(allow_null=True)
    phase = serializers.CharField(allow_null=True)
    distinctness = serializers.FloatField(allow_null=True)


class ChartSample(serializers.Serializer):
    """A column of a chart."""

    sample = serializers.CharField()
    sample_id = serializers.UUIDField()
    element = serializers.CharField()
    element_id = serializers.UUIDField()
    position = serializers.CharField()
    base_state = serializers.CharField()
    top_state = serializers.CharField()

    def get_fields(self) -> dict[str, Any]:
        """`class` is a word of the language, so it is put in here."""
        return {**super().get_fields(), "class": serializers.CharField()}


class ChartCell(serializers.Serializer):
    """A layer in a chart."""

    layer = serializers.CharField()
    layer_id = serializers.UUIDField()
    sample = serializers.CharField()
    position = serializers.IntegerField()
    kind = serializers.CharField()
    generation = serializers.IntegerField(allow_null=True)
    confidence = serializers.FloatField(allow_null=True)
    runner_up = serializers.IntegerField(allow_null=True)
    runner_up_confidence = serializers.FloatField(allow_null=True)
    munsell = serializers.CharField()
    lab = serializers.ListField(child=serializers.FloatField(), allow_null=True)
    srgb = serializers.CharField(allow_null=True)
    uv_colour = serializers.CharField()
    held = serializers.BooleanField()


class ChartShape(serializers.Serializer):
    """The generation chart of a space. It may hold more than is told here."""

    space = serializers.CharField()
    generations = ChartGeneration(many=True)
    samples = ChartSample(many=True)
    cells = ChartCell(many=True)


class DatedGeneration(serializers.Serializer):
    """The years of one generation."""

    id = serializers.UUIDField(allow_null=True)
    space = serializers.CharField()
    ordinal = serializers.IntegerField()
    earliest = serializers.IntegerField(allow_null=True)
    latest = serializers.IntegerField(allow_null=True)
    earliest_by = serializers.ListField()
    latest_by = serializers.ListField()
    distributions = serializers.ListField()
    conflicts = serializers.ListField()


class DatingShape(serializers.Serializer):
    """Bounds, distributions and conflicts. It may hold more than is told here."""

    include_tentative = serializers.BooleanField()
    generations = DatedGeneration(many=True)
    conflicts = serializers.ListField(child=serializers.DictField())
    current = serializers.BooleanField()


class CoverageSpace(serializers.Serializer):
    """How the correlation of a space stands."""

    id = serializers.UUIDField()
    number = serializers.CharField()
    name = serializers.CharField(allow_blank=True)
    correlated_at = serializers.DateTimeField(allow_null=True)
    current = serializers.BooleanField(help_text="Whether nothing that the correlation read has changed since.")


def _names(text: str) -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField(), help_text=text)


class CoverageCell(serializers.Serializer):
    """One element class in one space. Samples set aside count for nothing."""

    space = serializers.CharField()
    element_class = serializers.CharField()
    elements = serializers.IntegerField()
    planned = _names("Numbers of samples that are planned and not taken.")
    sampled = _names("Numbers of samples taken.")
    mounted = _names("Numbers of samples mounted.")
    visible = _names("Numbers of samples examined in visible light.")
    uv = _names("Numbers of samples examined under UV.")
    layers = serializers.IntegerField()
    placed = serializers.IntegerField(help_text="How many of the layers have a generation.")
    generations = _names("Names of the generations that the layers belong to.")
    dated = _names("Those of them that records bound on both sides.")


class CoverageGap(serializers.Serializer):
    """Something missing."""

    kind = serializers.ChoiceField(coverage.KINDS)
    space = serializers.CharField(allow_blank=True)
    element_class = serializers.CharField(allow_blank=True)
    names = _names("The samples or generations at issue.")
    gain = serializers.FloatField(help_text="About how many layers would come to be known, or known better.")
    sentence = serializers.CharField()
    reason = serializers.CharField()


class CoverageShape(serializers.Serializer):
    """How far the study has come, and what would add most."""

    spaces = CoverageSpace(many=True)
    cells = CoverageCell(many=True)
    missing = CoverageGap(many=True)
    conflicts = serializers.ListField(child=serializers.DictField())
    dating_current = serializers.BooleanField()

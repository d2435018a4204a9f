"""The records of the registers."""

from rest_framework import serializers

from surveys.api.serializers.common import Shown, name_of, number_of, shown
from surveys.models import Element, Evidence, Generation, Layer, Phase, Ruling, Sample, Space


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

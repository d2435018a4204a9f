"""What was computed: colours, charts, years, coverage."""

from typing import Any

from rest_framework import serializers

from analysis.core import coverage


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
    interpreted = _names("Codes of the elements on which an interpretation bears that is not superseded.")
    agreed = _names("Codes of those of them on which an agreed one bears.")


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

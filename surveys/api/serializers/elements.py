"""The shapes of what follows for single elements: readings, and what they showed as of a year."""

from typing import Any

from rest_framework import serializers

from analysis.core import as_of, dating, readings


class NamedSample(serializers.Serializer):
    """A sample."""

    number = serializers.CharField()
    id = serializers.UUIDField()


class CitedLayer(serializers.Serializer):
    """A layer that a finish rests on."""

    layer = serializers.CharField()
    id = serializers.UUIDField()


def _ordinals(text: str) -> serializers.ListField:
    return serializers.ListField(child=serializers.IntegerField(), help_text=text)


def _sentences(text: str) -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField(), help_text=text)


class NeighboursShape(serializers.Serializer):
    """How many generations the other elements of the space carry."""

    elements = serializers.IntegerField()
    fewest = serializers.IntegerField()
    median = serializers.IntegerField()
    most = serializers.IntegerField()
    earlier = serializers.IntegerField(help_text="How many of them carry an older generation than it.")


class HistoryChance(serializers.Serializer):
    """A history and its probability."""

    history = serializers.ChoiceField(readings.HISTORIES)
    probability = serializers.FloatField()


class ElementPlace(serializers.Serializer):
    """An element and where it is."""

    element = serializers.CharField()
    element_id = serializers.UUIDField()
    element_class = serializers.CharField()
    position = serializers.CharField(allow_blank=True)
    space = serializers.CharField()
    space_id = serializers.UUIDField()
    space_name = serializers.CharField(allow_blank=True)


class ReadingShape(ElementPlace):
    """What one element carries, and what follows."""

    first = serializers.IntegerField(allow_null=True, help_text="The first generation (ordinal) that it carries.")
    last = serializers.IntegerField(allow_null=True)
    carried = _ordinals("The generations that it carries.")
    could = _ordinals("Those that it could carry, as far as its samples can show.")
    missing_before = _ordinals("Those that it could and does not carry, before its first.")
    missing_between = _ordinals("The same, between its first and its last.")
    missing_after = _ordinals("The same, after its last.")
    foreign = _ordinals("Its lowest, where no other element of the space shows them.")
    neighbours = NeighboursShape()
    conclusion = serializers.ChoiceField(readings.CONCLUSIONS)
    certainty = serializers.FloatField(allow_null=True, help_text="Probability of the conclusion; null where nothing was weighed.")
    chances = HistoryChance(many=True)
    because = _sentences("What it rests on.")
    samples = NamedSample(many=True)
    sentence = serializers.CharField()


class ReadingsShape(serializers.Serializer):
    """Readings of elements."""

    space = serializers.CharField(allow_null=True)
    element_class = serializers.CharField(allow_null=True)
    elements = ReadingShape(many=True)


class FinishColour(serializers.Serializer):
    """One of the readings of a finish: that which lies nearest to all others, never an average."""

    layer = serializers.CharField(allow_blank=True)
    munsell = serializers.CharField(allow_blank=True)
    nearest = serializers.BooleanField(help_text="Whether the notation is the nearest to a measurement.")
    lab = serializers.ListField(child=serializers.FloatField(), allow_null=True, help_text="D65, 2° observer.")
    srgb = serializers.CharField(allow_null=True, help_text="For orientation; never a paint match.")
    in_gamut = serializers.BooleanField()
    spread = serializers.FloatField(help_text="ΔE00 to the reading furthest from it.")
    readings = serializers.IntegerField()
    named = serializers.CharField(allow_blank=True)
    first_colour = serializers.CharField(allow_blank=True, help_text="As first applied, if somebody reasoned it.")


class FinishLayerShape(serializers.Serializer):
    """The layers of one kind in a finish."""

    kind = serializers.CharField()
    coats = serializers.IntegerField(help_text="Most in any one sample.")
    layers = _sentences("Names of the layers.")
    samples = _sentences("Numbers of the samples that show any.")
    colour = FinishColour(allow_null=True)


class FinishShape(serializers.Serializer):
    """What one campaign left on one element that was meant to be seen."""

    technique = serializers.CharField(allow_blank=True)
    recorded_technique = serializers.CharField(allow_blank=True, help_text="Of the campaign as a whole.")
    layers = FinishLayerShape(many=True, help_text="Lowest first.")
    leaf = serializers.CharField(allow_blank=True)
    sheen = serializers.CharField(allow_blank=True)
    colour = FinishColour(allow_null=True)
    confidence = serializers.FloatField(allow_null=True, help_text="Mean probability that the cited layers belong to the campaign.")
    samples = NamedSample(many=True)
    cited = CitedLayer(many=True)
    doubts = _sentences("What weakens it.")


class CandidateShape(serializers.Serializer):
    """A generation that may have been in force; without one: nothing that is recorded had been painted yet."""

    generation = serializers.IntegerField(allow_null=True)
    generation_id = serializers.UUIDField(allow_null=True)
    earliest = serializers.IntegerField(allow_null=True)
    latest = serializers.IntegerField(allow_null=True)
    probability = serializers.FloatField(allow_null=True, help_text="Null where dates do not say.")
    finish = FinishShape(allow_null=True)

    def get_fields(self) -> dict[str, Any]:
        """`label` is a word of the framework, so it is put in here."""
        return {**super().get_fields(), "label": serializers.CharField(allow_blank=True)}


class ElementAsOfShape(ElementPlace):
    """What one element showed."""

    substrate = serializers.CharField(allow_blank=True)
    state = serializers.ChoiceField([as_of.FOUND, as_of.NO_EVIDENCE])
    certainty = serializers.CharField(help_text="In words.")
    in_force = CandidateShape(allow_null=True)
    alternatives = CandidateShape(many=True)
    samples = NamedSample(many=True)
    doubts = _sentences("What weakens the answer.")
    sentence = serializers.CharField()


class SpaceMethod(serializers.Serializer):
    """How the years of a space were reckoned."""

    space = serializers.CharField()
    sentence = serializers.CharField()


class AsOfShape(serializers.Serializer):
    """What elements showed at the end of a year, or of a phase."""

    year = serializers.IntegerField(allow_null=True)
    phase = serializers.IntegerField(allow_null=True)
    when = serializers.CharField()
    space = serializers.CharField(allow_null=True)
    prior = serializers.ChoiceField(dating.PRIORS)
    include_tentative = serializers.BooleanField()
    elements = ElementAsOfShape(many=True)
    spaces = SpaceMethod(many=True)
    cautions = _sentences("What belongs on any sheet that shows this.")
    current = serializers.BooleanField(help_text="Whether the years stored in the record are those reckoned here.")

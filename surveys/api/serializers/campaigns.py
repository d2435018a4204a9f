"""The shape of what is offered across spaces."""

from typing import Any

from rest_framework import serializers


class OfferedGeneration(serializers.Serializer):
    """A generation that may be of a campaign."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    name = serializers.CharField()
    space = serializers.CharField()
    ordinal = serializers.IntegerField()
    earliest = serializers.IntegerField(allow_null=True)
    latest = serializers.IntegerField(allow_null=True)
    phase = serializers.CharField(allow_null=True)
    phase_id = serializers.UUIDField(allow_null=True)

    def get_fields(self) -> dict[str, Any]:
        """`label` is an attribute of every serializer, so it is put in here."""
        return {**super().get_fields(), "label": serializers.CharField(allow_blank=True)}


class OfferedPair(serializers.Serializer):
    """Two generations, and what they share."""

    first = serializers.CharField()
    second = serializers.CharField()
    chance = serializers.FloatField(help_text="Probability that they are one campaign.")
    reasons = serializers.ListField(child=serializers.CharField())


class OfferedCampaign(serializers.Serializer):
    """Generations of different spaces that may be one campaign."""

    generations = OfferedGeneration(many=True)
    chance = serializers.FloatField(help_text="Of the weakest pair that holds it together.")
    earliest = serializers.IntegerField(allow_null=True, help_text="The years that the bounds of all leave.")
    latest = serializers.IntegerField(allow_null=True)
    phase_id = serializers.UUIDField(allow_null=True, help_text="The phase that some of them are in already.")
    pairs = OfferedPair(many=True)


class CampaignsShape(serializers.Serializer):
    """What is offered for a phase; never imposed."""

    space = serializers.CharField(allow_null=True, help_text="The space that was asked for.")
    spaces = serializers.ListField(child=serializers.CharField(), help_text="Those that can be compared.")
    campaigns = OfferedCampaign(many=True)
    sentence = serializers.CharField()

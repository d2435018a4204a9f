"""The shapes of explanations."""

from rest_framework import serializers

from analysis.core.looking import KINDS
from analysis.core.reasons import TERMS


class ReasonTerm(serializers.Serializer):
    """One kind of reason."""

    name = serializers.ChoiceField(TERMS)
    decibans = serializers.FloatField(help_text="Above 0 it speaks for the layer's generation. The terms add up to the total.")
    odds = serializers.CharField(help_text="The same as odds, whichever way they go.")
    own = serializers.CharField(allow_blank=True, help_text="What was seen on the layer.")
    here = serializers.CharField(allow_blank=True, help_text="What was seen on its mates in its generation.")
    there = serializers.CharField(allow_blank=True, help_text="What was seen in the other generation.")


class WhyShape(serializers.Serializer):
    """Why a layer stands in one generation and not in another: the logarithm of the odds, taken apart."""

    layer = serializers.CharField()
    generation = serializers.IntegerField(allow_null=True)
    confidence = serializers.FloatField(allow_null=True, help_text="As the record holds it.")
    against = serializers.IntegerField(allow_null=True)
    probability = serializers.FloatField(allow_null=True, help_text="Of the generation, weighed anew.")
    against_probability = serializers.FloatField(allow_null=True)
    decided_by_ruling = serializers.BooleanField()
    unit = serializers.ChoiceField(["deciban"])
    total = serializers.FloatField(allow_null=True)
    odds = serializers.CharField(allow_blank=True)
    sentence = serializers.CharField()
    terms = ReasonTerm(many=True)
    notes = serializers.ListField(child=serializers.CharField())


class Suggestion(serializers.Serializer):
    """One thing that would settle something."""

    kind = serializers.ChoiceField(KINDS)
    layers = serializers.ListField(child=serializers.CharField(), help_text="The two to rule on, or those to be examined.")
    layer_ids = serializers.ListField(child=serializers.UUIDField())
    generations = serializers.ListField(child=serializers.IntegerField())
    gain = serializers.FloatField(help_text="Expected fall of the doubt, in bits.")
    chance = serializers.FloatField(
        help_text="As things stand: that they are of one campaign; of what is examined, that it stands where likeliest."
    )
    sentence = serializers.CharField()


class LookingShape(serializers.Serializer):
    """Where to look next in a space: the expected fall of the entropy of 'the same generation' over pairs of layers."""

    space = serializers.CharField()
    unit = serializers.ChoiceField(["bit"])
    doubt = serializers.FloatField(help_text="The whole entropy, over all pairs of layers of different samples.")
    current = serializers.BooleanField(help_text="Whether nothing that the correlation read has changed since.")
    sentence = serializers.CharField()
    rulings = Suggestion(many=True)
    examinations = Suggestion(many=True)

"""The shapes of explanations."""

from rest_framework import serializers

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

"""The history of a record in words, and what was removed."""

from typing import Any

from rest_framework import serializers

from surveys.api.serializers.common import Body
from surveys.api.typed import Typed, Whole

MOST_FIELDS = 100
HIGHEST = 2_147_483_647


class ChangedField(serializers.Serializer):
    """A field that changed, in words; '' is blank."""

    name = serializers.CharField()
    label_ = serializers.CharField(help_text="The word for the field.")
    before = serializers.CharField(allow_blank=True)
    after = serializers.CharField(allow_blank=True)
    restorable = serializers.BooleanField(help_text="Whether you may put back what it was before.")

    def get_fields(self) -> dict[str, Any]:
        """`label` is a serializer's own attribute, so it is declared under another name."""
        return {name.rstrip("_"): field for name, field in super().get_fields().items()}


class Beside(serializers.Serializer):
    """Another record that the same act touched."""

    type = serializers.CharField()
    id = serializers.UUIDField()
    name = serializers.CharField()
    action = serializers.ChoiceField(["created", "changed", "removed", "restored"])


class ToldChange(serializers.Serializer):
    """One line of a record's history, in words."""

    sequence = serializers.IntegerField()
    at = serializers.DateTimeField()
    actor = serializers.CharField()
    action = serializers.ChoiceField(["created", "changed", "removed", "restored"])
    version = serializers.IntegerField()
    act = serializers.UUIDField()
    reason = serializers.CharField(allow_blank=True)
    sentence = serializers.CharField()
    fields_ = ChangedField(many=True)
    beside = Beside(many=True, help_text="Some of the other records that the same act touched.")
    beside_count = serializers.IntegerField(help_text="How many other records the same act touched.")

    def get_fields(self) -> dict[str, Any]:
        """`fields` is a serializer's own attribute, so it is declared under another name."""
        return {name.rstrip("_"): field for name, field in super().get_fields().items()}


class HistoryPage(serializers.Serializer):
    """What befell a record, newest first."""

    type = serializers.CharField()
    name = serializers.CharField()
    version = serializers.IntegerField(allow_null=True, help_text="Its present version; null, if it was removed.")
    changes = ToldChange(many=True)
    cursor = serializers.IntegerField(allow_null=True, help_text="Send it as 'before' for what is older; null at the end.")


def _names() -> Typed:
    test = lambda value: isinstance(value, list) and all(isinstance(one, str) for one in value)  # noqa: E731
    schema = {"type": "array", "items": {"type": "string"}, "minItems": 1, "maxItems": MOST_FIELDS}
    return Typed(schema, test, "This must be a list of names of fields.")


class PutBack(Body):
    """The change before which the values stood, the fields, and the present version of the record."""

    sequence = Whole(1, 2**53)
    version = Whole(1, HIGHEST)
    names = _names()

    def get_fields(self) -> dict[str, Any]:
        """`fields` is a serializer's own attribute, so it is declared under another name."""
        return {{"names": "fields"}.get(name, name): field for name, field in super().get_fields().items()}


class PutBackDone(serializers.Serializer):
    """The record after it."""

    type = serializers.CharField()
    id = serializers.UUIDField()
    name = serializers.CharField()
    version = serializers.IntegerField()


class RemovedCount(serializers.Serializer):
    """How many records of a kind."""

    type = serializers.CharField()
    count = serializers.IntegerField()


class RemovedRecord(serializers.Serializer):
    """A record that was removed."""

    type = serializers.CharField()
    id = serializers.UUIDField()
    name = serializers.CharField()


class RemovedAct(serializers.Serializer):
    """One act that removed something."""

    act = serializers.UUIDField()
    sequence = serializers.IntegerField()
    at = serializers.DateTimeField()
    actor = serializers.CharField()
    reason = serializers.CharField(allow_blank=True)
    counts = RemovedCount(many=True)
    records = RemovedRecord(many=True, help_text="The first of those on which the rest hung.")
    state = serializers.ChoiceField(["removed", "brought back"])
    recoverable = serializers.BooleanField(help_text="Whether nothing is seen that would hinder bringing it back.")
    hindrance = serializers.CharField(allow_blank=True)


class RemovedPage(serializers.Serializer):
    """What was removed, newest first."""

    acts = RemovedAct(many=True)
    cursor = serializers.IntegerField(allow_null=True, help_text="Send it as 'before' for what is older; null at the end.")

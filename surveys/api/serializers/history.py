"""What changed, and what was brought back."""

from typing import Any

from rest_framework import serializers

from surveys.api.serializers.common import Body
from surveys.api.typed import Id


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


class Act(Body):
    """The act that removed something: `act` of its lines in the changes."""

    act = Id()

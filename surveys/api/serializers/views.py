"""Named views of registers, which are a person's own."""

from rest_framework import serializers

from surveys import saved_views
from surveys.api.serializers.common import Body
from surveys.api.typed import Text, Typed
from surveys.models import SavedView

_NAMES = {"type": "array", "items": {"type": "string", "pattern": f"^{saved_views.NAME.pattern}$"}}
ARRANGEMENT = {
    "type": "object",
    "description": f"What is shown, in at most {saved_views.MOST_BYTES:,} characters. 'frozen' counts the first columns that stay.",
    "additionalProperties": False,
    "properties": {
        "search": {"type": "string"},
        "filters": {"type": "object", "additionalProperties": {"type": "string"}},
        "sort": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {"name": {"type": "string"}, "down": {"type": "boolean"}},
                "required": ["name", "down"],
                "additionalProperties": False,
            },
        },
        "groups": _NAMES,
        "hidden": {"anyOf": [_NAMES, {"type": "null"}]},
        "order": _NAMES,
        "frozen": {"type": "integer", "minimum": 0, "maximum": saved_views.MOST_FROZEN},
    },
}


def Arrangement(**options: bool) -> Typed:
    """An arrangement; its parts are judged by `saved_views`."""
    return Typed(ARRANGEMENT, lambda value: isinstance(value, dict), "This must be an object.", **options)


class SavedViewShape(serializers.ModelSerializer):
    """A named view."""

    arrangement = Arrangement(read_only=True)

    class Meta:
        model = SavedView
        fields = ("id", "version", "register", "name", "arrangement", "changed_at")
        read_only_fields = fields


class SavedViewList(serializers.Serializer):
    """One's own views."""

    results = SavedViewShape(many=True)


class NewView(Body):
    """What is kept, of which register, under which name."""

    register = Text(description=f"One of: {', '.join(saved_views.REGISTERS)}.")
    name = Text(80)
    arrangement = Arrangement()


class ViewChange(Body):
    """Another name or arrangement."""

    name = Text(80, required=False)
    arrangement = Arrangement(required=False)

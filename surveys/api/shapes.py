"""Shapes that follow from a collection: a page of it, a batch on it and what became of that."""

from typing import Any

from rest_framework import serializers

from surveys.api.collections.machine import Collection
from surveys.api.typed import Typed
from surveys.records import MOST


def _named(name: str, fields: dict[str, Any], text: str) -> Any:
    return type(name, (serializers.Serializer,), {**fields, "__doc__": text})


def _singular(shape: Any) -> str:
    return str(shape.__name__).removesuffix("Shape")


def row_of(collection: Collection) -> Any:
    """A record in a list, of which `?fields=` may leave parts out."""
    shape = collection.shape
    return type(f"{_singular(shape)}Row", (shape,), {"__doc__": shape.__doc__})


def page_of(collection: Collection) -> Any:
    """A page of a list."""
    fields = {
        "results": row_of(collection)(many=True),
        "cursor": serializers.CharField(allow_null=True, help_text="Where to go on; null at the end."),
        "next": serializers.CharField(allow_null=True, help_text="The address of the next page; null at the end."),
        "count": serializers.IntegerField(required=False, help_text="How many there are in all, with ?count=true."),
    }
    return _named(f"{_singular(collection.shape)}Page", fields, "A page of a list.")


def outcomes_of(collection: Collection) -> Any:
    """What became of each row of a batch."""
    name = _singular(collection.shape)
    fields = {
        "op": serializers.ChoiceField(["create", "change", "remove"]),
        "id": serializers.UUIDField(),
        "version": serializers.IntegerField(),
        "record": collection.shape(allow_null=True),
    }
    one = _named(f"{name}Outcome", fields, "What became of a row; a removed one has no record.")
    return _named(f"{name}Outcomes", {"outcomes": one(many=True)}, "What became of each row, in the same order.")


def operations_of(collection: Collection) -> Any:
    """The rows of a batch."""
    values = {"$ref": f"#/components/schemas/{collection.values.__name__}Request"}
    some = {"$ref": f"#/components/schemas/Patched{collection.values.__name__}Request"}
    found = {"id": {"type": "string", "format": "uuid"}, "version": {"type": "integer", "minimum": 1, "maximum": 2_147_483_647}}
    rows = (("create", {"values": values}), ("change", {**found, "values": some}), ("remove", found))
    kinds = [
        {
            "type": "object",
            "properties": {"op": {"type": "string", "enum": [op]}, **parts},
            "required": ["op", *parts],
            "additionalProperties": False,
        }
        for op, parts in rows
    ]
    schema = {"type": "array", "minItems": 1, "maxItems": MOST, "items": {"oneOf": kinds}}
    field = Typed(schema, lambda value: isinstance(value, list), "This must be a list.")
    return _named(f"{_singular(collection.shape)}Operations", {"operations": field}, "Creations, changes and removals, done all or none.")

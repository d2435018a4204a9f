"""What the shapes share: the fields of every record, the names of others, and bodies that are sent."""

from typing import Any

from rest_framework import serializers

from surveys import rules
from surveys.api.typed import field_for

COMMON = ("id", "version", "created_at", "created_by")


def shown(model: Any, *more: str, without: tuple[str, ...] = ()) -> tuple[str, ...]:
    """The fields of a kind of record: what all have, what a person may set in the order of the model, and more."""
    own = [field.name for field in model._meta.concrete_fields if field.name in rules.WRITABLE[model] and field.name not in without]
    return (*COMMON, *own, *more)


class Shown(serializers.ModelSerializer):
    """What every record shows: its id, its version, when it was made and by whom (by name)."""

    created_by = serializers.CharField(source="created_by.name")

    def get_fields(self) -> dict[str, serializers.Field]:
        """All fields are for reading."""
        fields = super().get_fields()
        for field in fields.values():
            field.read_only = True
            field.required = False
        return fields


def name_of(other: str, attribute: str, *, null: bool = False) -> Any:
    """The human name of a record that is referred to, shown beside its id."""
    return serializers.CharField(source=f"{other}.{attribute}", allow_null=null)


def number_of(other: str, *, null: bool = False) -> Any:
    """The number of a generation or phase that is referred to, shown beside its id."""
    return serializers.IntegerField(source=f"{other}.ordinal", allow_null=null)


class Body(serializers.Serializer):
    """What is sent; unknown fields are refused."""


def values_of(model: Any, name: str) -> type[Body]:
    """The body that sets the fields of a kind of record."""
    order = [field.name for field in model._meta.concrete_fields if field.name in rules.WRITABLE[model]]
    fields: dict[str, Any] = {field: field_for(model, field) for field in order}
    return type(f"{name}Values", (Body,), {**fields, "__doc__": f"The fields of a {model._meta.verbose_name} that may be set."})

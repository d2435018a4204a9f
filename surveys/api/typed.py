"""Fields of request bodies: strict about the type, silent about the content, which `surveys.rules` judges for every way in.

A number sent as text is refused rather than guessed at, so that the published schema is just what is accepted.
"""

import datetime as dt
import re
from collections.abc import Callable, Mapping
from typing import Any, Final

from django.db import models
from rest_framework import serializers

from surveys.models import Person
from surveys.rules import drawn

ID: Final = re.compile(r"[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")
DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}")
MOST_WHOLE: Final = 2**53


class Typed(serializers.Field):
    """A field of one JSON type. `schema` is what it takes, `test` says whether a value is that, `needs` says so in words."""

    def __init__(self, schema: dict[str, Any], test: Callable[[Any], bool], needs: str, **options: Any) -> None:
        self.schema = schema
        self.test = test
        self.needs = needs
        super().__init__(**options)

    def fault(self, value: Any) -> str:
        """Why a value is not of this type, or ''."""
        if value is None:
            return "" if self.allow_null else f"{self.needs} It cannot be null."
        return "" if self.test(value) else self.needs

    def to_internal_value(self, data: Any) -> Any:
        """The value as it came, if it is of the type."""
        if not self.test(data):
            raise serializers.ValidationError(self.needs)
        return data


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and abs(value) <= MOST_WHOLE


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_day(value: Any) -> bool:
    if not isinstance(value, str) or not DAY.fullmatch(value):
        return False
    try:
        dt.date.fromisoformat(value)
    except ValueError:
        return False
    return True


def Text(max_length: int = 0, description: str = "", **options: Any) -> Typed:
    """A text; '' means not recorded."""
    schema: dict[str, Any] = {"type": "string"}
    if max_length:
        schema["maxLength"] = max_length
    if description:
        schema["description"] = description
    return Typed(schema, lambda value: isinstance(value, str), "This must be text.", **options)


def Whole(low: int = -MOST_WHOLE, high: int = MOST_WHOLE, **options: Any) -> Typed:
    """A whole number. The bounds are told, and judged by the rules."""
    return Typed({"type": "integer", "minimum": low, "maximum": high}, _is_whole, "This must be a whole number.", **options)


def Number(**options: Any) -> Typed:
    """A number."""
    return Typed({"type": "number"}, _is_number, "This must be a number.", **options)


def Day(**options: Any) -> Typed:
    """A date."""
    return Typed({"type": "string", "format": "date"}, _is_day, "This must be a date, written as 2026-05-14.", **options)


def Id(**options: Any) -> Typed:
    """The id of another record."""
    test = lambda value: isinstance(value, str) and bool(ID.fullmatch(value))  # noqa: E731
    return Typed({"type": "string", "format": "uuid"}, test, "This must be the id of a record.", **options)


def Words(**options: Any) -> Typed:
    """A list of words."""
    test = lambda value: isinstance(value, list) and all(isinstance(word, str) for word in value)  # noqa: E731
    item = {"type": "string", "minLength": 1, "maxLength": 60}
    return Typed({"type": "array", "items": item, "minItems": 1, "maxItems": 500}, test, "This must be a list of texts.", **options)


def Truth(**options: Any) -> Typed:
    """Yes or no."""
    return Typed({"type": "boolean"}, lambda value: isinstance(value, bool), "This must be true or false.", **options)


def Anything(**options: Any) -> Typed:
    """An object whose content is judged elsewhere."""
    test = lambda value: isinstance(value, dict)  # noqa: E731
    return Typed({"type": "object", "additionalProperties": True}, test, "This must be an object.", **options)


POINT: Final = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
PATCH: Final = {
    "type": "object",
    "properties": {
        "name": {"type": "string", "minLength": 1, "maxLength": drawn.MOST_TEXT},
        "box": {"type": "array", "items": {"type": "number"}, "minItems": 4, "maxItems": 4, "description": "x, y, width, height in px."},
        "lab": {"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 3, "description": "L*a*b*, D65, 2° observer."},
    },
    "required": ["box"],
    "additionalProperties": False,
}
DRAWN: Final[Mapping[str, tuple[dict[str, Any], type, str]]] = {
    "path": ({"type": "array", "items": POINT, "minItems": 2, "maxItems": drawn.MOST_POINTS}, list, "This must be a list of points."),
    "points": (
        {"type": "array", "items": {"type": "array", "items": POINT, "minItems": 2, "maxItems": 2}, "maxItems": drawn.MOST_POINTS},
        list,
        "This must be a list of pairs of points.",
    ),
    "boundaries": (
        {"type": "array", "items": {"type": "number"}, "maxItems": drawn.MOST_POINTS, "description": "In px along the path, rising."},
        list,
        "This must be a list of numbers.",
    ),
    "scale_line": (
        {
            "type": "object",
            "properties": {"points": {"type": "array", "items": POINT, "minItems": 2, "maxItems": 2}, "length_um": {"type": "number"}},
            "required": ["points", "length_um"],
            "additionalProperties": False,
        },
        dict,
        "This must be an object of points and length_um.",
    ),
    "colour_target": (
        {
            "type": "object",
            "properties": {
                "target": {"type": "string", "minLength": 1, "maxLength": drawn.MOST_TEXT},
                "patches": {"type": "array", "items": PATCH, "minItems": 1, "maxItems": drawn.MOST_PATCHES},
            },
            "required": ["target", "patches"],
            "additionalProperties": False,
        },
        dict,
        "This must be an object of target and patches.",
    ),
}


def Drawn(name: str, **options: Any) -> Typed:
    """What was drawn on a picture; `surveys.rules.drawn` judges it."""
    schema, kind, needs = DRAWN[name]
    return Typed(schema, lambda value: isinstance(value, kind), needs, **options)


NUMBERED = ("position", "ordinal")


def field_for(model: type[models.Model], name: str) -> Typed:
    """The field of a request body for a column that a person may set."""
    field: Any = model._meta.get_field(name)
    needed = not (field.blank or field.null or field.has_default() or name in NUMBERED)
    options: dict[str, Any] = {"required": needed}
    if field.is_relation:
        if field.related_model is Person:
            raise AssertionError("a person is named by the name that he signs in with")
        return Id(allow_null=field.null, **options)
    if name in DRAWN:
        return Drawn(name, allow_null=field.null, **options)
    if isinstance(field, models.JSONField):
        return Words(**options)
    if isinstance(field, models.FloatField):
        return Number(allow_null=True, **options)
    if isinstance(field, models.IntegerField):
        low, high = (1, 100_000) if name in NUMBERED else (-9_999, 9_999)
        return Whole(low, high, allow_null=field.null, **options)
    if isinstance(field, models.DateField):
        return Day(allow_null=True, **options)
    if isinstance(field, models.UUIDField):
        return Id(**options)
    if field.choices:
        words = ", ".join(word for word, _ in field.choices)
        return Text(description=f"One of: {words}. Another way of writing one of them is taken for it.", allow_null=field.blank, **options)
    return Text(field.max_length, allow_null=field.blank, **options)

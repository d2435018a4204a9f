"""One value of an archive's row as the record will hold it: nothing comes in that could not have been entered."""

import datetime as dt
import math
import uuid
from collections.abc import Callable, Mapping
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import models

from surveys import rules
from surveys.rules import Refused

DEPTH: Final = 20
MOST_ITEMS: Final = 200_000
SMALLEST, LARGEST = -(2**31), 2**31 - 1
# What the lists that a record keeps as JSON are lists of: each item's keys.
ITEMS: Final[Mapping[str, frozenset[str]]] = {
    "earlier_ordinals": frozenset({"ordinal", "until"}),
    "earliest_by": frozenset({"kind", "key", "id", "sentence"}),
    "latest_by": frozenset({"kind", "key", "id", "sentence"}),
    "answer_records": frozenset({"type", "id"}),
    "files": frozenset({"name", "content_type", "size", "sha256"}),
}


def identity(value: Any) -> uuid.UUID:
    """An id."""
    if not isinstance(value, str) or not rules.is_id(value):
        raise Refused(f"'{str(value)[:60]}' is no id.")
    return uuid.UUID(value)


def moment(value: Any) -> dt.datetime:
    """A moment with its offset."""
    try:
        found = dt.datetime.fromisoformat(value)
    except (TypeError, ValueError):
        raise Refused(f"'{str(value)[:60]}' is no moment.") from None
    if found.tzinfo is None:
        raise Refused(f"'{value[:60]}' does not say its offset from UTC.")
    return found


def date(value: Any) -> dt.date:
    """A date."""
    try:
        return dt.date.fromisoformat(value)
    except (TypeError, ValueError):
        raise Refused(f"'{str(value)[:60]}' is no date.") from None


def whole(value: Any, field: Any) -> int:
    """A whole number that its column can hold."""
    least = 0 if isinstance(field, models.PositiveIntegerField | models.PositiveSmallIntegerField) else SMALLEST
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= LARGEST:
        raise Refused(f"'{str(value)[:60]}' is not a whole number that fits here.")
    return value


def truth(value: Any, field: Any) -> bool:
    """Yes or no."""
    if not isinstance(value, bool):
        raise Refused(f"'{str(value)[:60]}' is neither true nor false.")
    return value


def number(value: Any, field: Any) -> float:
    """A finite number."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise Refused(f"'{str(value)[:60]}' is not a number.")
    return float(value)


def text(value: Any, field: Any) -> str:
    """A text, a word of its closed list where it has one."""
    if not isinstance(value, str) or "\0" in value:
        raise Refused("This must be text.")
    if field.max_length and len(value) > field.max_length:
        raise Refused(f"This is {len(value):,} characters long; at most {field.max_length:,} are kept.")
    if not value and not field.blank:
        raise Refused("This is needed.")
    if field.choices and value and value not in {word for word, _ in field.choices}:
        raise Refused(f"'{value[:60]}' is not one of the words for this.")
    return value


def json(value: Any, field: Any) -> Any:
    """A list or an object of plain values, not too deep, of the shape that the program reads."""
    _shallow(value)
    items = ITEMS.get(field.name)
    if field.name == "element_classes":
        return value
    if field.name in rules.DRAWN:
        return rules.clean_drawn(field.name, value)
    if items is not None:
        for one in value if isinstance(value, list) else [None]:
            if not isinstance(one, dict) or not set(one) <= items or not all(isinstance(part, str | int | None) for part in one.values()):
                raise Refused(f"This must be a list of objects of {', '.join(sorted(items))}.")
    elif not isinstance(value, list if field.default is list else dict):
        raise Refused("This is not what the program keeps here.")
    return value


def _shallow(value: Any) -> None:
    """Refuse what is nested deeper, or holds more, than anything the program writes."""
    left, many = [(value, 0)], 0
    while left:
        one, depth = left.pop()
        many += 1
        if depth > DEPTH or many > MOST_ITEMS:
            raise Refused("This is nested too deeply, or holds too much.")
        if isinstance(one, dict | list):
            left += [(part, depth + 1) for part in (one.values() if isinstance(one, dict) else one)]


def plain(model: type[models.Model], field: Any, value: Any) -> Any:
    """A value that refers to nothing."""
    if value is None:
        if not field.null:
            raise Refused("This is needed.")
        return None
    found = next(read for kind, read in READERS if isinstance(field, kind))(value, field)
    if field.name in rules.WRITABLE.get(model, ()) and not isinstance(field, models.UUIDField):
        found = rules.clean_one(model, field.name, found)
    try:
        field.run_validators(found)
    except ValidationError as error:
        raise Refused(str(error.messages[0])) from None
    return found


READERS: Final[tuple[tuple[type, Callable[[Any, Any], Any]], ...]] = (
    (models.DateTimeField, lambda value, field: moment(value)),
    (models.DateField, lambda value, field: date(value)),
    (models.UUIDField, lambda value, field: identity(value)),
    (models.JSONField, json),
    (models.BooleanField, truth),
    (models.FloatField, number),
    (models.IntegerField, whole),
    (models.CharField, text),
    (models.TextField, text),
)

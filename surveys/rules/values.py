"""One value at a time: as it will be kept, or why not."""

import datetime as dt
import math
import unicodedata
import uuid
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from analysis.core import colour
from surveys.errors import Fault
from surveys.rules.drawn import DRAWN, clean_drawn
from surveys.rules.words import Refused, email_from, fold, is_id, word_from
from surveys.rules.writable import LISTS, NAMES, WRITABLE, YEAR_FIELDS

YEARS = (-9_999, 9_999)


def clean_text(value: Any, field: Any, *, is_name: bool) -> str:
    """A text as it will be kept."""
    if value is None:
        value = ""
    if not isinstance(value, str):
        raise Refused("This must be text.")
    value = unicodedata.normalize("NFC", value)
    if any(unicodedata.category(char) in ("Cc", "Cs") and char not in "\t\r\n" for char in value):
        raise Refused("This holds characters that cannot be printed. Type it again.")
    if is_name:
        value = value.strip()
        if any(char in "\t\r\n" for char in value):
            raise Refused("This must be on one line.")
    if value.strip() == "-":
        raise Refused("A lone '-' means 'clear this' in a workbook, so it cannot be kept as a value. Leave it blank, or say it in words.")
    if field.max_length and len(value) > field.max_length:
        raise Refused(f"This is {len(value):,} characters long; at most {field.max_length:,} are kept.", "too-long")
    if not value.strip() and not field.blank:
        raise Refused("This is needed.", "required")
    return value


def clean_number(value: Any, field: Any) -> float | None:
    """A finite number within the field's limits, or None."""
    if value is None or value == "":
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Refused(f"'{value}' is not a number.")
    if not math.isfinite(value):
        raise Refused("This must be a finite number.")
    for validate in field.validators:
        try:
            validate(value)
        except ValidationError as error:
            raise Refused(str(error.messages[0])) from None
    return float(value)


def clean_whole(value: Any, field: Any) -> int | None:
    """A whole number (a year within bounds, a position or ordinal from 1), or None."""
    if value is None or value == "":
        if not field.null and field.name not in ("position", "ordinal"):
            raise Refused("This is needed.", "required")
        return None
    if isinstance(value, bool) or (isinstance(value, float) and not value.is_integer()) or not isinstance(value, int | float):
        what = "a year: write a whole number, as in 1838" if field.name in YEAR_FIELDS else "a whole number"
        raise Refused(f"'{value}' is not {what}.")
    number = int(value)
    if field.name in YEAR_FIELDS and not YEARS[0] <= number <= YEARS[1]:
        raise Refused(f"{number} is not a year between {YEARS[0]} and {YEARS[1]}.")
    if field.name not in YEAR_FIELDS and not 1 <= number <= 100_000:
        raise Refused("This counts from 1.")
    return number


def clean_date(value: Any) -> dt.date | None:
    """A date, or None."""
    if value is None or value == "":
        return None
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    try:
        return dt.date.fromisoformat(str(value))
    except ValueError:
        raise Refused(f"'{value}' is not a date. Write it as 2026-05-14.") from None


def clean_id(value: Any) -> uuid.UUID:
    """The id of a record."""
    if not value:
        raise Refused("This is needed.", "required")
    if not is_id(value):
        raise Refused("This is not the id of a record.")
    return uuid.UUID(str(value))


def clean_list(text: str) -> str:
    """A list in the workbook's notation: parts separated by '; ', no empty part."""
    return "; ".join(part.strip() for part in text.split(";") if part.strip())


def clean_munsell(text: str) -> str:
    """A Munsell notation in its one canonical form (ASTM D1535)."""
    try:
        return str(colour.parse_munsell(text)) if text.strip() else ""
    except ValueError as error:
        raise Refused(str(error), "impossible-munsell") from None


def clean_classes(value: Any) -> list[str]:
    """A project's list of element classes: distinct words, not empty."""
    if not isinstance(value, list) or not all(isinstance(word, str) and 0 < len(word.strip()) <= 60 for word in value):
        raise Refused("Give a list of words, each of at most 60 characters.")
    words = list(dict.fromkeys(word.strip() for word in value))
    if not words or len(words) > 500 or len({fold(word) for word in words}) < len(words):
        raise Refused("Give between 1 and 500 classes, each once.")
    return words


def clean_one(model: type[models.Model], name: str, value: Any) -> Any:
    """One field's value as it will be kept. References to other records pass: `surveys.records` finds them."""
    field: Any = model._meta.get_field(name)
    if name == "element_classes":
        return clean_classes(value)
    if name in DRAWN:
        return clean_drawn(name, value)
    if field.is_relation:
        if value in (None, ""):
            if not field.null:
                raise Refused("This is needed.", "required")
            return None
        return value
    if isinstance(field, models.FloatField):
        return clean_number(value, field)
    if isinstance(field, models.IntegerField):
        return clean_whole(value, field)
    if isinstance(field, models.DateField):
        return clean_date(value)
    if isinstance(field, models.UUIDField):
        return clean_id(value)
    text = clean_text(value, field, is_name=NAMES.get(model) == name)
    if field.choices and text.strip():
        return word_from(text, [choice for choice, _ in field.choices])
    if name == "munsell":
        return clean_munsell(text)
    if isinstance(field, models.EmailField):
        return email_from(text)
    if name in LISTS.get(model, ()):
        # What is left of '; -' is a lone '-' again.
        return clean_text(clean_list(text), field, is_name=False)
    return text


def clean(model: type[models.Model], values: Mapping[str, Any]) -> tuple[dict[str, Any], list[Fault]]:
    """Each given value as it will be kept, and what is wrong with the others."""
    kept: dict[str, Any] = {}
    faults: list[Fault] = []
    for name, value in values.items():
        if name not in WRITABLE[model]:
            faults.append(Fault(name, "unknown-field", f"'{name}' cannot be set on this record."))
            continue
        try:
            kept[name] = clean_one(model, name, value)
        except Refused as refusal:
            faults.append(Fault(name, refusal.code, str(refusal)))
    return kept, faults

"""The parameters that jobs take: each check answers a value as it is kept, or says in words why it is none."""

import datetime as dt
import re
from collections.abc import Callable, Mapping
from typing import Any, Final

from analysis.core import label_sheets
from analysis.core.vocabulary import ISSUE_PURPOSES, RULING_KINDS

CHART_FORMATS: Final = ("json", "svg", "pdf", "png")
PLATE_FORMATS: Final = ("png", "pdf")
MOST_RULINGS: Final = 500
MOST_NAMES: Final = 5_000
MOST_PAIRS: Final = 100
ADDRESS: Final = re.compile(r"https?://(?:[A-Za-z0-9.-]{1,200}|\[[0-9A-Fa-f:]{2,60}\])(?::[0-9]{1,5})?(?:/[A-Za-z0-9._~/-]{0,100})?")
LAYER: Final = re.compile(r"\s*(\S(?:.*\S)?)\s*/\s*0*([1-9][0-9]{0,5})\s*")


class BadParameters(ValueError):
    """The parameters of a job are not what its kind takes; the text says which and why."""


def text(value: Any) -> str:
    """A short text."""
    if not isinstance(value, str) or not 0 < len(value) <= 200:
        raise BadParameters(f"{value!r} is not a short text.")
    return value


def chart_format(value: Any) -> str:
    """A format in which a chart is drawn."""
    if value not in CHART_FORMATS:
        raise BadParameters(f"{value!r} is not a format. Choose one of {', '.join(CHART_FORMATS)}.")
    return str(value)


def paper(value: Any) -> str:
    """A paper for charts."""
    if value not in ("A3", "A4", "tabloid"):
        raise BadParameters(f"{value!r} is not a paper size. Choose one of A3, A4, tabloid.")
    return str(value)


def small_paper(value: Any) -> str:
    """A paper for sheets."""
    if value not in ("A4", "letter"):
        raise BadParameters(f"{value!r} is no paper for these sheets. Choose A4 or letter.")
    return str(value)


def large_paper(value: Any) -> str:
    """A paper for schedules."""
    if value not in ("A3", "tabloid"):
        raise BadParameters(f"{value!r} is no paper for a schedule. Choose A3 or tabloid.")
    return str(value)


def truth(value: Any) -> bool:
    """True or false."""
    if not isinstance(value, bool):
        raise BadParameters(f"{value!r} is neither true nor false.")
    return value


def year(value: Any) -> int:
    """A year, negative before the common era."""
    if not isinstance(value, int) or isinstance(value, bool) or not -9_999 <= value <= 9_999:
        raise BadParameters(f"{value!r} is no year. Write it as a whole number, negative before the common era.")
    return value


def ordinal(value: Any) -> int:
    """The number of a phase."""
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value < 100_000:
        raise BadParameters(f"{value!r} is no number of a phase.")
    return value


def purpose(value: Any) -> str:
    """A purpose of an issue."""
    if value not in ISSUE_PURPOSES:
        raise BadParameters(f"{value!r} is no purpose of an issue. Choose one of {', '.join(ISSUE_PURPOSES)}.")
    return str(value)


def day(value: Any) -> str:
    """A date, as ISO 8601 writes it."""
    try:
        return dt.date.fromisoformat(value).isoformat()
    except (TypeError, ValueError):
        raise BadParameters(f"{value!r} is no date. Write it as in 2026-05-14.") from None


def note(value: Any) -> str:
    """A text of up to 2,000 characters."""
    if not isinstance(value, str) or len(value) > 2_000:
        raise BadParameters("A note is a text of up to 2,000 characters.")
    return value


def one_of(*words: str) -> Callable[[Any], str]:
    """A check for one of these words."""

    def check(value: Any) -> str:
        if value not in words:
            raise BadParameters(f"{value!r} is not offered here. Choose one of {', '.join(words)}.")
        return str(value)

    return check


def count(least: int, most: int) -> Callable[[Any], int]:
    """A check for a whole number between these two."""

    def check(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise BadParameters(f"{value!r} is not a whole number from {least} to {most:,}.")
        return value

    return check


def pairs(value: Any) -> list[list[list[float]]]:
    """Places in two pictures: [[x, y] of the moving one, [x, y] of the fixed one]."""
    if not isinstance(value, list) or len(value) > MOST_PAIRS:
        raise BadParameters(f"The pairs of places are a list of at most {MOST_PAIRS}.")
    for pair in value:
        if not isinstance(pair, list) or len(pair) != 2 or not all(is_place(one) for one in pair):
            raise BadParameters("A pair of places is [[x, y], [x, y]]: in the moving picture, and in the fixed one.")
    return [[[float(part) for part in one] for one in pair] for pair in value]


def is_place(value: Any) -> bool:
    """Whether a value is [x, y] in px of a picture."""
    numbers = isinstance(value, list) and len(value) == 2 and not any(isinstance(part, bool) for part in value)
    return numbers and all(isinstance(part, int | float) and abs(part) <= 1_000_000 for part in value)


def sample_names(value: Any) -> list[str]:
    """Numbers of samples."""
    if not isinstance(value, list) or not 0 < len(value) <= MOST_NAMES:
        raise BadParameters(f"Give the numbers of samples as a list of 1 to {MOST_NAMES:,}.")
    return [text(one) for one in value]


def label_sheet(value: Any) -> str | dict[str, Any]:
    """A sheet of labels, by its word or by its measures."""
    try:
        label_sheets.sheet_of(value)
    except label_sheets.BadSheet as error:
        raise BadParameters(str(error)) from None
    return value if isinstance(value, str) else dict(value)


def address(value: Any) -> str:
    """Where the program is reached: scheme, host and port, and perhaps a path."""
    if not isinstance(value, str) or not ADDRESS.fullmatch(value):
        raise BadParameters(f"{str(value)[:100]!r} is not the address of a program. Write it as https://paint.example.org.")
    return value


def rulings(value: Any) -> list[dict[str, Any]]:
    """Proposed rulings, each with its layers in their one form."""
    if not isinstance(value, list) or not 0 < len(value) <= MOST_RULINGS:
        raise BadParameters(f"Give the proposed rulings as a list of 1 to {MOST_RULINGS}.")
    return [ruling(one) for one in value]


def ruling(value: Any) -> dict[str, Any]:
    """A ruling with its layers in their one form: {kind, first, second or None, generation or None}."""
    takes = ("kind", "first", "second", "generation")
    if not isinstance(value, Mapping) or not set(value) <= set(takes):
        raise BadParameters(f"A proposed ruling is an object of {', '.join(takes)}.")
    kind = value.get("kind")
    if kind not in RULING_KINDS:
        raise BadParameters(f"{kind!r} is not a ruling. Choose one of {', '.join(RULING_KINDS)}.")
    first, second, generation = layer_name(value.get("first")), value.get("second"), value.get("generation")
    if kind != "hold":
        if generation is not None:
            raise BadParameters(f"A {kind} names two layers and no generation.")
        return {"kind": kind, "first": first, "second": layer_name(second), "generation": None}
    if second is not None:
        raise BadParameters("A hold is of one layer; leave the second out.")
    if not isinstance(generation, int) or isinstance(generation, bool) or not 1 <= generation < 100_000:
        raise BadParameters("A hold names the generation in which it holds the layer, by its number.")
    return {"kind": kind, "first": first, "second": None, "generation": generation}


def layer_name(value: Any) -> str:
    """A layer as sample/position, in its one form."""
    found = LAYER.fullmatch(value) if isinstance(value, str) and len(value) <= 100 else None
    if found is None:
        raise BadParameters(f"{value!r} names no layer. Write a layer as sample/position, as in WH003/7.")
    return f"{found[1]}/{found[2]}"

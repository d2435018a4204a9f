"""What a cell means, and what it is written as: one function for each way of reading, and its return."""

import datetime as dt
import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from surveys.rules import Refused
from surveys.workbooks import layout
from surveys.workbooks.years import Years, read_years


class _Clear:
    """The cell holds '-': the value is to be cleared."""

    def __repr__(self) -> str:
        return "-"


CLEAR: Final = _Clear()


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A cell that has no value: an error, or a formula that was never calculated."""

    shown: str
    why: str


_PLAIN_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
# A spreadsheet keeps 15 to 17 figures of a number; one that differs by less is the same.
SAME: Final = 1e-14
# Spreadsheets count days from 1900 as though that had been a leap year, so dates before March 1900 are written as text.
FIRST_SAFE_DAY: Final = dt.date(1900, 3, 1)


def split_last(text: str) -> tuple[str, int] | None:
    """(name, number) of 'name/number'; the name may hold further strokes."""
    name, mark, number = (part.strip() for part in text.rpartition("/"))
    if not (mark and name and number.isascii() and number.isdigit() and len(number) <= 6):
        return None
    return name, int(number)


def as_text(value: Any) -> str:
    """A cell's value as text: 14.0 is '14', a date is ISO 8601."""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, dt.datetime) and value.time() == dt.time():
        return value.date().isoformat()
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return str(value)


def read_text(value: Any) -> str:
    """Free text, or a word of a list."""
    return as_text(value)


def read_name(value: Any) -> str:
    """A name or number by which people call a record. A spreadsheet may have made a number of it, or worse, a date."""
    if isinstance(value, dt.date | dt.time):
        shown = as_text(value)
        raise Refused(f"The spreadsheet has made a date of this ({shown}). Format the cell as text and type it again.", "made-a-date")
    return as_text(value).strip()


def read_number(value: Any) -> float | int:
    """A number, or a text that is plainly one."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return value
    text = as_text(value).strip().replace("−", "-")
    if isinstance(value, str) and _PLAIN_NUMBER.fullmatch(text):
        return float(text)
    if isinstance(value, str) and re.fullmatch(r"[+-]?\d*,\d+", text):
        raise Refused(f"'{value}' is not read as a number, because a comma may mean two things. Write {text.replace(',', '.')}.", "comma")
    raise Refused(f"'{as_text(value)}' is not a number. Give the number only, without its unit.", "not-a-number")


def read_whole(value: Any) -> int:
    """A whole number."""
    number = read_number(value)
    if not math.isfinite(number) or number != int(number):
        raise Refused(f"'{as_text(value)}' is not a whole number.", "not-a-number")
    return int(number)


def read_generation(value: Any) -> tuple[str, int]:
    """(the space's number or '', the generation's number) of '4' or '103/4'."""
    found = split_last(value) if isinstance(value, str) else None
    return found or ("", read_whole(value))


def read_year(value: Any) -> Years:
    """A year, or the years that a text such as 'c.1840' stands for."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        year = read_whole(value)
        return Years(year, year)
    if isinstance(value, dt.date):
        raise Refused(
            f"The spreadsheet has made a date of this ({as_text(value)}). Format the cell as text and type the year.", "made-a-date"
        )
    return read_years(as_text(value))


def read_date(value: Any) -> dt.date:
    """A spreadsheet's date, or ISO 8601."""
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    if isinstance(value, str):
        try:
            return (
                dt.date.fromisoformat(value.strip()[:10]) if re.fullmatch(r"\d{4}-\d\d-\d\d([T ].*)?", value.strip()) else _no_date(value)
            )
        except ValueError:
            pass
    return _no_date(value)


def _no_date(value: Any) -> dt.date:
    raise Refused(f"'{as_text(value)}' is not a date. Write it as 2026-05-14, or format the cell as a date.", "not-a-date")


def read_examined(value: Any) -> tuple[dt.date | None, str]:
    """(when, by whom) of a date, 'date; by whom' or '; by whom'; what is not said is None or ''."""
    if not isinstance(value, str):
        return read_date(value), ""
    day, mark, person = value.partition(";")
    try:
        return (read_date(day) if day.strip() or not mark else None), person.removeprefix(" ")
    except Refused:
        raise Refused(
            f"'{value}' is not a date. Write the date, or the date and by whom, as in '2026-05-14; A. Person'.", "not-a-date"
        ) from None


def read_bears_on(value: Any) -> tuple[str, str, int]:
    """(what, its name, the generation's number) of 'structure', 'phase 2', 'space 103', 'element 103-BB-N', 'generation 103/4'."""
    text = as_text(value).strip()
    what, _, name = text.replace("\t", " ").partition(" ")
    what, name = what.casefold(), name.strip()
    if what == "structure" and not name:
        return what, "", 0
    if what in ("space", "element") and name:
        return what, name, 0
    if what == "phase" and re.fullmatch(r"\d{1,6}", name):
        return what, "", int(name)
    found = split_last(name)
    if what == "generation" and found:
        return what, *found
    raise Refused(
        f"'{text}' does not say what this bears on. Write structure, or as in: phase 2, space 103, element 103-BB-N, generation 103/4.",
        "bears-on",
    )


def read_layer_name(value: Any) -> tuple[str, int]:
    """(sample, position) of 'K-014/3'."""
    if isinstance(value, dt.date | dt.time):
        read_name(value)
    found = split_last(as_text(value))
    if not found:
        raise Refused(f"'{as_text(value)}' names no layer. Write its sample and its number from the substrate, as in K-014/3.", "no-layer")
    return found


READ: Final[dict[str, Callable[[Any], Any]]] = {
    layout.NAME: read_name,
    layout.TEXT: read_text,
    layout.NUMBER: read_number,
    layout.WHOLE: read_whole,
    layout.YEAR: read_year,
    layout.DATE: read_date,
    layout.EXAMINED: read_examined,
    layout.BEARS_ON: read_bears_on,
    layout.LAYER_NAME: read_layer_name,
    layout.GENERATION: read_generation,
}


def read(column: layout.Column, value: Any) -> Any:
    """What a cell of a column means; CLEAR for '-'. Refused, with a sentence, where it means nothing."""
    if isinstance(value, Unreadable):
        raise Refused(value.why, "no-value")
    if isinstance(value, str) and value.strip() == "-":
        return CLEAR
    return READ[column.reads](value)


def is_blank(value: Any) -> bool:
    """Whether a cell says nothing."""
    return value is None or (isinstance(value, str) and not value.strip())


def same(one: Any, other: Any) -> bool:
    """Whether two values of a field are the same, as far as a spreadsheet can keep them."""
    if isinstance(one, float) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=SAME, abs_tol=0.0)
    return bool(one == other)


# -- writing --------------------------------------------------------------------------------------------------------------


def write_plainly(values: Sequence[Any]) -> Any:
    """The one value as it is."""
    value = values[0]
    if isinstance(value, dt.date) and value < FIRST_SAFE_DAY:
        return value.isoformat()
    return value


def write_examined(values: Sequence[Any]) -> Any:
    """A date, 'date; by whom' or '; by whom'."""
    day, person = values
    if not person.strip():
        return write_plainly([day])
    return f"{day.isoformat() if day else ''}; {person}"


def write_bears_on(values: Sequence[Any]) -> str:
    """As `read_bears_on` reads it."""
    what, phase, space, element, generation_space, ordinal = values
    shown = {
        "phase": f"phase {phase}",
        "space": f"space {space}",
        "element": f"element {element}",
        "generation": f"generation {generation_space}/{ordinal}",
    }
    return shown.get(what, what)


def write_layer_name(values: Sequence[Any]) -> str:
    """As `read_layer_name` reads it."""
    sample, position = values
    return "" if sample is None else f"{sample}/{position}"


WRITE: Final[dict[str, Callable[[Sequence[Any]], Any]]] = {
    layout.EXAMINED: write_examined,
    layout.BEARS_ON: write_bears_on,
    layout.LAYER_NAME: write_layer_name,
}


def write(column: layout.Column, values: Sequence[Any]) -> Any:
    """What a cell of a column holds for these values (those of the column's `sources`); None for nothing."""
    value = WRITE.get(column.reads, write_plainly)(values)
    return None if value == "" else value

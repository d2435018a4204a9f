"""The kinds of job: what each is called, its version, and which parameters it takes.

A kind's version is part of a job's digest: raise it when the same input would be answered otherwise, so that old results are
not found again.
"""

import datetime as dt
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from analysis.core import correlation, label_sheets
from analysis.core.vocabulary import ISSUE_PURPOSES, RULING_KINDS

CHART_FORMATS: Final = ("json", "svg", "pdf", "png")
MOST_RULINGS: Final = 500
MOST_NAMES: Final = 5_000
MOST_PAIRS: Final = 100
ADDRESS: Final = re.compile(r"https?://(?:[A-Za-z0-9.-]{1,200}|\[[0-9A-Fa-f:]{2,60}\])(?::[0-9]{1,5})?(?:/[A-Za-z0-9._~/-]{0,100})?")
LAYER: Final = re.compile(r"\s*(\S(?:.*\S)?)\s*/\s*0*([1-9][0-9]{0,5})\s*")


class BadParameters(ValueError):
    """The parameters of a job are not what its kind takes; the text says which and why."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of job.

    `takes` names each parameter and checks its value, answering it as it is kept; `needs` names those that may not be missing;
    `once` says that its answer is found again for unchanged input; `quick` that somebody waits for it at the screen, so that it does not
    stand in line behind long work.
    """

    name: str
    version: str
    capability: str
    title: str
    takes: Mapping[str, Callable[[Any], Any]]
    needs: frozenset[str] = frozenset()
    once: bool = True
    quick: bool = False

    def check(self, params: Any) -> dict[str, Any]:
        """The parameters as they are kept; BadParameters where one is unknown, missing or of the wrong kind."""
        if not isinstance(params, Mapping):
            raise BadParameters("The parameters of a job are an object.")
        unknown = sorted(set(params) - set(self.takes))
        if unknown:
            raise BadParameters(f"A job '{self.name}' takes no '{unknown[0]}'. It takes: {', '.join(self.takes) or 'nothing'}.")
        missing = sorted(self.needs - {name for name, value in params.items() if value is not None})
        if missing:
            raise BadParameters(f"A job '{self.name}' needs '{missing[0]}'.")
        return {name: self.takes[name](value) for name, value in params.items() if value is not None}


def _text(value: Any) -> str:
    if not isinstance(value, str) or not 0 < len(value) <= 200:
        raise BadParameters(f"{value!r} is not a short text.")
    return value


def _format(value: Any) -> str:
    if value not in CHART_FORMATS:
        raise BadParameters(f"{value!r} is not a format. Choose one of {', '.join(CHART_FORMATS)}.")
    return str(value)


def _paper(value: Any) -> str:
    if value not in ("A3", "A4", "tabloid"):
        raise BadParameters(f"{value!r} is not a paper size. Choose one of A3, A4, tabloid.")
    return str(value)


def _small_paper(value: Any) -> str:
    if value not in ("A4", "letter"):
        raise BadParameters(f"{value!r} is no paper for these sheets. Choose A4 or letter.")
    return str(value)


def _large_paper(value: Any) -> str:
    if value not in ("A3", "tabloid"):
        raise BadParameters(f"{value!r} is no paper for a schedule. Choose A3 or tabloid.")
    return str(value)


def _truth(value: Any) -> bool:
    if not isinstance(value, bool):
        raise BadParameters(f"{value!r} is neither true nor false.")
    return value


def _year(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not -9_999 <= value <= 9_999:
        raise BadParameters(f"{value!r} is no year. Write it as a whole number, negative before the common era.")
    return value


def _ordinal(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value < 100_000:
        raise BadParameters(f"{value!r} is no number of a phase.")
    return value


def _purpose(value: Any) -> str:
    if value not in ISSUE_PURPOSES:
        raise BadParameters(f"{value!r} is no purpose of an issue. Choose one of {', '.join(ISSUE_PURPOSES)}.")
    return str(value)


def _day(value: Any) -> str:
    try:
        return dt.date.fromisoformat(value).isoformat()
    except (TypeError, ValueError):
        raise BadParameters(f"{value!r} is no date. Write it as in 2026-05-14.") from None


def _note(value: Any) -> str:
    if not isinstance(value, str) or len(value) > 2_000:
        raise BadParameters("A note is a text of up to 2,000 characters.")
    return value


def _one_of(*words: str) -> Callable[[Any], str]:
    def check(value: Any) -> str:
        if value not in words:
            raise BadParameters(f"{value!r} is not offered here. Choose one of {', '.join(words)}.")
        return str(value)

    return check


def _count(least: int, most: int) -> Callable[[Any], int]:
    def check(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise BadParameters(f"{value!r} is not a whole number from {least} to {most:,}.")
        return value

    return check


def _pairs(value: Any) -> list[list[list[float]]]:
    """Places in two pictures: [[x, y] of the moving one, [x, y] of the fixed one]."""
    if not isinstance(value, list) or len(value) > MOST_PAIRS:
        raise BadParameters(f"The pairs of places are a list of at most {MOST_PAIRS}.")
    for pair in value:
        if not isinstance(pair, list) or len(pair) != 2 or not all(_is_place(one) for one in pair):
            raise BadParameters("A pair of places is [[x, y], [x, y]]: in the moving picture, and in the fixed one.")
    return [[[float(part) for part in one] for one in pair] for pair in value]


def _is_place(value: Any) -> bool:
    numbers = isinstance(value, list) and len(value) == 2 and not any(isinstance(part, bool) for part in value)
    return numbers and all(isinstance(part, int | float) and abs(part) <= 1_000_000 for part in value)


def _names(value: Any) -> list[str]:
    if not isinstance(value, list) or not 0 < len(value) <= MOST_NAMES:
        raise BadParameters(f"Give the numbers of samples as a list of 1 to {MOST_NAMES:,}.")
    return [_text(one) for one in value]


def _sheet(value: Any) -> str | dict[str, Any]:
    try:
        label_sheets.sheet_of(value)
    except label_sheets.BadSheet as error:
        raise BadParameters(str(error)) from None
    return value if isinstance(value, str) else dict(value)


def _address(value: Any) -> str:
    """Where the program is reached: scheme, host and port, and perhaps a path."""
    if not isinstance(value, str) or not ADDRESS.fullmatch(value):
        raise BadParameters(f"{str(value)[:100]!r} is not the address of a program. Write it as https://paint.example.org.")
    return value


def _rulings(value: Any) -> list[dict[str, Any]]:
    if not isinstance(value, list) or not 0 < len(value) <= MOST_RULINGS:
        raise BadParameters(f"Give the proposed rulings as a list of 1 to {MOST_RULINGS}.")
    return [_ruling(one) for one in value]


def _ruling(value: Any) -> dict[str, Any]:
    """A ruling with its layers in their one form: {kind, first, second or None, generation or None}."""
    takes = ("kind", "first", "second", "generation")
    if not isinstance(value, Mapping) or not set(value) <= set(takes):
        raise BadParameters(f"A proposed ruling is an object of {', '.join(takes)}.")
    kind = value.get("kind")
    if kind not in RULING_KINDS:
        raise BadParameters(f"{kind!r} is not a ruling. Choose one of {', '.join(RULING_KINDS)}.")
    first, second, generation = _layer(value.get("first")), value.get("second"), value.get("generation")
    if kind != "hold":
        if generation is not None:
            raise BadParameters(f"A {kind} names two layers and no generation.")
        return {"kind": kind, "first": first, "second": _layer(second), "generation": None}
    if second is not None:
        raise BadParameters("A hold is of one layer; leave the second out.")
    if not isinstance(generation, int) or isinstance(generation, bool) or not 1 <= generation < 100_000:
        raise BadParameters("A hold names the generation in which it holds the layer, by its number.")
    return {"kind": kind, "first": first, "second": None, "generation": generation}


def _layer(value: Any) -> str:
    found = LAYER.fullmatch(value) if isinstance(value, str) and len(value) <= 100 else None
    if found is None:
        raise BadParameters(f"{value!r} names no layer. Write a layer as sample/position, as in WH003/7.")
    return f"{found[1]}/{found[2]}"


KINDS: Final[dict[str, Kind]] = {
    kind.name: kind
    for kind in (
        Kind("check-import", "1", "import", "Check an import", {"upload": _text, "sheet": _text}, frozenset({"upload"}), once=False),
        Kind(
            "import",
            "1",
            "import",
            "Import",
            {"upload": _text, "sheet": _text, "checked": _text},
            frozenset({"upload", "checked"}),
            once=False,
        ),
        Kind("correlate", correlation.VERSION, "compute", "Correlate layers into generations", {"space": _text}),
        Kind(
            "preview",
            correlation.VERSION,
            "write",
            "See what rulings would change",
            {"space": _text, "rulings": _rulings},
            frozenset({"space", "rulings"}),
            quick=True,
        ),
        Kind("date", "1", "compute", "Derive the years of generations", {}, quick=True),
        Kind(
            "chart",
            "1",
            "see",
            "Draw a generation chart",
            {"space": _text, "format": _format, "paper": _paper},
            frozenset({"space", "format"}),
            quick=True,
        ),
        Kind("registers", "1", "see", "Export the registers as a workbook", {}),
        Kind("schedule", "1", "see", "Write a schedule as a draft", {"schedule": _text, "paper": _large_paper}, frozenset({"schedule"})),
        Kind("answers", "1", "see", "Write the owner's answer sheets", {"year": _year, "phase": _ordinal, "page": _small_paper}),
        Kind(
            "issue-schedule",
            "1",
            "issue",
            "Issue a schedule",
            {"schedule": _text, "purpose": _purpose, "issued_on": _day, "note": _note, "paper": _large_paper},
            frozenset({"schedule", "purpose"}),
            once=False,
        ),
        Kind(
            "labels",
            "1",
            "see",
            "Print labels",
            {
                "for": _one_of("bag", "vial", "mount"),
                "sheet": _sheet,
                "space": _text,
                "samples": _names,
                "first": _count(1, label_sheets.MOST_LABELS),
                "cut_marks": _truth,
                "link": _address,
            },
            frozenset({"for", "sheet"}),
        ),
        Kind(
            "sampling-plan",
            "1",
            "see",
            "Plan the next sampling",
            {"space": _text, "paper": _one_of("A4", "letter"), "blank": _count(0, 40)},
        ),
        Kind("chapter", "1", "see", "Write the paint chapter", {"paper": _one_of("A4", "letter")}),
        Kind("archive", "1", "manage", "Archive the whole project", {"outputs": _truth}),
        Kind(
            "picture-colour",
            "1",
            "write",
            "Measure the colour target in a picture",
            {"attachment": _text},
            frozenset({"attachment"}),
            once=False,
            quick=True,
        ),
        Kind(
            "register-pictures",
            "1",
            "write",
            "Lay two pictures of a section on each other",
            {"fixed": _text, "moving": _text, "points": _pairs},
            frozenset({"fixed", "moving"}),
            once=False,
            quick=True,
        ),
        Kind("read-line", "1", "write", "Read a line across a section", {"traverse": _text}, frozenset({"traverse"}), once=False, quick=True),
        Kind("import-archive", "1", "manage", "Bring an archive", {"upload": _text}, frozenset({"upload"}), once=False),
        Kind(
            "picture",
            "1",
            "write",
            "Make a picture ready to be shown",
            {"attachment": _text},
            frozenset({"attachment"}),
            once=False,
            quick=True,
        ),
    )
}

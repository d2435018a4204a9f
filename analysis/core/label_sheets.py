"""Sheets of labels, by their measures: where each label lies on its page.

Presets are named by size alone. Their margins are common practice for such sheets, not measured on yours: print one on plain paper, and
hold it against a sheet of labels, before using one up.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

PAGES: Final[Mapping[str, tuple[float, float]]] = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height in mm, upright: ISO 216 A4; US letter is 8.5 × 11 inches."""

SMALLEST: Final = 8.0
"""No side of a label is shorter, in mm."""

LARGEST_PAGE: Final = 450.0
MOST_LABELS: Final = 1_000
_SLACK: Final = 0.01


class BadSheet(ValueError):
    """Measures of which no sheet can be made; the message is a sentence."""


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Measures in mm from the upper left corner of the page."""

    page_width: float
    page_height: float
    label_width: float
    label_height: float
    columns: int
    rows: int
    left: float
    top: float
    gap_x: float
    gap_y: float

    @property
    def labels(self) -> int:
        """How many labels a page holds."""
        return self.columns * self.rows

    def place(self, index: int) -> tuple[float, float]:
        """Give the place of a label.

        Parameters
        ----------
        index : int
            From 0, along the rows from the upper left.

        Returns
        -------
        tuple of float
            Left and upper edge of the label in mm from those of the page.

        Raises
        ------
        IndexError
            If the page has no such label.
        """
        if not 0 <= index < self.labels:
            raise IndexError(f"A page holds {self.labels} labels; there is none at {index + 1}.")
        row, column = divmod(index, self.columns)
        return self.left + column * (self.label_width + self.gap_x), self.top + row * (self.label_height + self.gap_y)


def _centred(page: str, width: float, height: float, columns: int, rows: int, gap_x: float, gap_y: float) -> LabelSheet:
    wide, high = PAGES[page]
    left = (wide - columns * width - (columns - 1) * gap_x) / 2
    top = (high - rows * height - (rows - 1) * gap_y) / 2
    return LabelSheet(wide, high, width, height, columns, rows, round(left, 2), round(top, 2), gap_x, gap_y)


PRESETS: Final[Mapping[str, LabelSheet]] = {
    "A4, 3 × 7 of 63.5 × 38.1 mm": _centred("A4", 63.5, 38.1, 3, 7, 2.5, 0.0),
    "A4, 3 × 8 of 64 × 34 mm": _centred("A4", 64.0, 34.0, 3, 8, 2.0, 0.0),
    "A4, 4 × 12 of 45.7 × 21.2 mm": _centred("A4", 45.7, 21.2, 4, 12, 2.5, 0.0),
    "A4, 5 × 13 of 38.1 × 21.2 mm": _centred("A4", 38.1, 21.2, 5, 13, 2.5, 0.0),
    "A4, 7 × 27 of 25.4 × 10 mm": _centred("A4", 25.4, 10.0, 7, 27, 2.5, 0.0),
    "letter, 3 × 10 of 66.7 × 25.4 mm": _centred("letter", 66.7, 25.4, 3, 10, 3.0, 0.0),
    "letter, 4 × 20 of 44.5 × 12.7 mm": _centred("letter", 44.5, 12.7, 4, 20, 7.6, 0.0),
}


def sheet_of(measures: str | Mapping[str, Any]) -> LabelSheet:
    """Make a sheet of a preset's name or of measures.

    Parameters
    ----------
    measures : str or mapping
        A name from `PRESETS`, or the fields of `LabelSheet`: in mm a page up to 450, labels of at least 8 on each side, margins and gaps
        from 0; and how many labels lie side by side and one below the other, from 1.

    Returns
    -------
    LabelSheet
        With all of its labels on the page.

    Raises
    ------
    BadSheet
        If there is no such preset, a measure is missing, unknown or no number, or no label fits the page.
    """
    if isinstance(measures, str):
        if measures not in PRESETS:
            raise BadSheet(f"There is no sheet “{measures[:80]}”. Choose one of these, or give its measures: {'; '.join(PRESETS)}.")
        return PRESETS[measures]
    names = LabelSheet.__slots__
    if not isinstance(measures, Mapping) or set(measures) != set(names):
        raise BadSheet(f"Give a sheet's measures in mm: {', '.join(names)}.")
    for name, value in measures.items():
        whole = name in ("columns", "rows")
        if isinstance(value, bool) or not isinstance(value, int if whole else int | float) or not math.isfinite(value) or value < whole:
            what = "a whole number from 1 up" if whole else "a number of mm from 0 up"
            raise BadSheet(f"The measure {name.replace('_', ' ')} must be {what}, not {str(value)[:40]}.")
    values: dict[str, Any] = {name: value if name in ("columns", "rows") else float(value) for name, value in measures.items()}
    sheet = LabelSheet(**values)
    if max(sheet.page_width, sheet.page_height) > LARGEST_PAGE:
        raise BadSheet(f"A page measures at most {LARGEST_PAGE:g} mm.")
    if min(sheet.label_width, sheet.label_height) < SMALLEST:
        raise BadSheet(f"A label measures at least {SMALLEST:g} mm on each side, or nothing on it could be read.")
    needed = (
        sheet.left + sheet.columns * sheet.label_width + (sheet.columns - 1) * sheet.gap_x,
        sheet.top + sheet.rows * sheet.label_height + (sheet.rows - 1) * sheet.gap_y,
    )
    for need, have, what in zip(needed, (sheet.page_width, sheet.page_height), ("wide", "high"), strict=True):
        if need > have + _SLACK:
            raise BadSheet(f"These labels need a page {need:g} mm {what}, and the page is {have:g} mm {what}. Check the measures.")
    if sheet.labels > MOST_LABELS:
        raise BadSheet(f"A page holds at most {MOST_LABELS:,} labels.")
    return sheet

"""What a paper holds, apart from how it is set: one tree, from which the word processor's document and the PDF are both made."""

from dataclasses import dataclass
from typing import Final, Literal

from analysis.drawing.shapes import Sheet

PAGES: Final = {"A4": (595.28, 841.89), "letter": (612.0, 792.0)}
"""Width and height in points, upright."""


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading: 1 of a chapter's part, 2 of a section, 3 of what is in one."""

    level: Literal[1, 2, 3]
    text: str


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph; `small` for what is beside the matter, `strong` for what must not be missed."""

    text: str
    kind: Literal["body", "small", "strong"] = "body"


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list without order."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Swatch:
    """A cell filled with a colour; None where there is none to show."""

    fill: str | None


Cell = str | Swatch


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its head, and its share of the width."""

    head: str
    share: float


@dataclass(frozen=True, slots=True)
class Table:
    """A numbered table; its head is repeated on each page. `tall` is the least height of a row in points, for what is filled in by hand."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    tall: float = 0.0
    numbered: bool = True


@dataclass(frozen=True, slots=True)
class Figure:
    """A numbered figure: a drawing, and what it shows in words for who cannot see it."""

    caption: str
    alt: str
    sheet: Sheet


@dataclass(frozen=True, slots=True)
class Contents:
    """The table of contents, under a title that is not in it."""

    title: str


@dataclass(frozen=True, slots=True)
class Turn:
    """A new page, on its side or upright, and so on from there."""

    wide: bool


@dataclass(frozen=True, slots=True)
class NewPage:
    """A new page."""


Block = Heading | Words | Bullets | Table | Figure | Contents | Turn | NewPage


@dataclass(frozen=True, slots=True)
class Paper:
    """A whole paper. `foot` stands at the foot of each page; `dated` (ISO 8601) is the date of what it says, not of its making."""

    title: str
    subtitle: str
    blocks: tuple[Block, ...]
    page: str = "A4"
    foot: str = ""
    dated: str = ""
    wide: bool = False


MARGINS: Final = {False: 56.0, True: 40.0}
"""Margins in points of upright pages, and of those on their side, which hold what is wide."""

UNDER_FIGURE: Final = 58.0
"""Room for the caption below a figure that fills a page, and for a heading above it."""


def room(page: str, *, wide: bool) -> tuple[float, float]:
    """Width and height in points within the margins of a page."""
    short, long = PAGES[page]
    across, up = (long, short) if wide else (short, long)
    return across - 2 * MARGINS[wide], up - 2 * MARGINS[wide]


def figure_room(page: str, *, wide: bool) -> tuple[float, float]:
    """The size in points of a drawing that fills a page and leaves room for its caption."""
    across, up = room(page, wide=wide)
    return across, up - UNDER_FIGURE

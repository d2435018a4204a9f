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
    """The table of contents."""


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

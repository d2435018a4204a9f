"""A table that flows over pages: its cells are broken into lines once, so that thousands of rows are set in seconds."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from analysis.drawing.style import HAIR, INK, PLATE, RULE
from analysis.drawing.text import clean, font, width
from analysis.papers.tree import Cell, Swatch, Table

SIZE: Final = 7.6
LEADING: Final = 9.6
PAD_X: Final = 3.0
PAD_Y: Final = 2.6
# A cell with more lines goes on in a row of its own, so that none is taller than a page.
MOST_LINES: Final = 36
LEAST_ROOM: Final = 8.0


@dataclass(frozen=True, slots=True)
class Row:
    """A row as it is set: the lines of each cell, fills by column, its height, and whether the next one goes on with it."""

    cells: tuple[tuple[str, ...], ...]
    fills: tuple[tuple[int, str], ...]
    height: float
    goes_on: bool


def broken(text: str, room: float, bold: bool = False) -> list[str]:
    """A text in lines that fit; a word that is too long for a line is broken, never cut off."""
    lines: list[str] = []
    for part in text.split("\n"):
        line = ""
        for word in clean(part).split(" "):
            longer = f"{line} {word}" if line else word
            if width(longer, SIZE, bold) <= room:
                line = longer
                continue
            if line:
                lines.append(line)
            line = word
            while width(line, SIZE, bold) > room and len(line) > 1:
                keep = _fitting(line, room, bold)
                lines.append(line[:keep])
                line = line[keep:]
        lines.append(line)
    return lines


def _fitting(word: str, room: float, bold: bool) -> int:
    """How many letters of a word fit, at least one; broken after a hyphen or a slash where one is near."""
    keep = 1
    while keep < len(word) and width(word[: keep + 1], SIZE, bold) <= room:
        keep += 1
    for back in range(keep, max(1, keep // 2), -1):
        if word[back - 1] in "-/;,.":
            return back
    return keep


class Rows(Flowable):
    """The rows of a table from one on; it splits where the page ends, and each part has the head."""

    def __init__(self, head: Row, rows: Sequence[Row], widths: Sequence[float], start: int = 0, stop: int | None = None) -> None:
        super().__init__()
        self.head = head
        self.rows = rows
        self.widths = widths
        self.start = start
        self.stop = len(rows) if stop is None else stop

    def wrap(self, *room: float) -> tuple[float, float]:
        """Its size."""
        return sum(self.widths), self.head.height + sum(row.height for row in self.rows[self.start : self.stop])

    def split(self, wide: float, high: float) -> list[Flowable]:
        """The part that fits, and the rest; nothing if not one row fits under the head."""
        left, at = high - self.head.height, self.start
        while at < self.stop and self.rows[at].height <= left:
            left -= self.rows[at].height
            at += 1
        if at == self.start:
            return []
        parts: list[Flowable] = [Rows(self.head, self.rows, self.widths, self.start, at)]
        if at < self.stop:
            parts.append(Rows(self.head, self.rows, self.widths, at, self.stop))
        return parts

    def draw(self) -> None:
        """On the page, from the top down."""
        _, top = self.wrap()
        self.canv.setFillColor(HexColor(PLATE))
        self.canv.rect(0, top - self.head.height, sum(self.widths), self.head.height, stroke=0, fill=1)
        top = self._row(self.head, top, bold=True)
        for row in self.rows[self.start : self.stop]:
            top = self._row(row, top, bold=False)

    def _row(self, row: Row, top: float, *, bold: bool) -> float:
        canvas, foot, x = self.canv, top - row.height, 0.0
        for column, fill in row.fills:
            canvas.setFillColor(HexColor(fill))
            canvas.setStrokeColor(HexColor(RULE))
            canvas.setLineWidth(0.4)
            left = sum(self.widths[:column])
            canvas.rect(left + 1, foot + 1.2, self.widths[column] - 2, row.height - 2.4, stroke=1, fill=1)
        canvas.setFillColor(HexColor(INK))
        canvas.setFont(font(bold).fontName, SIZE)
        for lines, wide in zip(row.cells, self.widths, strict=True):
            for place, line in enumerate(lines):
                canvas.drawString(x + PAD_X, top - PAD_Y - SIZE * 0.85 - place * LEADING, line)
            x += wide
        if not row.goes_on:
            canvas.setStrokeColor(HexColor(RULE if bold else HAIR))
            canvas.setLineWidth(0.8 if bold else 0.4)
            canvas.line(0, foot, x, foot)
        return foot


def rows_of(table: Table, room: float) -> Rows:
    """A table as it is set in a width."""
    whole = sum(column.share for column in table.columns)
    widths = [room * column.share / whole for column in table.columns]
    head = _rows([column.head for column in table.columns], widths, 0.0, bold=True)[0]
    return Rows(head, [row for cells in table.rows for row in _rows(cells, widths, table.tall)], widths)


def _rows(cells: Sequence[Cell], widths: Sequence[float], tall: float, *, bold: bool = False) -> list[Row]:
    lines = [
        [] if isinstance(cell, Swatch) or not cell else broken(cell, max(LEAST_ROOM, wide - 2 * PAD_X), bold)
        for cell, wide in zip(cells, widths, strict=True)
    ]
    fills = tuple((column, cell.fill) for column, cell in enumerate(cells) if isinstance(cell, Swatch) and cell.fill)
    most = max(1, *(len(part) for part in lines))
    made = []
    for start in range(0, most, MOST_LINES):
        parts = tuple(tuple(part[start : start + MOST_LINES]) for part in lines)
        height = max(tall if start == 0 else 0.0, max(1, *(len(part) for part in parts)) * LEADING + 2 * PAD_Y)
        made.append(Row(parts, fills if start == 0 else (), height, start + MOST_LINES < most))
    return made

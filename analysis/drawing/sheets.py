"""From a chart to sheets: one drawing of everything, or pages of blocks of columns and rows."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, Final

from analysis.drawing.grid import Band, Block, bands_of, block_height, block_width, draw_block, feet_height, heads_height
from analysis.drawing.key import all_sentences, draw_foot, foot_height, is_cut
from analysis.drawing.reading import Chart, Column, read_chart
from analysis.drawing.shapes import Box, Shape, Sheet, Text
from analysis.drawing.style import BODY, COLUMN, HEADING, INK, LEADING, MARGIN, PAPER, ROW_HEAD, SMALL, SOFT, TITLE
from analysis.drawing.text import shorten, width

# Landscape, in points of 1/72 inch: ISO 216 for A3 and A4; tabloid is 17 × 11 inches.
PAPERS: Final[Mapping[str, tuple[float, float]]] = {"A3": (1190.55, 841.89), "A4": (841.89, 595.28), "tabloid": (1224.0, 792.0)}
NOTHING_YET: Final = "There is nothing to draw yet: no sample of this space has any layers."
_READING: Final = (
    "Columns are samples, rows are generations of paint, the oldest at the foot; in a cell the oldest layer lies at the foot too."
)
_LEAST_WIDTH: Final = 760.0
_HEADER: Final = 34.0
_ABOVE_KEY: Final = 6.0
# What is left at the edge of a bound sheet, so that outlines are whole.
EDGE: Final = 1.0


class UnknownPaper(ValueError):
    """A paper size that is not offered; the message is a sentence."""


def whole_sheet(chart: Mapping[str, Any]) -> Sheet:
    """One drawing of the whole chart, as large as it needs to be."""
    read = read_chart(chart)
    bands = bands_of(read)
    block = Block(read.columns, tuple(bands))
    room = max(_LEAST_WIDTH - 2 * MARGIN, block_width(block))
    shapes: list[Shape] = [*_header(read, room, _counts(read))]
    y = MARGIN + _HEADER
    if bands:
        shapes += draw_block(block, MARGIN, y)
        y += block_height(block)
    # A line of text as wide as sixty columns cannot be read.
    foot_room = min(room, PAPERS["A3"][0] - 2 * MARGIN)
    shapes += draw_foot(read, MARGIN, y + _ABOVE_KEY, foot_room)
    height = y + _ABOVE_KEY + foot_height(read, foot_room) + MARGIN
    return _sheet(read, room + 2 * MARGIN, height, shapes)


def page_sheets(chart: Mapping[str, Any], paper: str = "A3") -> list[Sheet]:
    """The chart on pages: blocks of columns from left to right, in each the blocks of rows from the newest to the oldest.

    Raises
    ------
    UnknownPaper
        If the paper is not A3, A4 or tabloid.
    """
    if paper not in PAPERS:
        raise UnknownPaper(f"There is no paper “{paper}” to draw on; ask for {', '.join(PAPERS)}.")
    return sized_sheets(chart, *PAPERS[paper])


def sized_sheets(chart: Mapping[str, Any], wide: float, high: float, *, bound: bool = False) -> list[Sheet]:
    """The chart on pages of any size in points, as on those of a paper.

    Sheets that are `bound` in a report are never laid side by side: they have no margin of their own, and each row is only as high as the
    samples on its page need.
    """
    margin = EDGE if bound else MARGIN
    room = wide - 2 * margin
    read = read_chart(chart)
    most = int(high * 0.22 / (BODY * LEADING))
    body = high - 2 * margin - _HEADER - _ABOVE_KEY - foot_height(read, room, most)
    bodies = [(note, [*draw_block(block, margin, margin + _HEADER)]) for note, block in _page_bodies(read, room, body, bound)] or [("", [])]
    overflow = _overflow_pages(read, room, high, most, margin)
    total = len(bodies) + len(overflow)
    sheets = []
    for number, (note, shapes) in enumerate([*bodies, *overflow], start=1):
        foot = [*draw_foot(read, margin, high - margin - foot_height(read, room, most), room, most)] if number <= len(bodies) else []
        told = " · ".join(part for part in (note, f"page {number} of {total}") if part)
        sheets.append(_sheet(read, wide, high, [*_header(read, room, told, margin), *shapes, *foot]))
    return sheets


def _page_bodies(chart: Chart, room: float, body: float, bound: bool) -> Iterator[tuple[str, Block]]:
    fitting = max(int((room - ROW_HEAD) // COLUMN), 1)
    for start, columns in _column_blocks(chart.columns, fitting):
        # Rows of sheets that are laid side by side are as high on one as on the next.
        shown = replace(chart, columns=columns) if bound else chart
        limit = body - heads_height(shown.columns) - feet_height(shown.columns)
        groups = _row_blocks(bands_of(shown, limit), limit)
        for index, bands in enumerate(groups):
            ends = {"at_top": index == 0, "at_foot": index == len(groups) - 1, "class_begins": _begins_class(chart.columns, start)}
            yield _where(chart, columns, start, bands), Block(columns, bands, **ends)


def _column_blocks(columns: tuple[Column, ...], fitting: int) -> Iterator[tuple[int, tuple[Column, ...]]]:
    """As few blocks as hold the columns, as even as can be: ten columns make five and five, not nine and one."""
    count = -(-len(columns) // fitting)
    for index in range(count):
        start, end = index * len(columns) // count, (index + 1) * len(columns) // count
        yield start, columns[start:end]


def _row_blocks(bands: list[Band], limit: float) -> list[tuple[Band, ...]]:
    """Bands in pages, filled from the foot up so that the oldest generations stand on a full page; top page first."""
    pages: list[list[Band]] = []
    used = 0.0
    for band in reversed(bands):
        if not pages or used + band.height > limit:
            pages.append([])
            used = 0.0
        pages[-1].append(band)
        used += band.height
    return [tuple(reversed(page)) for page in reversed(pages)]


def _begins_class(columns: tuple[Column, ...], start: int) -> bool:
    return start == 0 or columns[start - 1].element_class != columns[start].element_class


def _where(chart: Chart, columns: tuple[Column, ...], start: int, bands: tuple[Band, ...]) -> str:
    first, last = start + 1, start + len(columns)
    samples = f"{f'sample {first}' if first == last else f'samples {first}–{last}'} of {len(chart.columns)}"
    ordinals = [band.row.ordinal for band in bands if band.row.ordinal is not None]
    rows = ["layers not placed"] if len(ordinals) < len(bands) else []
    if ordinals:
        low, high = min(ordinals), max(ordinals)
        rows.append(f"generation {low}" if low == high else f"generations {low}–{high}")
    return " · ".join([samples, *rows])


def _overflow_pages(chart: Chart, room: float, high: float, most: int, margin: float) -> list[tuple[str, list[Shape]]]:
    """Pages with all the cautions and notes, if the sheets had no room for them."""
    if not is_cut(chart, room, most):
        return []
    lines = all_sentences(chart, room)
    fitting = int((high - 2 * margin - _HEADER) // (BODY * LEADING))
    return [
        (
            "cautions and notes",
            [
                Text(margin, margin + _HEADER + (index + 1) * BODY * LEADING, text, BODY, room, INK, bold)
                for index, (text, bold) in enumerate(lines[start : start + fitting])
            ],
        )
        for start in range(0, len(lines), fitting)
    ]


def _counts(chart: Chart) -> str:
    generations = sum(row.ordinal is not None for row in chart.rows)
    layers = sum(map(len, chart.layers.values()))
    return f"{_many(len(chart.columns), 'sample')}, {_many(generations, 'generation')}, {_many(layers, 'layer')}"


def _many(count: int, name: str) -> str:
    return f"{count} {name}" if count == 1 else f"{count} {name}s"


def _header(chart: Chart, room: float, told: str, margin: float = MARGIN) -> Iterator[Shape]:
    told = shorten(told, HEADING, room / 2)
    left = room - width(told, HEADING) - 16
    yield Text(margin, margin + 11, shorten(chart.title, TITLE, left, True), TITLE, left, INK, True)
    yield Text(margin + room, margin + 11, told, HEADING, room / 2, INK, anchor="end")
    if chart.layers:
        yield Text(margin, margin + 24, _READING, SMALL, room, SOFT)
    else:
        yield Text(margin, margin + 25, NOTHING_YET, HEADING, room, INK)


def _sheet(chart: Chart, wide: float, high: float, shapes: list[Shape]) -> Sheet:
    described = f"{_counts(chart)}. {_READING}"
    return Sheet(wide, high, chart.title, described, (Box(0, 0, wide, high, PAPER), *shapes))

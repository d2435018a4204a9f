"""The grid: heads of samples and generations, and the cells between them, for any block of columns and rows."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Final

from analysis.drawing.reading import Chart, Column, Layer, Row
from analysis.drawing.shapes import Box, Group, Line, Shape, Text
from analysis.drawing.style import (
    BODY,
    CELL_PAD,
    COLUMN,
    HAIR,
    HEADING,
    INK,
    LAYER_GAP,
    LEADING,
    PLATE,
    ROW_HEAD,
    RULE,
    SMALL,
    SOFT,
    WEAK_DISTINCTNESS,
    percent,
)
from analysis.drawing.swatch import draw_layer, layer_height
from analysis.drawing.text import shorten, width, wrap

NOT_PLACED: Final = "not placed"
_CLASS_HEIGHT: Final = 13.0
_NAMES_HEIGHT: Final = 33.0
_STATE_HEIGHT: Final = 11.0
_ORDINAL_SIZE: Final = 12.0
_ORDINAL_ROOM: Final = 26.0
_HEAD_ROOM: Final = ROW_HEAD - _ORDINAL_ROOM - 6.0
_ROW_PAD: Final = 4.0
# What an A3 page holds.
_MOST_COLUMNS_SEEN_AT_ONCE: Final = 9
_MOST_HEIGHT_SEEN_AT_ONCE: Final = 700.0
_REPEAT_WIDTH: Final = 28.0


@dataclass(frozen=True, slots=True)
class Band:
    """A row, or the slice of a row that fits a page: its layers by sample, oldest first, and its height."""

    row: Row
    stacks: dict[str, tuple[Layer, ...]]
    height: float


@dataclass(frozen=True, slots=True)
class Block:
    """The columns and bands of one drawing or page; `at_top` and `at_foot` tell whether the chart's ends are in it.

    A block wider or higher than any page names its rows again at the right and its samples again at the foot.
    """

    columns: tuple[Column, ...]
    bands: tuple[Band, ...]
    at_top: bool = True
    at_foot: bool = True
    class_begins: bool = True

    @property
    def wide(self) -> bool:
        return len(self.columns) > _MOST_COLUMNS_SEEN_AT_ONCE

    @property
    def high(self) -> bool:
        return sum(band.height for band in self.bands) > _MOST_HEIGHT_SEEN_AT_ONCE


def bands_of(chart: Chart, limit: float = float("inf")) -> list[Band]:
    """The chart's rows from top to foot as bands no higher than `limit` points."""
    bands: list[Band] = []
    for row in chart.rows:
        stacks = {column.sample: chart.layers.get((column.sample, row.ordinal), ()) for column in chart.columns}
        slices = _slices(stacks, limit - 2 * _ROW_PAD)
        for index, part in enumerate(slices):
            told = f"part {len(slices) - index} of {len(slices)}" if len(slices) > 1 else ""
            # Only the lowest slice borders on the next older generation.
            at_foot = index == len(slices) - 1
            named = replace(row, part=told, distinctness=row.distinctness if at_foot else None)
            highest = max([_stack_height(stack) for stack in part.values()], default=0.0)
            bands.append(Band(named, part, max(highest, _head_height(named)) + 2 * _ROW_PAD))
    return bands


def heads_height(columns: Sequence[Column]) -> float:
    """Height of the column heads above the first row."""
    return _CLASS_HEIGHT + _NAMES_HEIGHT + (_STATE_HEIGHT if any(_top_word(column) for column in columns) else 0.0)


def feet_height(columns: Sequence[Column]) -> float:
    """Height of the line of base states below the last row."""
    return _STATE_HEIGHT if any(_base_word(column) for column in columns) else 0.0


def block_width(block: Block) -> float:
    """Width of the grid with its heads."""
    return ROW_HEAD + COLUMN * len(block.columns) + (_REPEAT_WIDTH if block.wide else 0.0)


def block_height(block: Block) -> float:
    """Height of the grid with its heads and feet."""
    rows = sum(band.height for band in block.bands)
    return heads_height(block.columns) + rows + feet_height(block.columns) + (_STATE_HEIGHT if block.high else 0.0)


def draw_block(block: Block, x: float, y: float) -> Iterator[Shape]:
    """Heads, rows and feet with the upper left corner at (x, y)."""
    first = x + ROW_HEAD
    grid_top = y + heads_height(block.columns)
    grid_foot = grid_top + sum(band.height for band in block.bands)
    right = first + COLUMN * len(block.columns)
    yield from _class_heads(block, first, y)
    yield from _sample_heads(block, first, y + _CLASS_HEIGHT)
    top = grid_top
    rules = [Line(x, grid_top, right, grid_top, INK, 0.8)]
    for band in block.bands:
        yield Group(_row_title(band.row), tuple(_row_head(band, x, top)))
        yield from _cells(block, band, first, top)
        top += band.height
        if block.wide and band.row.ordinal is not None:
            yield Text(right + 6, top - 5, str(band.row.ordinal), _ORDINAL_SIZE, _REPEAT_WIDTH - 6, INK, True)
        rules.append(_separator(band, x, right, top, last=band is block.bands[-1]))
    # The rules last: the plate of the next row's head would cover them.
    yield from rules
    for index, column in enumerate(block.columns):
        begins = index == 0 or block.columns[index - 1].element_class != column.element_class
        left = first + index * COLUMN
        yield Line(left, y + (0 if begins else _CLASS_HEIGHT), left, grid_foot, *((RULE, 0.9) if begins else (HAIR, 0.4)))
        if block.at_foot and (word := _base_word(column)):
            yield _state(word, left, grid_foot + _STATE_HEIGHT - 2.6)
        if block.high:
            foot = grid_foot + feet_height(block.columns) + _STATE_HEIGHT - 1.4
            yield Text(
                left + CELL_PAD,
                foot,
                shorten(column.sample, HEADING, COLUMN - 2 * CELL_PAD, True),
                HEADING,
                COLUMN - 2 * CELL_PAD,
                INK,
                True,
            )
    yield Line(right, y, right, grid_foot, RULE, 0.9)


def _slices(stacks: dict[str, tuple[Layer, ...]], limit: float) -> list[dict[str, tuple[Layer, ...]]]:
    """The stacks cut from the foot upwards into slices no higher than the limit; highest slice first."""
    slices: list[dict[str, tuple[Layer, ...]]] = [{}]
    for sample, stack in stacks.items():
        level, used = 0, 0.0
        for layer in stack:
            high = layer_height(layer) + (LAYER_GAP if used else 0.0)
            if used and used + high > limit:
                level, used, high = level + 1, 0.0, layer_height(layer)
                if level == len(slices):
                    slices.append({})
            used += high
            slices[level][sample] = (*slices[level].get(sample, ()), layer)
    return slices[::-1]


def _stack_height(stack: tuple[Layer, ...]) -> float:
    return sum(map(layer_height, stack)) + LAYER_GAP * max(len(stack) - 1, 0)


def _cells(block: Block, band: Band, x: float, top: float) -> Iterator[Shape]:
    for index, column in enumerate(block.columns):
        foot = top + band.height - _ROW_PAD
        for layer in band.stacks.get(column.sample, ()):
            yield draw_layer(layer, x + index * COLUMN + CELL_PAD, foot)
            foot -= layer_height(layer) + LAYER_GAP


def _row_lines(row: Row) -> list[tuple[str, float, bool, str]]:
    """The lines of a row's head after the ordinal: text, size, bold, colour."""
    if row.ordinal is None:
        lines = [(NOT_PLACED, BODY, True, INK), ("layers without a generation", SMALL, False, SOFT)]
    else:
        lines = [(line, BODY, True, INK) for line in wrap(row.label, BODY, _HEAD_ROOM, 2, bold=True)]
        lines += [(line, BODY, False, INK) for line in wrap(row.years or "not dated", BODY, _HEAD_ROOM, 2)]
        lines += [(line, SMALL, False, SOFT) for line in wrap(row.phase, SMALL, _HEAD_ROOM, 2)]
        lines += [(line, SMALL, False, SOFT) for line in wrap(row.technique, SMALL, _HEAD_ROOM, 1)]
    return lines + ([(row.part, SMALL, False, SOFT)] if row.part else [])


def _apart(row: Row) -> str:
    weak = row.ordinal is not None and row.distinctness is not None and row.distinctness < WEAK_DISTINCTNESS
    return f"apart from the one below: {percent(row.distinctness)}" if weak and row.distinctness is not None else ""


def _head_height(row: Row) -> float:
    lines = sum(size * LEADING for _, size, _, _ in _row_lines(row)) + (SMALL * LEADING + 1.0 if _apart(row) else 0.0)
    return max(lines, _ORDINAL_SIZE * LEADING)


def _row_title(row: Row) -> str:
    name = NOT_PLACED if row.ordinal is None else f"generation {row.ordinal}"
    return ", ".join(part for part in (name, row.label, row.years, row.phase, row.technique, row.part, _apart(row)) if part)


def _row_head(band: Band, x: float, top: float) -> Iterator[Shape]:
    row = band.row
    yield Box(x, top, ROW_HEAD, band.height, PLATE)
    y = top + _ROW_PAD
    if row.ordinal is not None:
        room = _ORDINAL_ROOM - 6
        ordinal = shorten(str(row.ordinal), _ORDINAL_SIZE, room, True)
        yield Text(x + 4, y + _ORDINAL_SIZE * 0.8, ordinal, _ORDINAL_SIZE, room, INK, True)
    for text, size, bold, colour in _row_lines(row):
        yield Text(x + _ORDINAL_ROOM, y + size, text, size, _HEAD_ROOM, colour, bold)
        y += size * LEADING
    if apart := _apart(row):
        yield Text(x + ROW_HEAD - 4, top + band.height - 2.4, apart, SMALL, ROW_HEAD - 8, INK, anchor="end")


def _separator(band: Band, x: float, right: float, y: float, last: bool) -> Line:
    """The line below a row: whole, or broken where the two generations may be one; light between slices of one row."""
    if _apart(band.row):
        return Line(x, y, right, y, INK, 1.1, (7.0, 5.0))
    if band.row.part and not band.row.part.startswith("part 1 ") and not last:
        return Line(x, y, right, y, HAIR, 0.4)
    return Line(x, y, right, y, INK, 0.8 if last else 0.5)


def _class_heads(block: Block, x: float, y: float) -> Iterator[Shape]:
    left = x
    for number, (name, members) in enumerate(groupby(block.columns, key=lambda column: column.element_class)):
        wide = COLUMN * len(list(members))
        shown = (name or "class not given") + ("" if block.class_begins or number else " (continued)")
        yield Box(left, y, wide, _CLASS_HEIGHT, PLATE)
        yield Text(left + 4, y + 9.4, shorten(shown, HEADING, wide - 8, True), HEADING, wide - 8, INK, True)
        left += wide


def _sample_heads(block: Block, x: float, y: float) -> Iterator[Shape]:
    room = COLUMN - 2 * CELL_PAD
    for index, column in enumerate(block.columns):
        left = x + index * COLUMN + CELL_PAD
        number = shorten(column.sample, HEADING, room, True)
        lines = [
            Text(left, y + 9.6, number, HEADING, room, INK, True),
            Text(left, y + 19.0, shorten(column.element, BODY, room), BODY, room, INK),
            Text(left, y + 27.6, shorten(column.position, SMALL, room), SMALL, room, SOFT),
        ]
        title = ", ".join(part for part in (column.sample, column.element, column.element_class, column.position) if part)
        yield Group(title, tuple(line for line in lines if line.text))
        if block.at_top and (word := _top_word(column)):
            yield _state(word, left - CELL_PAD, y + _NAMES_HEIGHT + _STATE_HEIGHT - 2.6)


def _state(word: str, x: float, y: float) -> Text:
    room = COLUMN - 2 * CELL_PAD
    return Text(x + CELL_PAD, y, shorten(word, SMALL, room, True), SMALL, room, INK, True)


def _top_word(column: Column) -> str:
    return "" if column.top_state in ("", "complete") else f"top {column.top_state}"


def _base_word(column: Column) -> str:
    return "" if column.base_state in ("", "complete") else f"base {column.base_state}"


def text_width(text: Text) -> float:
    """Measured width of a text of the draw list."""
    return width(text.text, text.size, text.bold)

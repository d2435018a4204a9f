"""One layer in a cell: its swatch, what is written in it, and the marks beside it."""

from collections.abc import Iterator
from typing import Final

from analysis.drawing.reading import Layer
from analysis.drawing.shapes import Box, Group, Line, Polygon, Shape, Text
from analysis.drawing.style import (
    CELL_PAD,
    COLUMN,
    INK,
    INSET,
    LEADING,
    PAPER,
    PERCENT_BELOW,
    RULE,
    RUNNER_UP_BELOW,
    SMALL,
    SOFT,
    SWATCH,
    legible_on,
    outline,
    percent,
)
from analysis.drawing.text import ELLIPSIS, shorten, width, wrap

UV_BARS: Final = {"none": 0, "weak": 1, "moderate": 2, "strong": 3}
_BESIDE: Final = SWATCH + 4.0
_BESIDE_ROOM: Final = COLUMN - 2 * CELL_PAD - _BESIDE
_WRITTEN_ROOM: Final = SWATCH - 2 * INSET - 3.0
_HATCH_STEP: Final = 5.0
_LINE: Final = SMALL * LEADING
_CORNER: Final = 5.0


def layer_height(layer: Layer) -> float:
    """Height in points of a layer's block."""
    lines = max(len(_written(layer)), len(_uv_lines(layer)) + bool(_sure(layer)))
    return lines * _LINE + 2 * INSET + 2.6 + (_LINE if _runner_up(layer) else 0)


def draw_layer(layer: Layer, x: float, foot: float) -> Group:
    """The block of a layer whose lower left corner is at (x, foot)."""
    height = layer_height(layer)
    top, body = foot - height, height - (_LINE if _runner_up(layer) else 0)
    shapes: list[Shape] = [*_swatch(layer, x, top, body), *_beside(layer, x + _BESIDE, top + INSET)]
    if second := _runner_up(layer):
        room = COLUMN - 2 * CELL_PAD
        shapes.append(Text(x, foot - 1.6, shorten(second, SMALL, room), SMALL, room, SOFT))
    return Group(describe(layer), tuple(shapes))


def describe(layer: Layer) -> str:
    """Everything that the block shows, as one line of words."""
    place = f"generation {layer.generation}" if layer.generation is not None else "not placed"
    if layer.confidence is not None and layer.generation is not None:
        place += f", {percent(layer.confidence)} sure"
    parts = [
        f"{layer.sample} layer {layer.position}",
        ", ".join(part for part in (layer.kind, layer.completeness) if part),
        " ".join(part for part in (layer.colour, layer.munsell) if part) or ("" if layer.screen else "no colour"),
        "" if layer.in_gamut or not layer.screen else "outside what a screen can show",
        "UV " + " ".join(part for part in (layer.uv_strength, layer.uv_colour) if part) if layer.uv_strength or layer.uv_colour else "",
        place,
        "held" if layer.held else "",
        _runner_up(layer),
    ]
    return "; ".join(part for part in parts if part)


def hatch(x: float, y: float, wide: float, high: float) -> Iterator[Line]:
    """Slanting lines that fill a box: no colour is known."""
    offset = _HATCH_STEP
    while offset < wide + high:
        start_x, start_y = (x + offset, y) if offset <= wide else (x + wide, y + offset - wide)
        end_x, end_y = (x, y + offset) if offset <= high else (x + offset - high, y + high)
        yield Line(start_x, start_y, end_x, end_y, RULE, 0.4)
        offset += _HATCH_STEP


def corner_mark(right: float, top: float, colour: str) -> Polygon:
    """The small corner that says: outside what a screen can show."""
    return Polygon(((right - _CORNER, top), (right, top), (right, top + _CORNER)), colour)


def uv_bars(strength: str, x: float, foot: float) -> Iterator[Box]:
    """One to three standing bars; a hollow one for a response that was looked for and absent."""
    count = UV_BARS[strength]
    if count == 0:
        yield Box(x + 0.3, foot - 5.2, 2.2, 5.0, None, INK, 0.5)
    for index in range(count):
        yield Box(x + index * 3.6, foot - 5.4, 2.4, 5.4, INK)


def _bars_width(strength: str) -> float:
    return max(UV_BARS[strength], 1) * 3.6 + 1.6


def held_mark(x: float, foot: float) -> Box:
    """The square before the word 'held'."""
    return Box(x, foot - 4.4, 4.2, 4.2, INK)


def _swatch(layer: Layer, x: float, y: float, height: float) -> Iterator[Shape]:
    if layer.confidence is not None and layer.generation is not None:
        thickness, dash = outline(layer.confidence)
        half = thickness / 2
        yield Box(x + half, y + half, SWATCH - thickness, height - 2 * half - 0.6, None, INK, thickness, dash)
    left, top, wide, high = x + INSET, y + INSET, SWATCH - 2 * INSET, height - 2 * INSET - 0.6
    ink = legible_on(layer.screen) if layer.screen else INK
    if layer.screen:
        yield Box(left, top, wide, high, layer.screen, RULE, 0.3)
        if not layer.in_gamut:
            yield corner_mark(left + wide, top, ink)
    else:
        yield Box(left, top, wide, high, PAPER, RULE, 0.4)
        yield from hatch(left, top, wide, high)
    baseline = top + SMALL + 0.2
    for index, line in enumerate(_written(layer)):
        bold = index == 0
        text = shorten(line, SMALL, _WRITTEN_ROOM, bold)
        if not layer.screen:
            yield Box(left + 0.9, baseline - SMALL + 1.0, width(text, SMALL, bold) + 1.4, SMALL + 0.4, PAPER)
        yield Text(left + 1.5, baseline, text, SMALL, _WRITTEN_ROOM, ink, bold)
        baseline += _LINE


def _written(layer: Layer) -> list[str]:
    """The lines in the swatch: the colour's notation, the kind, and what is not whole about the layer."""
    lab = "Lab " + " ".join(f"{part:.0f}" for part in layer.lab).replace("-", "−") if layer.lab else ""
    colour = layer.munsell or (lab if layer.screen else "") or (f"“{layer.colour}”" if layer.colour else "no colour")
    incomplete = "" if layer.completeness in ("", "present") else layer.completeness
    return [line for line in (colour, layer.kind, incomplete) if line]


def _uv_lines(layer: Layer) -> list[str]:
    if not layer.uv_colour:
        return [""] if layer.uv_strength in UV_BARS else []
    if layer.uv_strength not in UV_BARS:
        return wrap(f"UV {layer.uv_colour} {layer.uv_strength}", SMALL, _BESIDE_ROOM, 2)
    first = wrap(layer.uv_colour, SMALL, _BESIDE_ROOM - _bars_width(layer.uv_strength))[0]
    if first.endswith(ELLIPSIS):
        return ["", *wrap(layer.uv_colour, SMALL, _BESIDE_ROOM, 1)]
    rest = layer.uv_colour[len(first) :].strip()
    return [first, *wrap(rest, SMALL, _BESIDE_ROOM, 1)]


def _sure(layer: Layer) -> str:
    """What is written of the placing: the percentage where it is not sure, and that a person holds it."""
    unsure = layer.confidence is not None and layer.generation is not None and layer.confidence < PERCENT_BELOW
    shown = percent(layer.confidence) if unsure and layer.confidence is not None else ""
    return " ".join(part for part in ("held" if layer.held else "", shown) if part)


def _runner_up(layer: Layer) -> str:
    if layer.runner_up is None or layer.generation is None or layer.confidence is None or layer.confidence >= RUNNER_UP_BELOW:
        return ""
    share = f" ({percent(layer.runner_up_confidence)})" if layer.runner_up_confidence is not None else ""
    return f"2nd: gen {layer.runner_up}{share}"


def _beside(layer: Layer, x: float, y: float) -> Iterator[Shape]:
    baseline = y + SMALL
    for index, line in enumerate(_uv_lines(layer)):
        indent = 0.0
        if index == 0 and layer.uv_strength in UV_BARS:
            yield from uv_bars(layer.uv_strength, x, baseline)
            indent = _bars_width(layer.uv_strength)
        if line:
            yield Text(x + indent, baseline, line, SMALL, _BESIDE_ROOM - indent, SOFT)
        baseline += _LINE
    if sure := _sure(layer):
        indent = 6.0 if layer.held else 0.0
        if layer.held:
            yield held_mark(x, baseline)
        yield Text(x + indent, baseline, shorten(sure, SMALL, _BESIDE_ROOM - indent), SMALL, _BESIDE_ROOM - indent, INK)

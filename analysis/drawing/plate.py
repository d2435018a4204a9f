"""A plate of a section: its visible and UV pictures side by side, a scale bar in each, and brackets that name the layers.

The pictures are turned so that the line across the section runs upwards: the substrate lies at the foot, as in the charts.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from analysis.drawing.shapes import Box, Group, Line, Raster, Shape, Sheet, Text
from analysis.drawing.style import BODY, HAIR, INK, LEADING, PAPER, RULE, SMALL, SOFT, TITLE
from analysis.drawing.text import clean, shorten, width, wrap

GAP: Final = 8.0
BRACKETS: Final = 92.0
TOOTH: Final = 4.0
# From one name to the next, so that none hides another.
STEP: Final = BODY * 1.3
BAR_SHARE: Final = 0.3
BAR_HIGH: Final = 3.0
ROUND: Final = (1, 2, 5)


@dataclass(frozen=True, slots=True)
class Panel:
    """One picture: its JPEG or PNG, its size in px, µm a px of it (None: no scale), and what is said under it."""

    content: bytes
    width_px: int
    height_px: int
    um_per_px: float | None
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Bracket:
    """A layer of the section: from and to in px of the first panel, downwards from its upper edge; its name, and what is said of it."""

    top_px: float
    foot_px: float
    name: str
    told: str
    accepted: bool


@dataclass(frozen=True, slots=True)
class Plate:
    """A plate: what it is of, one or two panels that show the same field, the line on it (px of the panels), its layers, what is said."""

    title: str
    subtitle: str
    panels: tuple[Panel, ...]
    line: tuple[tuple[float, float], ...]
    brackets: tuple[Bracket, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = ()


def plate_sheet(plate: Plate, across: float, most_high: float, *, headed: bool = True) -> Sheet:
    """Draw a plate.

    Parameters
    ----------
    plate : Plate
        With one or two panels of the same size in px.
    across, most_high : float
        The sheet's width in points, and how high it may be at most; the pictures give way to the words.
    headed : bool
        Whether title and subtitle stand above it; in a paper they stand in its caption.

    Returns
    -------
    Sheet
    """
    head = TITLE * 2.4 if headed else 0.0
    many = len(plate.panels)
    beside = BRACKETS if plate.brackets else 0.0
    first = plate.panels[0]
    shape = first.height_px / first.width_px
    wide = (across - beside - GAP * (many - 1 if not plate.brackets else 0)) / many
    foot = _foot(plate, across)
    under = max(len(_under(panel, wide)) for panel in plate.panels) * SMALL * LEADING + SMALL
    high = min(wide * shape, max(most_high - head - under - len(foot) * SMALL * LEADING - GAP, 60.0))
    wide = high / shape
    shapes: list[Shape] = [*_head(plate, across)] if headed else []
    x = 0.0
    for number, panel in enumerate(plate.panels):
        shapes += _panel(panel, x, head, wide, high)
        if number == 0:
            shapes += _line(plate, head, wide)
            x += wide + (_brackets(plate, shapes, x + wide, head, wide, many) or GAP)
        else:
            x += wide + GAP
    y = head + high + max(len(_under(panel, wide)) for panel in plate.panels) * SMALL * LEADING + SMALL + GAP
    for text, bold in foot:
        shapes.append(Text(0, y, text, SMALL, across, INK, bold))
        y += SMALL * LEADING
    return Sheet(across, y, plate.title, _described(plate), (Box(0, 0, across, y, PAPER), *shapes))


def _head(plate: Plate, across: float) -> Iterator[Shape]:
    yield Text(0, TITLE, shorten(plate.title, TITLE, across, True), TITLE, across, INK, True)
    yield Text(0, TITLE * 1.9, shorten(plate.subtitle, BODY, across), BODY, across, SOFT)


def _under(panel: Panel, room: float) -> list[str]:
    return [line for words in panel.words for line in wrap(clean(words), SMALL, room)]


def _panel(panel: Panel, x: float, y: float, wide: float, high: float) -> Iterator[Shape]:
    yield Raster(x, y, wide, high, panel.content)
    yield Box(x, y, wide, high, None, RULE, 0.5)
    if panel.um_per_px is not None:
        yield from _bar(panel.um_per_px * panel.width_px / wide, x, y + high, wide)
    for number, line in enumerate(_under(panel, wide)):
        yield Text(x, y + high + SMALL * (1.6 + LEADING * number), line, SMALL, wide, SOFT if number else INK)


def bar_length(um_per_pt: float, room: float) -> float:
    """The longest of 1, 2 and 5 times a power of ten µm that takes at most `room` points."""
    most = um_per_pt * room
    power = 10.0 ** math.floor(math.log10(most))
    return max(step * power for step in ROUND if step * power <= most)


def _bar(um_per_pt: float, x: float, foot: float, wide: float) -> Iterator[Shape]:
    """A bar on its own ground, so that it is seen on dark and light pictures alike."""
    length = bar_length(um_per_pt, wide * BAR_SHARE)
    long = length / um_per_pt
    told = f"{length:,.0f} µm" if length < 1_000 else f"{length / 1_000:g} mm"
    told = f"{length:g} µm" if length < 1 else told
    room = max(long, width(told, BODY, True)) + 8
    left, top = x + 6, foot - 6 - BODY * LEADING - BAR_HIGH - 6
    yield Box(left, top, room, BODY * LEADING + BAR_HIGH + 6, PAPER, HAIR, 0.4)
    yield Text(left + room / 2, top + BODY + 0.5, told, BODY, room, INK, True, "middle")
    yield Box(left + (room - long) / 2, top + BODY * LEADING + 2.5, long, BAR_HIGH, INK)


def _line(plate: Plate, head: float, wide: float) -> Iterator[Shape]:
    """The line that was read, seen on dark and light alike, with a tick at each face of a layer."""
    scale = wide / plate.panels[0].width_px
    places = [(x * scale, head + y * scale) for x, y in plate.line]
    for stroke, thick, dash in ((PAPER, 1.6, ()), (INK, 0.6, (3.0, 2.0))):
        for (x1, y1), (x2, y2) in pairwise(places):
            yield Line(x1, y1, x2, y2, stroke, thick, dash)
    if not places:
        return
    for face in sorted({one for bracket in plate.brackets for one in (bracket.top_px, bracket.foot_px)}):
        x, y = _at(places, head + face * scale), head + face * scale
        yield Line(x - 5, y, x + 5, y, PAPER, 1.6)
        yield Line(x - 5, y, x + 5, y, INK, 0.6)


def _at(places: Sequence[tuple[float, float]], y: float) -> float:
    """Where the line is at a height: it runs upwards."""
    for (x1, y1), (x2, y2) in pairwise(places):
        if y1 >= y >= y2 and y1 != y2:
            return x1 + (x2 - x1) * (y1 - y) / (y1 - y2)
    return places[0][0] if y > places[0][1] else places[-1][0]


def _brackets(plate: Plate, shapes: list[Shape], x: float, head: float, wide: float, many: int) -> float:
    """Brackets beside the first picture, and turned round beside the second; answer how much room they take."""
    if not plate.brackets:
        return 0.0
    scale = wide / plate.panels[0].width_px
    spans = [(head + one.top_px * scale, head + one.foot_px * scale, one) for one in plate.brackets]
    low = head + plate.panels[0].height_px * scale
    names = spread([(top + foot) / 2 for top, foot, _ in spans], STEP, head + STEP / 2, low - STEP / 2)
    for (top, foot, bracket), middle in zip(spans, names, strict=True):
        shapes.append(Group(f"{bracket.name}: {bracket.told}", tuple(_bracket(bracket, x, top, foot, middle, many))))
    return BRACKETS


def _bracket(bracket: Bracket, x: float, top: float, foot: float, middle: float, many: int) -> Iterator[Shape]:
    # Faces of neighbours do not run into each other.
    top, foot = (top + 0.4, foot - 0.4) if foot - top > 1.6 else (top, foot)
    dash = () if bracket.accepted else (1.6, 1.2)
    for side, inwards in ((x + 2, TOOTH), *(((x + BRACKETS - 2, -TOOTH),) if many > 1 else ())):
        spine = side + inwards
        yield Line(spine, top, spine, foot, INK, 0.8, dash)
        for y in (top, foot):
            yield Line(side, y, spine, y, INK, 0.8)
    left, room = x + 2 + TOOTH + 10, BRACKETS - 2 * (TOOTH + 12)
    yield Line(x + 2 + TOOTH, (top + foot) / 2, left - 2, middle, RULE, 0.4)
    if many > 1:
        yield Line(x + BRACKETS - 2 - TOOTH, (top + foot) / 2, left + room + 2, middle, RULE, 0.4)
    name = shorten(bracket.name, BODY, room, True)
    yield Text(left, middle + BODY * 0.35, name, BODY, room, INK, True)
    rest = room - width(name, BODY, True) - 4
    if rest > 10 and bracket.told:
        yield Text(left + room, middle + BODY * 0.35, shorten(bracket.told, SMALL, rest), SMALL, rest, SOFT, anchor="end")


def spread(places: Sequence[float], step: float, low: float, high: float) -> list[float]:
    """Places moved apart to at least `step`, as little as may be, and within low and high where they fit.

    Least squares under order: pools of neighbours that touch are moved as one (M. Ayer and others, Ann. Math. Stat. 26, 1955, 641–647).
    """
    order = sorted(range(len(places)), key=lambda number: places[number])
    pools: list[list[float]] = []
    for rank, number in enumerate(order):
        pools.append([places[number] - rank * step, 1.0])
        while len(pools) > 1 and pools[-2][0] >= pools[-1][0]:
            middle, many = pools.pop()
            before, more = pools[-1]
            pools[-1] = [(before * more + middle * many) / (more + many), more + many]
    top = max(low, high - (len(places) - 1) * step) if len(places) > 1 else high
    free = [min(max(middle, low), top) for middle, many in pools for _ in range(int(many))]
    found = [0.0] * len(places)
    for rank, number in enumerate(order):
        found[number] = free[rank] + rank * step
    return found


def _foot(plate: Plate, across: float) -> list[tuple[str, bool]]:
    lines = [(line, False) for note in plate.notes for line in wrap(clean(note), SMALL, across)]
    return lines + [(line, True) for note in plate.cautions for line in wrap(clean(note), SMALL, across, bold=True)]


def _described(plate: Plate) -> str:
    """The plate for who cannot see it."""
    layers = "; ".join(f"{one.name} {one.told}".strip() for one in plate.brackets)
    told = [f"{plate.title}. {plate.subtitle}.", *(panel.words[0] for panel in plate.panels if panel.words)]
    return " ".join([*told, f"Layers from the surface down: {layers}." if layers else "", *plate.notes]).strip()


def plate_pages(plate: Plate, paper: tuple[float, float], margin: float) -> Sheet:
    """A plate on a page of its own, width and height in points."""
    across, up = paper
    drawn = plate_sheet(plate, across - 2 * margin, up - 2 * margin)
    return Sheet(across, up, drawn.title, drawn.description, (Box(0, 0, across, up, PAPER), *moved(drawn.shapes, margin, margin)))


def moved(shapes: Sequence[Shape], x: float, y: float) -> tuple[Shape, ...]:
    """Shapes elsewhere."""
    return tuple(_moved(shape, x, y) for shape in shapes)


def _moved(shape: Shape, x: float, y: float) -> Shape:
    if isinstance(shape, Group):
        return replace(shape, shapes=moved(shape.shapes, x, y))
    if isinstance(shape, Line):
        return replace(shape, x1=shape.x1 + x, y1=shape.y1 + y, x2=shape.x2 + x, y2=shape.y2 + y)
    if isinstance(shape, Box | Raster | Text):
        return replace(shape, x=shape.x + x, y=shape.y + y)
    return replace(shape, points=tuple((one + x, other + y) for one, other in shape.points))

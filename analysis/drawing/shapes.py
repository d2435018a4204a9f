"""The draw list: what is drawn, in points, x to the right and y downwards, later shapes over earlier ones."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

Dash = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, filled, outlined or both; the outline runs along its edge."""

    x: float
    y: float
    width: float
    height: float
    fill: str | None = None
    stroke: str | None = None
    stroke_width: float = 0.0
    dash: Dash = ()


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line; `dash` gives the lengths of stroke and gap in turn."""

    x1: float
    y1: float
    x2: float
    y2: float
    stroke: str
    stroke_width: float
    dash: Dash = ()


@dataclass(frozen=True, slots=True)
class Polygon:
    """A filled shape of straight sides."""

    points: tuple[tuple[float, float], ...]
    fill: str


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text; `y` is its baseline, `room` the width it was fitted to."""

    x: float
    y: float
    text: str
    size: float
    room: float
    fill: str
    bold: bool = False
    anchor: Literal["start", "middle", "end"] = "start"


@dataclass(frozen=True, slots=True)
class Raster:
    """A picture (the bytes of a JPEG or PNG file) stretched over a rectangle."""

    x: float
    y: float
    width: float
    height: float
    content: bytes


@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that are one thing, with its full description for who cannot see or wants to know more."""

    label: str
    shapes: tuple["Shape", ...]


Drawn = Box | Line | Polygon | Raster | Text
Shape = Drawn | Group


@dataclass(frozen=True, slots=True)
class Sheet:
    """One drawing or one page."""

    width: float
    height: float
    title: str
    description: str
    shapes: tuple[Shape, ...]


def flat(shapes: tuple[Shape, ...] | list[Shape]) -> Iterator[Drawn]:
    """The shapes without their groups, in drawing order."""
    for shape in shapes:
        if isinstance(shape, Group):
            yield from flat(shape.shapes)
        else:
            yield shape

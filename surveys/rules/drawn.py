"""What people draw on a picture: points, lines and boxes in its pixels, as JSON keeps them."""

import math
from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any, Final

from surveys.rules.words import Refused

# No picture is so wide; a number beyond is a slip of the hand or of a script.
FARTHEST: Final = 1_000_000.0
MOST_POINTS: Final = 1_000
MOST_PATCHES: Final = 200
MOST_TEXT: Final = 200


def number(value: Any, what: str = "This") -> float:
    """A finite number that may stand in a picture."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value) or abs(value) > FARTHEST:
        raise Refused(f"{what} must be a number between -{FARTHEST:,.0f} and {FARTHEST:,.0f}.")
    return float(value)


def numbers(value: Any, many: int, what: str) -> list[float]:
    """So many numbers."""
    if not isinstance(value, list) or len(value) != many:
        raise Refused(f"{what} must be a list of {many} numbers.")
    return [number(one, what) for one in value]


def point(value: Any) -> list[float]:
    """[x, y] in pixels of the picture."""
    return numbers(value, 2, "A point")


def items(value: Any, least: int, most: int, what: str) -> list[Any]:
    """A list of so many things."""
    if not isinstance(value, list) or not least <= len(value) <= most:
        raise Refused(f"{what} must be a list of {least} to {most:,}.")
    return value


def members(value: Any, needed: set[str], optional: set[str], what: str) -> Mapping[str, Any]:
    """An object of just these members."""
    if not isinstance(value, dict) or not needed <= set(value) <= needed | optional:
        raise Refused(f"{what} must be an object of {', '.join(sorted(needed))}{', perhaps ' + ', '.join(optional) if optional else ''}.")
    return value


def scale_line(value: Any) -> dict[str, Any]:
    """A line drawn on a stage micrometer: two different points, and its length in µm."""
    told = members(value, {"points", "length_um"}, set(), "A line of known length")
    points = [point(one) for one in items(told["points"], 2, 2, "Its points")]
    length = number(told["length_um"], "Its length in µm")
    if length <= 0:
        raise Refused("The length of a line is above 0 µm.")
    if points[0] == points[1]:
        raise Refused("A line of known length runs between two different points.")
    return {"points": points, "length_um": length}


def colour_target(value: Any) -> dict[str, Any]:
    """A colour target in the picture: its name, and where each patch of it lies, with its colour where that is not the published one."""
    told = members(value, {"target", "patches"}, set(), "A colour target")
    name = told["target"]
    if not isinstance(name, str) or not 0 < len(name) <= MOST_TEXT:
        raise Refused("A colour target has a name.")
    return {"target": name, "patches": [_patch(one) for one in items(told["patches"], 1, MOST_PATCHES, "The patches of a target")]}


def _patch(value: Any) -> dict[str, Any]:
    told = members(value, {"box"}, {"lab", "name"}, "A patch")
    box = numbers(told["box"], 4, "The box of a patch (x, y, width, height)")
    if box[2] <= 0 or box[3] <= 0:
        raise Refused("The box of a patch has a width and a height above 0 px.")
    found: dict[str, Any] = {"box": box}
    if "name" in told:
        if not isinstance(told["name"], str) or not 0 < len(told["name"]) <= MOST_TEXT:
            raise Refused("The name of a patch is a short text.")
        found["name"] = told["name"]
    if "lab" in told:
        lab = numbers(told["lab"], 3, "The colour of a patch (L*, a*, b*)")
        if not 0 <= lab[0] <= 100 or max(abs(lab[1]), abs(lab[2])) > 200:
            raise Refused("L* lies between 0 and 100, a* and b* between -200 and 200.")
        found["lab"] = lab
    return found


def path(value: Any) -> list[list[float]]:
    """A line across a picture: two points or more, each away from the one before."""
    points = [point(one) for one in items(value, 2, MOST_POINTS, "A path")]
    if any(one == other for one, other in pairwise(points)):
        raise Refused("Two points of a path that follow each other lie in one place.")
    return points


def boundaries(value: Any) -> list[float]:
    """Places along a path, in px from its beginning, in order."""
    found = [number(one, "A boundary") for one in items(value, 0, MOST_POINTS, "The boundaries")]
    if any(one >= other for one, other in pairwise(found)) or (found and found[0] < 0):
        raise Refused("Boundaries are told in px along the path, from the substrate on, each once.")
    return found


def pairs(value: Any) -> list[list[list[float]]]:
    """Points that show the same spot on two pictures."""
    return [[point(one) for one in items(pair, 2, 2, "A pair of points")] for pair in items(value, 0, MOST_POINTS, "The pairs of points")]


def matrix(value: Any) -> list[list[float]]:
    """Three rows of three numbers."""
    return [numbers(row, 3, "A row of the matrix") for row in items(value, 3, 3, "The matrix")]


# By field; null is 'none' where the column allows it.
DRAWN: Final[Mapping[str, Callable[[Any], Any]]] = {
    "scale_line": scale_line,
    "colour_target": colour_target,
    "path": path,
    "boundaries": boundaries,
    "points": pairs,
    "matrix": matrix,
}
NULLABLE: Final = frozenset({"scale_line", "colour_target", "boundaries"})


def clean_drawn(name: str, value: Any) -> Any:
    """What was drawn, as it will be kept."""
    if value is None:
        if name not in NULLABLE:
            raise Refused("This is needed.", "required")
        return None
    return DRAWN[name](value)

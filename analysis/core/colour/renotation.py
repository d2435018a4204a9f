"""The Munsell renotation as a table: chromaticity of a hue, value and chroma, and back.

Numbers only: hue on the circle of 100 steps (5R is 5, 10YR is 20, 10RP is 100 or 0), value 0 to 10, chroma from 0.
Chromaticity is for illuminant C and the 2° observer, as a complex number (x - x_C) + i (y - y_C): the ovoids are drawn
about the grey point, and in these numbers an arc about it is one multiplication.

References
----------
S. M. Newhall, D. Nickerson and D. B. Judd, "Final report of the O.S.A. subcommittee on the spacing of the Munsell
colors", Journal of the Optical Society of America 33 (1943) 385-418 (the colours, and where the ovoids between two
hues run straight and where they follow an arc). ASTM D1535 (luminance; interpolation). The file's own source is in
fixtures/reference/README.md.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
ComplexArray = npt.NDArray[np.complex128]
IndexArray = npt.NDArray[np.intp]

GREY_XY: Final = (0.31006, 0.31616)
_GREY: Final = complex(*GREY_XY)
_MISSING: Final = -32768
_CHROMA_STEP: Final = 2.0
_HUE_STEP: Final = 2.5
_HUES: Final = 40
_WHITE_VALUE: Final = 10.0
# Inside its cell Newton's method doubles the right digits at each step; what needs more steps lies in another cell.
_NEWTON_STEPS: Final = 12
# ASTM D1535: luminance in per cent of a perfect diffuser, by rising powers of the value.
_LUMINANCE: Final = (0.0, 1.1914, -0.22533, 0.23352, -0.020484, 0.00081939)


@dataclass(frozen=True, slots=True)
class Renotation:
    """The table, with chroma 0 and value 10 (both the grey point) added.

    Attributes
    ----------
    values : ndarray, shape (14,)
        0.2 to 10, rising.
    colour : ndarray of complex, shape (14, 40, 26)
        By value, hue (index 0 is 10RP, 1 is 2.5R) and chroma (0, 2, … 50); NaN where the renotation ends.
    radial : ndarray of bool, shape (14, 40, 26)
        Whether the ovoid from this hue to the next follows an arc.
    limit : ndarray, shape (14, 40)
        Highest chroma by value and hue; 0 at value 10.
    """

    values: FloatArray
    colour: ComplexArray
    radial: npt.NDArray[np.bool_]
    limit: FloatArray


@cache
def renotation() -> Renotation:
    """The table from the file beside this module, read once."""
    with np.load(Path(__file__).with_name("renotation.npz")) as stored:
        whole = stored["xy"]
        radial = np.unpackbits(stored["radial"], count=whole[..., 0].size).astype(bool).reshape(whole.shape[:3])
        values = np.append(stored["values"], _WHITE_VALUE)
    xy = np.where(whole == _MISSING, np.nan, whole / 10_000)
    colour = np.zeros((len(values), _HUES, xy.shape[2] + 1), dtype=np.complex128)
    colour[:-1, :, 1:] = (xy[..., 0] + 1j * xy[..., 1]) - _GREY
    arcs = np.zeros(colour.shape, dtype=bool)
    arcs[:-1, :, 1:] = radial
    limit = _CHROMA_STEP * np.isfinite(colour[:, :, 1:]).sum(axis=2).astype(np.float64)
    limit[-1] = 0.0
    for array in (values, colour, arcs, limit):
        array.setflags(write=False)
    return Renotation(values, colour, arcs, limit)


def luminance(value: npt.ArrayLike) -> FloatArray:
    """Luminance Y (0 to 1, of a perfect diffuser) of a Munsell value (0 to 10); the polynomial of ASTM D1535."""
    v = np.asarray(value, dtype=np.float64)
    total = np.zeros_like(v)
    for factor in reversed(_LUMINANCE):
        total = total * v + factor
    return total / 100


def value_of_luminance(y: float) -> float:
    """Munsell value (0 to 10) of a luminance Y (0 to 1): the inverse of `luminance`, by bisection to the last bit.

    Raises
    ------
    ValueError
        If Y is NaN or outside 0 to 1.
    """
    if not 0 <= y <= _luminance_of(_WHITE_VALUE):
        raise ValueError(f"Luminance {y:.4f} is outside 0 to 1.")
    low, high = 0.0, 10.0
    while low < (middle := (low + high) / 2) < high:
        if _luminance_of(middle) < y:
            low = middle
        else:
            high = middle
    return high if y > 0 else 0.0


def _luminance_of(value: float) -> float:
    total = 0.0
    for factor in reversed(_LUMINANCE):
        total = total * value + factor
    return total / 100


def chroma_limit(hue_number: float, value: float) -> float:
    """Highest chroma that the renotation gives at a hue and value; 0 where it has only neutrals (value below 0.2, or 10).

    Between the table's hues and values it is the lowest of the neighbours, because a colour must lie between colours
    that exist; above value 9 it falls in proportion to the luminance still missing to white.
    """
    table = renotation()
    if value < table.values[0]:
        return 0.0
    segment, part = _hue_segment(np.asarray(hue_number))
    hues = [int(segment)] if part == 0 else [int(segment), (int(segment) + 1) % _HUES]
    level, weight = _level(np.asarray(value))
    low = min(float(table.limit[level, hue]) for hue in hues)
    if weight == 0:
        return low
    if table.values[level + 1] == _WHITE_VALUE:
        return low * (1 - float(weight))
    return min(low, *(float(table.limit[level + 1, hue]) for hue in hues))


def chromaticity(hue_number: npt.ArrayLike, value: npt.ArrayLike, chroma: npt.ArrayLike) -> ComplexArray:
    """Chromaticity about the grey point of hues, values and chromas of one shape.

    Parameters
    ----------
    hue_number : array_like, shape (n,)
        0 to 100 on the hue circle; not looked at where the chroma is 0.
    value, chroma : array_like, shape (n,)
        Value 0 to 10; chroma 0 or more.

    Returns
    -------
    ndarray of complex, shape (n,)
        (x - x_C) + i (y - y_C); NaN where the renotation has no colour.

    Notes
    -----
    Linear in the hue step along the ovoid (a line or an arc), then linear in chroma, then linear in luminance between
    two values. Cost: about 1 µs a colour, 50 µs at least.
    """
    hue, wanted_value, wanted_chroma = (np.atleast_1d(np.asarray(part, dtype=np.float64)) for part in (hue_number, value, chroma))
    table = renotation()
    neutral = wanted_chroma == 0
    segment, part = _hue_segment(np.where(neutral, 0.0, hue))
    level, weight = _level(wanted_value)
    ring = np.clip(np.floor(wanted_chroma / _CHROMA_STEP).astype(np.intp), 0, table.colour.shape[2] - 2)
    share = wanted_chroma / _CHROMA_STEP - ring
    (lower, upper), _, _ = _in_cell(np.stack([level, level + 1]), segment, ring, part, share)
    outside = (wanted_value < table.values[0]) | (share > 1)
    return np.where(neutral, 0.0, np.where(outside, np.nan, _between(lower, upper, weight)))


def find_hue_and_chroma(target: complex, value: float) -> tuple[float, float] | None:
    """Hue number (above 0, up to 100) and chroma at a value whose chromaticity is `target`; None outside the renotation.

    Notes
    -----
    Every cell of the table's mesh at that value whose surroundings hold the target is solved by Newton's method at
    once; of several answers the one with the smallest residual, then the smallest chroma, is taken. Cost: about 0.5 ms.
    """
    if not renotation().values[0] <= value < _WHITE_VALUE:
        return None
    found_level, found_weight = _level(np.asarray(value))
    level, weight = int(found_level), float(found_weight)
    segments, rings = _cells_around(target, level, weight)
    part, share, residual = _newton(target, level, weight, segments, rings)
    inside = (np.abs(part - 0.5) <= 0.5 + 1e-7) & (np.abs(share - 0.5) <= 0.5 + 1e-7) & (residual < 1e-9)
    if not inside.any():
        return None
    chroma = np.where(inside, (rings + share) * _CHROMA_STEP, np.inf)
    best = int(np.argmin(chroma))
    hue = float((segments[best] + part[best]) * _HUE_STEP % 100)
    return (hue if hue > 0 else 100.0), max(float(chroma[best]), 0.0)


def _hue_segment(hue_number: FloatArray) -> tuple[IndexArray, FloatArray]:
    steps = (hue_number % 100) / _HUE_STEP
    segment = np.floor(steps).astype(np.intp) % _HUES
    return segment, steps - np.floor(steps)


def _level(value: FloatArray) -> tuple[IndexArray, FloatArray]:
    """Index of the table's value at or below, and how far on the luminance scale towards the next (0 up to 1)."""
    values = renotation().values
    level = np.clip(np.searchsorted(values, value, side="right") - 1, 0, len(values) - 2)
    low, high = luminance(values[level]), luminance(values[level + 1])
    return level, np.asarray((luminance(value) - low) / (high - low))


def _between(start: ComplexArray, end: ComplexArray, part: npt.ArrayLike) -> ComplexArray:
    """Linear interpolation that does not look at an end it does not need: that end may be missing (NaN)."""
    return np.where(part == 0, start, np.where(part == 1, end, start + np.asarray(part) * (end - start)))


def _ovoid(level: IndexArray, segment: IndexArray, ring: IndexArray, part: FloatArray) -> tuple[ComplexArray, ComplexArray]:
    """Point of the ovoid of one value and chroma, and its derivative by `part` (0 to 1 from one hue to the next)."""
    table = renotation()
    start, end = table.colour[level, segment, ring], table.colour[level, (segment + 1) % _HUES, ring]
    turn = (np.angle(end) - np.angle(start) + np.pi) % (2 * np.pi) - np.pi
    stretch = np.abs(end) - np.abs(start)
    radius = np.abs(start) + part * stretch
    direction = np.exp(1j * (np.angle(start) + part * turn))
    along_arc = table.radial[level, segment, ring] & (part != 0) & (part != 1)
    point = np.where(along_arc, radius * direction, _between(start, end, part))
    return point, np.where(table.radial[level, segment, ring], (stretch + 1j * radius * turn) * direction, end - start)


def _in_cell(
    level: IndexArray, segment: IndexArray, ring: IndexArray, part: FloatArray, share: FloatArray
) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
    """Point of a cell of one value's mesh, and its derivatives by `part` (hue) and `share` (chroma)."""
    both = np.stack([ring, ring + 1])
    # The two rings go in front of the levels, so that one call to the arcs' sines and cosines serves them all.
    (inner, outer), (inner_slope, outer_slope) = _ovoid(level, segment, both[:, None] if level.ndim == 2 else both, part)
    return _between(inner, outer, share), _between(inner_slope, outer_slope, share), outer - inner


def _cells_around(target: complex, level: int, weight: float) -> tuple[IndexArray, IndexArray]:
    """Segments and rings of the cells whose bounding box, widened for the bulge of an arc, holds the target."""
    table = renotation()
    nodes = _between(table.colour[level], table.colour[level + 1], weight)
    nodes = np.concatenate([nodes, nodes[:1]])
    corners = np.stack([nodes[:-1, :-1], nodes[1:, :-1], nodes[:-1, 1:], nodes[1:, 1:]])
    found = np.isfinite(corners).all(axis=0)
    for axis, wanted in ((corners.real, target.real), (corners.imag, target.imag)):
        low, high = axis.min(axis=0), axis.max(axis=0)
        # An arc over 60° rises above its chord by 13 % of it; no two neighbouring hues lie further apart.
        room = 0.25 * np.ptp(np.stack([corners.real, corners.imag]), axis=1).max(axis=0) + 1e-9
        found &= (low - room <= wanted) & (wanted <= high + room)
    segments, rings = np.nonzero(found)
    return segments, rings


def _newton(
    target: complex, level: int, weight: float, segments: IndexArray, rings: IndexArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Place of the target in each cell (hue part, chroma share) and the distance left."""
    part, share = np.full(len(segments), 0.5), np.full(len(segments), 0.5)
    residual = np.full(len(segments), np.inf)
    levels = np.array([[level], [level + 1]])
    for _ in range(_NEWTON_STEPS):
        point, by_hue, by_chroma = (_between(below, above, weight) for below, above in _in_cell(levels, segments, rings, part, share))
        miss = target - point
        residual = np.abs(miss)
        if np.all(residual < 1e-13):
            break
        area = (by_hue.conj() * by_chroma).imag
        area = np.where(np.abs(area) < 1e-30, 1e-30, area)
        part = np.clip(part - (by_chroma.conj() * miss).imag / area, -0.5, 1.5)
        share = np.clip(share + (by_hue.conj() * miss).imag / area, -0.5, 1.5)
    return part, share, residual


def number(value: float) -> str:
    """A number as the notation writes it: at most four decimals, no trailing zeros."""
    return f"{value:.4f}".rstrip("0").rstrip(".")

"""How well a profile is told by steps: each boundary an error function of its own breadth between two level colours, on a gentle slope."""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from analysis.core.micrographs.pictures import Floats

# Standard deviations of the error functions that are tried, px; 10 to 90 % of the change take 2.563 of them.
SPREADS: Final = np.array((0.4, 0.7, 1.0, 1.4, 2.0, 2.8, 4.0, 5.6, 8.0))
_BROADEST: Final = 0.5  # of the way to a boundary's neighbour: the most that its standard deviation may be
_AWAY: Final = 45.0  # px on either side of a boundary that have a say in where it lies
_SLOPE: Final = 0.02  # units of L*a*b* a px that uneven light may bring
_FADE: Final = 0.15  # and by which one layer may change otherwise than the next
_LEVEL: Final = 200.0  # and how far a level may be from 0: no restraint
BREADTH: Final = 2.5631  # standard deviations from 10 to 90 % of the normal distribution


class Signal(NamedTuple):
    """A profile to be explained: `colours` (n, channels), the standard error of each sample in each picture (n, pictures)."""

    colours: Floats
    errors: Floats


class Edge(NamedTuple):
    """A boundary: its place (samples) and the standard deviation of its error function (samples)."""

    at: float
    spread: float


def shape(z: Floats, at: Floats | float, spread: Floats | float) -> Floats:
    """How much of what lies above a boundary is there at places z: from 0 to 1."""
    from scipy.special import ndtr

    return np.asarray(ndtr((z - np.asarray(at)[..., None]) / np.asarray(spread)[..., None]), dtype=np.float64)


def misfits(signal: Signal, edges: list[Edge], free: int, ats: Floats, spreads: Floats, window: tuple[int, int], kink: float) -> Floats:
    """What is left unexplained in a window (chi square) for each candidate of edge `free`, the slope changing at `kink`."""
    low, high = window
    z = np.arange(low, high, dtype=np.float64)
    fixed = [edge for number, edge in enumerate(edges) if number != free and low - 3 * edge.spread < edge.at < high + 3 * edge.spread]
    base = np.array([*_slopes(z, kink), *(shape(z, edge.at, edge.spread) for edge in fixed)])
    steps = shape(z, ats, spreads)  # candidates, m
    return _left(signal, low, high, base, steps)


def misfit(signal: Signal, edges: list[Edge], window: tuple[int, int], kink: float) -> float:
    """What is left unexplained in a window (chi square) by the edges as they stand, the slope changing at `kink`."""
    low, high = window
    z = np.arange(low, high, dtype=np.float64)
    near = [edge for edge in edges if low - 3 * edge.spread < edge.at < high + 3 * edge.spread]
    base = np.array([*_slopes(z, kink), *(shape(z, edge.at, edge.spread) for edge in near)])
    return float(_left(signal, low, high, base, None)[0])


def window_of(edges: list[Edge], number: int, n: int, away: float = _AWAY) -> tuple[int, int]:
    """From which sample to which a boundary is looked at: to its neighbours' far sides, or `away`."""
    at = edges[number].at
    below = edges[number - 1] if number else None
    above = edges[number + 1] if number + 1 < len(edges) else None
    low = max(at - away, below.at - 3 * below.spread - 4) if below else at - away
    high = min(at + away, above.at + 3 * above.spread + 4) if above else at + away
    return max(0, int(np.floor(low))), min(n, int(np.ceil(high)) + 1)


def levels(signal: Signal, edges: list[Edge], number: int) -> tuple[Floats, Floats]:
    """Colours just below and just above a boundary, with the slope of the light taken out: their difference is the step."""
    low, high = window_of(edges, number, len(signal.colours))
    z = np.arange(low, high, dtype=np.float64)
    near = [edge for other, edge in enumerate(edges) if other != number and low - 3 * edge.spread < edge.at < high + 3 * edge.spread]
    own = edges[number]
    design = np.array([*_slopes(z, own.at), *(shape(z, edge.at, edge.spread) for edge in near), shape(z, own.at, own.spread)])
    found = _solved(signal, low, high, design)
    lower = found[0] + sum((found[3 + at] for at, edge in enumerate(near) if edge.at < own.at), np.zeros(found.shape[1]))
    return lower, lower + found[-1]


def refined(signal: Signal, edges: list[Edge], number: int, reach: float) -> Edge:
    """A boundary where it fits best within `reach` px, with its best breadth, its neighbours held."""
    best = edges[number]
    window = window_of(edges, number, len(signal.colours))
    lowest = edges[number - 1].at + 0.75 if number else -np.inf
    highest = edges[number + 1].at - 0.75 if number + 1 < len(edges) else np.inf
    step = reach / 4
    while step >= 0.05:
        ats = best.at + np.arange(-4, 5) * step
        ats = ats[(ats > lowest) & (ats < highest) & (ats > 0) & (ats < len(signal.colours) - 1)]
        if not len(ats):
            return best
        spreads = SPREADS if step > 0.2 else best.spread * np.array((0.8, 0.9, 1.0, 1.1, 1.25))
        grid_at, grid_spread = (grid.ravel() for grid in np.meshgrid(ats, spreads))
        fits = possible(edges, number, grid_at, grid_spread)
        if not fits.any():
            return best
        left = np.where(fits, misfits(signal, edges, number, grid_at, grid_spread, window, best.at), np.inf)
        chosen = int(np.argmin(left))
        best = Edge(float(grid_at[chosen]), float(grid_spread[chosen]))
        step /= 3
    return best


def possible(edges: list[Edge], number: int, ats: Floats, spreads: Floats) -> NDArray[np.bool_]:
    """Which candidates of an edge are no broader than the layers beside it allow: a change must be over when the next begins."""
    room = np.full(len(ats), np.inf)
    if number:
        room = np.minimum(room, ats - edges[number - 1].at)
    if number + 1 < len(edges):
        room = np.minimum(room, edges[number + 1].at - ats)
    return (spreads <= np.maximum(_BROADEST * room, SPREADS[1])) & (room > 0.75)


def _slopes(z: Floats, kink: float) -> list[Floats]:
    """A level, a slope through 0 at the kink, and another slope above it."""
    return [np.ones_like(z), z - kink, np.maximum(z - kink, 0.0)]


def _lights(signal: Signal) -> range:
    """The first channel of each picture: its three share their errors."""
    return range(0, signal.colours.shape[1], 3)


def _restraint(design: Floats) -> Floats:
    """Precision of what is known beforehand: levels free, the slope gentle."""
    precision = np.full(len(design), 1.0 / _LEVEL**2)
    precision[1:3] = (1.0 / _SLOPE**2, 1.0 / _FADE**2)
    return precision


def _solved(signal: Signal, low: int, high: int, design: Floats) -> Floats:
    """Coefficients (columns, channels) of a design (columns, m)."""
    found = np.zeros((len(design), signal.colours.shape[1]))
    for number, first in enumerate(_lights(signal)):
        weighted = design / signal.errors[low:high, number] ** 2
        normal = weighted @ design.T + np.diag(_restraint(design))
        found[:, first : first + 3] = np.linalg.solve(normal, weighted @ signal.colours[low:high, first : first + 3])
    return found


def _left(signal: Signal, low: int, high: int, base: Floats, steps: Floats | None) -> Floats:
    """Chi square of the best fit by the rows of `base` and, one at a time, each row of `steps`."""
    total: NDArray[np.float64] = np.zeros(1 if steps is None else len(steps))
    restraint = np.diag(np.sqrt(_restraint(base)))
    for number, first in enumerate(_lights(signal)):
        root = 1.0 / signal.errors[low:high, number]
        colours = signal.colours[low:high, first : first + 3]
        # Levels are counted from the middle, so that the restraint draws nothing aside.
        target = (colours - colours.mean(axis=0)) * root[:, None]
        basis, _ = np.linalg.qr(np.concatenate((base * root, restraint), axis=1).T)
        above = basis[: high - low]
        # What the base leaves; the rows of the restraint hold zeros in the target and in the steps.
        told = above.T @ target
        left = float(np.sum(target**2) - np.sum(told**2))
        if steps is None:
            total += left
            continue
        added = steps * root
        shared = added @ above
        power = np.sum(added**2, axis=1) - np.sum(shared**2, axis=1) + 1.0 / _LEVEL**2
        gain = added @ target - shared @ told
        total += left - np.sum(gain**2, axis=1) / np.maximum(power, 1e-12)
    return total

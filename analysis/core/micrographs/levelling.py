"""Making the layers of a strip level: how they lean across it, and how they wave."""

from typing import Final, NamedTuple

import numpy as np

from analysis.core.micrographs.pictures import Floats

STEEPEST: Final = 0.9  # px along for a px across (42°): layers that lean more are crossed by another line
_SLOPES: Final = np.linspace(-STEEPEST, STEEPEST, 91)
# How much more the changes must add up than at other slopes: those of noise, over 500 px, differ by a tenth or so.
_STANDS_OUT: Final = 1.3
_WAVE_PX: Final = 6.0  # the most that a part of the strip is moved from the straight lean
_STEP_PX: Final = 0.5
_STIFFNESS: Final = 0.5  # of the waves: cost of a px of change from part to part, against the misfit of a part as it would be by chance


class Levelled(NamedTuple):
    """How far further along each part of a strip lies: `shifts` at `centres` (px to the right), their slope and its error."""

    centres: Floats
    shifts: Floats
    slope: float
    slope_error: float


def level(parts: Floats, centres: Floats) -> Levelled:
    """Find how the layers lie across a strip.

    Parameters
    ----------
    parts : ndarray, shape (parts, n, channels)
        Profiles of the parts of a strip side by side, in units of their noise; no NaN.
    centres : ndarray, shape (parts,)
        How far to the right of the line each is, px.

    Returns
    -------
    Levelled
        The shifts have the mean 0, so that a boundary's place is the mean over the strip's breadth.
    """
    from scipy.ndimage import gaussian_filter1d

    if len(parts) < 3 or np.ptp(centres) < 4:
        return Levelled(centres, np.zeros(len(parts)), 0.0, 0.0)
    edges = np.diff(gaussian_filter1d(parts, 1.2, axis=1), axis=1)
    # Large steps must not decide alone: a root between linear and none.
    edges = np.sign(edges) * np.sqrt(np.abs(edges))
    slope = _lean(edges, centres)
    if slope is None:
        return Levelled(centres, np.zeros(len(parts)), 0.0, STEEPEST)
    waves = np.zeros(len(parts))
    for _ in range(2):
        waves = _waves(edges, slope * centres, waves)
        change = _trend(waves, centres)
        slope, waves = slope + change, waves - change * centres
    waves -= waves.mean()
    freedom = max(len(parts) - 2, 1)
    error = np.sqrt(np.sum(waves**2) / freedom / np.sum((centres - centres.mean()) ** 2) + (0.15 / np.ptp(centres)) ** 2)
    shifts = slope * centres + waves
    return Levelled(centres, shifts - shifts.mean(), float(slope), float(error))


def moved(profile: Floats, by: float) -> Floats:
    """A profile (n, channels) read `by` px further along; its ends repeat."""
    n = len(profile)
    at = np.clip(np.arange(n) + by, 0, n - 1)
    low = np.minimum(at.astype(int), n - 2)
    share = (at - low)[:, None]
    return np.asarray(profile[low] * (1 - share) + profile[low + 1] * share)


def _lean(edges: Floats, centres: Floats) -> float | None:
    """The slope at which the parts' changes add up to most; None where no slope stands out, as in noise."""

    def sharpness(slope: float) -> float:
        total = sum(moved(edge, slope * centre) for edge, centre in zip(edges, centres, strict=True))
        return float(np.sum(np.asarray(total) ** 2))

    found = np.array([sharpness(slope) for slope in _SLOPES])
    best = int(np.argmax(found))
    if found[best] < _STANDS_OUT * np.median(found):
        return None
    if 0 < best < len(found) - 1:
        left, middle, right = found[best - 1 : best + 2]
        bend = left - 2 * middle + right
        return float(_SLOPES[best] + (0.5 * (left - right) / bend if bend < 0 else 0.0) * (_SLOPES[1] - _SLOPES[0]))
    return float(_SLOPES[best])


def _waves(edges: Floats, lean: Floats, start: Floats) -> Floats:
    """For each part how far it lies from the straight lean: the best path through their misfits with the others' mean."""
    steps = np.arange(-_WAVE_PX, _WAVE_PX + _STEP_PX / 2, _STEP_PX)
    level = np.array([moved(edge, by) for edge, by in zip(edges, lean + start, strict=True)])
    total = level.sum(axis=0)
    misfit = np.zeros((len(edges), len(steps)))
    for number, edge in enumerate(edges):
        others = (total - level[number]) / (len(edges) - 1)
        misfit[number] = [np.sum((moved(edge, lean[number] + step) - others) ** 2) for step in steps]
    unit = np.median(misfit.min(axis=1)) / edges.shape[1] * 4
    misfit = misfit / max(unit, 1e-9)
    jump = _STIFFNESS * (steps[:, None] - steps) ** 2 * 4
    best, back = misfit[0], []
    for row in misfit[1:]:
        ways = best[:, None] + jump
        back.append(np.argmin(ways, axis=0))
        best = ways.min(axis=0) + row
    path = [int(np.argmin(best))]
    for come in reversed(back):
        path.append(int(come[path[-1]]))
    return np.array([_between(misfit[number], step, steps) for number, step in enumerate(reversed(path))])


def _between(misfit: Floats, at: int, steps: Floats) -> float:
    """A minimum finer than the steps, by a parabola."""
    if 0 < at < len(steps) - 1:
        left, middle, right = misfit[at - 1 : at + 2]
        bend = left - 2 * middle + right
        if bend > 0:
            return float(steps[at] + np.clip(0.5 * (left - right) / bend, -0.5, 0.5) * _STEP_PX)
    return float(steps[at])


def _trend(values: Floats, centres: Floats) -> float:
    around = centres - centres.mean()
    return float(np.sum(around * values) / np.sum(around**2))

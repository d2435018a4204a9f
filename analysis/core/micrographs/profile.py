"""The colours along a line: a strip of the picture straightened, its layers made level, and a middle colour taken across it.

The middle keeps out what crosses the strip: cracks, bubbles, large particles. How sure each sample is comes from the strip too: its parts
side by side are looked at as repetitions, so that grain counts as noise however it hangs together.

A narrow strip has few grains across, and a faint boundary drowns in them. The layers go on beside it: so a broader strip about a straight
line is looked at as well, made level onto the line's own. It tells where boundaries are; colours are those of the line's own width.
"""

from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.micrographs import strips
from analysis.core.micrographs.colour import to_lab, uncalibrated
from analysis.core.micrographs.levelling import STEEPEST, Levelled, level, moved
from analysis.core.micrographs.pictures import Floats, Picture
from analysis.core.micrographs.strips import point_at
from analysis.core.micrographs.values import ColourCorrection, Line, MicrographRefused, Profile, Registration, Triple

# How far beyond each end of the line is looked, px: a twelfth of its length, between these.
_BEYOND: Final = (24.0, 160.0)
_PARTS: Final = 8
_LEAST_NOISE: Final = 0.05  # units of L*a*b*: eight bits tell no less
_SMOOTH_PX: Final = 21
_SLOW_PX: Final = 20.0
_GRAIN_PX: Final = 7
BREADTH_PX: Final = 200.0  # of the strip about a straight line in which boundaries are looked for
_BENT_PX: Final = 80.0  # and about one with bends, where only grain is looked at
_REACH: Final = 6.0  # median deviations from the median, beyond which a column of a row is left out (Tukey's biweight)
_SHOWN: Final = 0.95  # of a column's way along the line that a picture shows, without which it is left out
_ABOUT_PX: Final = 0.25  # by how much the middle of the line's own columns may lie beside it before that is made good
_EVEN: Final = 0.2  # units of L*a*b*: rows more even than this are not told apart
TILTED_DEG: Final = 2.0

__all__ = ["point_at", "read_profiles"]


def read_profiles(
    visible: Picture,
    line: Line,
    correction: ColourCorrection,
    uv: Picture | None = None,
    registration: Registration | None = None,
    uv_correction: ColourCorrection | None = None,
) -> tuple[Profile, Profile]:
    """Read the colours along a line, and those of a broader strip about it.

    Parameters
    ----------
    visible : Picture
    line : Line
        In px of `visible`, from the substrate to the surface.
    correction : ColourCorrection
    uv : Picture or None
    registration : Registration or None
        How `uv` (moving) lies on `visible` (fixed); None if both have the same pixels.
    uv_correction : ColourCorrection or None
        None: the UV picture is uncalibrated.

    Returns
    -------
    tuple of two Profile
        Of the line's own width, and of a strip of 200 px or more whose layers are level with it, in which to look for boundaries. The
        same twice where the line is as broad itself, or bends by more than 5 degrees.

    Raises
    ------
    MicrographRefused
        If the line is shorter than 16 px, narrower than 1 px, doubles back, lies outside the picture, or the registration is unreliable.

    Notes
    -----
    The strip is read twice, straight and then with its layers level. Beside the side of a picture it is as much narrower. Cost: 1 s for a
    strip of 1,000 × 200 px in both lights, whatever the size of the pictures; about 100 bytes of memory a pixel of the strip.
    """
    strips.checked(line, visible)
    if registration is not None and not registration.reliable:
        raise MicrographRefused("The UV picture does not lie reliably on the visible one: name more pairs of places, or read without it.")
    straight = strips.straight(line)
    length = strips.length(line)
    to_uv = None if registration is None else np.linalg.inv(np.array(registration.matrix))
    lights: list[tuple[Picture, ColourCorrection, Floats | None]] = [(visible, correction, None)]
    if uv is not None:
        lights.append((uv, uv_correction or uncalibrated(), to_uv))
    aside, own = _shown(line, *strips.offsets(line, BREADTH_PX if straight else _BENT_PX), lights)
    slack = np.ceil(float(np.abs(aside).max()) * STEEPEST)
    beyond = float(np.ceil(np.clip(length / 12, *_BEYOND)))
    far = np.arange(-beyond - slack, np.floor(length) + beyond + slack + 1)

    # Beside a line with bends the layers need not lie as they do on it.
    guide = slice(None) if straight else own
    rough = [_strip(picture, line, far, aside[guide], np.zeros(len(aside[guide])), how, to) for picture, how, to in lights]
    centres, bounds = _parts(aside[guide], len(aside[guide]) // 5)
    found = level(np.concatenate([_in_noise(_middles(_filled(strip), bounds)) for strip in rough], axis=2), centres)
    shifts = _extended(aside, found) if len(centres) > 1 else np.zeros(len(aside))
    # A boundary's place is the mean over the line's own breadth; where part of that is outside the picture, still that about the line.
    shifts -= shifts[own].mean()
    if abs(aside[own].mean()) > _ABOUT_PX:
        shifts += found.slope * aside[own].mean()

    along = np.arange(-beyond, np.floor(length) + beyond + 1)
    levelled = [_strip(picture, line, along, aside, shifts, how, to) for picture, how, to in lights]
    seen = np.flatnonzero(~np.isnan(levelled[0][:, own, 0]).all(axis=1))
    if not len(seen):
        raise MicrographRefused("The line lies outside the picture.")
    filled = [_filled(strip) for strip in levelled]
    noises = [_errors(strip) for strip in filled]
    tilt = float(np.degrees(np.arctan(found.slope)))
    error = float(np.degrees(found.slope_error / (1 + found.slope**2)))

    def profile(columns: slice) -> Profile:
        # A narrow strip has too few grains to tell how they scatter: their scatter is that of all that was looked at.
        share = len(aside[columns]) / len(aside)
        errors = [np.maximum(noise / np.sqrt(share), _LEAST_NOISE) for noise in noises]
        colours = [_middle(strip[:, columns]) for strip in filled]
        if uv is not None:
            colours[1] = _brought_together(colours[0], colours[1], errors[0], errors[1], registration)
        return Profile(
            start_px=float(along[0]),
            length_px=length,
            lab=_triples(colours[0]),
            uv=_triples(colours[1]) if uv is not None else None,
            noise=tuple(np.round(errors[0], 3).tolist()),
            uv_noise=tuple(np.round(errors[1], 3).tolist()) if uv is not None else (),
            seen=(float(along[seen[0]]), float(along[seen[-1]])),
            tilt_deg=round(tilt, 2),
            tilt_error_deg=round(error, 2),
            tilted=abs(tilt) > max(3 * error, TILTED_DEG),
        )

    mine = profile(own)
    return mine, profile(slice(None)) if straight and len(aside) > len(aside[own]) else mine


def _shown(line: Line, aside: Floats, own: slice, lights: list[tuple[Picture, ColourCorrection, Floats | None]]) -> tuple[Floats, slice]:
    """The columns that the pictures show nearly all along the line, and which of them are the line's own.

    What is outside a picture would be filled with what is inside: level where the layers lean, and quieter than they are. Of the line's own
    breadth the UV picture takes nothing away: where it does not reach is said otherwise.
    """
    along = np.arange(0.0, strips.length(line) + 1)
    shares = [strips.inside(picture, line, along, aside, to_picture).mean(axis=0) for picture, _, to_picture in lights]
    wanted = np.min(shares, axis=0) >= _SHOWN
    wanted[own] = shares[0][own] >= _SHOWN
    if not wanted[own].any():
        wanted[own] = True
    # Side by side: what lies beyond a gap is not level with the line's own.
    mine = np.flatnonzero(wanted[own]) + own.start
    first, last = int(mine[0]), int(mine[-1])
    low = first - int(np.argmin(np.append(wanted[:first][::-1], False)))
    high = last + 1 + int(np.argmin(np.append(wanted[last + 1 :], False)))
    if high - low < 2 * _PARTS:
        # Too few to tell how they scatter: then rather what is filled.
        return aside, own
    return aside[low:high], slice(first - low, last + 1 - low)


def _strip(
    picture: Picture, line: Line, along: Floats, aside: Floats, shifts: Floats, correction: ColourCorrection, to_picture: Floats | None
) -> NDArray[np.float32]:
    """L*a*b* of a strip, NaN outside the picture."""
    rgb = strips.sample(picture, line, along, aside, shifts, to_picture)
    lab = np.empty_like(rgb)
    for first in range(0, len(rgb), 256):
        lab[first : first + 256] = to_lab(rgb[first : first + 256].astype(np.float64), correction)
    return lab


def _filled(strip: NDArray[np.float32]) -> NDArray[np.float32]:
    """A strip without gaps: what is outside the picture repeats its row's median, and rows without any the nearest row's."""
    missing = np.isnan(strip[:, :, 0])
    if not missing.any():
        return strip
    there = np.flatnonzero(~missing.all(axis=1))
    if not len(there):
        raise MicrographRefused("The UV picture does not reach the line: check how it lies on the visible one.")
    filled = strip.copy()
    partly = np.flatnonzero(missing.any(axis=1) & ~missing.all(axis=1))
    for row in partly:
        filled[row, missing[row]] = np.nanmedian(strip[row], axis=0)
    for row in np.flatnonzero(missing.all(axis=1)):
        filled[row] = filled[there[np.argmin(np.abs(there - row))]]
    return filled


def _parts(aside: Floats, wanted: int) -> tuple[Floats, list[tuple[int, int]]]:
    """Parts of a strip side by side: the places of their middles, and from which column to which each goes."""
    count = int(np.clip(wanted, 1, 24))
    edges = np.linspace(0, len(aside), count + 1).astype(int)
    bounds = [(int(a), int(b)) for a, b in pairwise(edges)]
    return np.array([aside[a:b].mean() for a, b in bounds]), bounds


def _middle(strip: NDArray[np.float32]) -> Floats:
    """The middle colour of each row of a strip, (n, 3): one step of Tukey's biweight from the median.

    It leaves out what lies far away as a median does, and of even grain it loses a twentieth instead of a third (J. W. Tukey, in D. C.
    Hoaglin, F. Mosteller and J. W. Tukey, Understanding Robust and Exploratory Data Analysis, 1983; the figures from memory).
    """
    middle = np.median(strip, axis=1, keepdims=True)
    apart = strip - middle
    reach = _REACH * np.maximum(np.median(np.abs(apart), axis=1, keepdims=True), _EVEN)
    weights = np.maximum(1 - (apart / reach) ** 2, 0) ** 2
    return np.asarray(middle[:, 0] + (weights * apart).sum(axis=1) / weights.sum(axis=1), dtype=np.float64)


def _middles(strip: NDArray[np.float32], bounds: list[tuple[int, int]]) -> Floats:
    """The profile of each part, (parts, n, 3)."""
    return np.stack([_middle(strip[:, a:b]) for a, b in bounds])


def _in_noise(parts: Floats) -> Floats:
    """Profiles in units of the noise from one sample to the next."""
    steps = np.diff(parts, axis=1)
    noise = 1.4826 * np.median(np.abs(steps - np.median(steps, axis=1, keepdims=True)), axis=(0, 1)) / np.sqrt(2)
    return np.asarray(parts / np.maximum(noise, _LEAST_NOISE).mean())


def _extended(at: Floats, found: Levelled) -> Floats:
    """Shifts of columns from those of the parts: between them as they are, and at the sides by the lean of the whole."""
    inner = np.interp(at, found.centres, found.shifts)
    beyond = np.where(at < found.centres[0], at - found.centres[0], np.where(at > found.centres[-1], at - found.centres[-1], 0.0))
    return np.asarray(inner + beyond * found.slope)


def _errors(strip: NDArray[np.float32]) -> Floats:
    """Standard error along a line of the middle across a strip, grain included (see `Profile.noise`)."""
    from scipy.ndimage import gaussian_filter1d, median_filter, uniform_filter1d

    _, bounds = _parts(np.arange(strip.shape[1], dtype=np.float64), _PARTS)
    parts = _middles(strip, bounds)
    apart = parts - parts.mean(axis=0)
    # Light that falls off to one side is no noise: what differs between the parts over a long way is taken out.
    apart -= gaussian_filter1d(apart, _SLOW_PX, axis=1, mode="nearest")
    # Grain hangs together over some px: the variance is that of means over as many, and counts for each of them.
    together = uniform_filter1d(apart, _GRAIN_PX, axis=1, mode="nearest")
    variance = np.maximum((apart**2).sum(axis=0), _GRAIN_PX * (together**2).sum(axis=0)) / (_PARTS - 1) / _PARTS
    # Grain is mostly one of lightness: the least even of the three counts for all, lest one blotch be taken for three witnesses.
    noise = np.sqrt(median_filter(variance, (_SMOOTH_PX, 1), mode="nearest").max(axis=1))
    return np.maximum(noise, _LEAST_NOISE)


def _brought_together(visible: Floats, uv: Floats, noise: Floats, uv_noise: Floats, registration: Registration | None) -> Floats:
    """The UV profile moved by the few px by which its changes lie beside those of the visible one, where that is plain."""
    from scipy.ndimage import gaussian_filter1d

    reach = 2.0 if registration is None else float(np.clip(3 * registration.p95_px, 2.0, 6.0))
    steps = np.arange(-reach, reach + 0.01, 0.25)
    change = np.sqrt(np.linalg.norm(np.diff(gaussian_filter1d(visible, 1.0, axis=0), axis=0), axis=1) / np.median(noise))
    agree = []
    for step in steps:
        other = np.diff(gaussian_filter1d(moved(uv, step), 1.0, axis=0), axis=0)
        agree.append(np.corrcoef(change, np.sqrt(np.linalg.norm(other, axis=1) / np.median(uv_noise)))[0, 1])
    best = int(np.argmax(agree))
    standing = agree[int(np.argmin(np.abs(steps)))]
    plainly = np.isfinite(agree[best]) and agree[best] > standing + 0.03 and agree[best] > 0.3 and 0 < best < len(steps) - 1
    return moved(uv, float(steps[best])) if plainly else uv


def _triples(colours: Floats) -> tuple[Triple, ...]:
    return tuple((a, b, c) for a, b, c in np.round(colours, 3).tolist())

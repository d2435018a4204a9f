"""What colour the numbers of a picture are: estimated from a grey or colour target in it.

The picture is made linear (sRGB curve of IEC 61966-2-1, unless it is linear already), and a linear correction is estimated by least squares
of the L*a*b* of the target's patches: three factors (a white balance with exposure) from neutral patches, a full three by three matrix from
coloured ones where it foretells patches that it has not seen better than the three factors do.
"""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.colour import delta_e_2000
from analysis.core.micrographs.pictures import Floats, Picture, pixels, size
from analysis.core.micrographs.values import IDENTITY, ColourCorrection, Matrix, MicrographRefused, Patch, PatchResidual, Triple

# XYZ of linear sRGB (IEC 61966-2-1:1999), white D65; rows sum to the white.
_TO_XYZ: Final = np.array(((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505)))
_WHITE: Final = _TO_XYZ.sum(axis=1)

NEUTRAL_CHROMA: Final = 4.0  # of a patch that counts as grey: printed greys of colour targets reach about 3
COLOURED: Final = 6  # coloured patches without which nine numbers are not asked for
LEAST_SIDE_PX: Final = 4
CLIPPED: Final = 0.002  # from an end of the scale: half a step of eight bits
CLIPPED_SHARE: Final = 0.02
UNEVEN: Final = 0.12  # of a patch's brightness: interquartile range beyond which it is no patch of one colour, or partly in shadow


def uncalibrated(linear: bool = False) -> ColourCorrection:
    """The correction of a picture without a target: its numbers are taken for sRGB, and everything made of them says so.

    Parameters
    ----------
    linear : bool

    Returns
    -------
    ColourCorrection
    """
    sentence = "Uncalibrated: there is no colour target, so colours are what camera and light made of them."
    return ColourCorrection("uncalibrated", IDENTITY, linear, (), None, None, None, None, sentence)


def correct_colours(picture: Picture, patches: Sequence[Patch], linear: bool = False) -> ColourCorrection:
    """Estimate the correction of a picture's colours from a target in it.

    Parameters
    ----------
    picture : Picture
    patches : sequence of Patch
        At least one neutral patch, or six coloured ones. Boxes well inside the patches.
    linear : bool
        Whether the picture's numbers are proportional to light.

    Returns
    -------
    ColourCorrection
        Status "white-balanced" with three factors, "calibrated" with a full matrix.

    Raises
    ------
    MicrographRefused
        If there is no patch; a box is not in the picture or smaller than 4 px; a patch is clipped, black, uneven, or its L*a*b* is
        none of a surface; or what patches there are do not suffice.

    Notes
    -----
    The residual that counts is `mean_left_out`: nine numbers fitted to few patches flatter themselves. Cost: a few hundredths of a
    second.
    """
    if not patches:
        raise MicrographRefused("No patch of a target is marked: without one the colours stay uncalibrated.")
    seen = np.array([_patch(picture, patch, linear) for patch in patches])
    wanted = np.array([patch.lab for patch in patches], dtype=np.float64)
    neutral = np.hypot(wanted[:, 1], wanted[:, 2]) <= NEUTRAL_CHROMA
    if not neutral.any() and len(patches) < COLOURED:
        raise MicrographRefused(
            f"Mark a neutral patch (grey or white), or at least {COLOURED} coloured ones: so few tell nothing of the light."
        )
    balanced, balanced_out = _fitted(seen, wanted, neutral, full=False)
    matrix, left_out, status = balanced, balanced_out, "white-balanced"
    if np.count_nonzero(~neutral) >= COLOURED and len(patches) >= COLOURED + 3:
        whole, whole_out = _fitted(seen, wanted, neutral, full=True)
        if np.nanmean(whole_out) < np.nanmean(balanced_out):
            matrix, left_out, status = whole, whole_out, "calibrated"
    found = _lab(seen @ matrix.T)
    residual = delta_e_2000(found, wanted)
    rows = tuple(
        PatchResidual(patch.name, patch.lab, _triple(one), round(float(off), 3), None if np.isnan(out) else round(float(out), 3))
        for patch, one, off, out in zip(patches, found, residual, left_out, strict=True)
    )
    known = left_out[~np.isnan(left_out)]
    # Three factors suit any one patch to the last digit: that nothing is left says nothing.
    checked = len(patches) > 1
    return ColourCorrection(
        status,
        tuple(_triple(row, 9) for row in matrix),  # type: ignore[arg-type]
        linear,
        rows,
        round(float(residual.mean()), 3) if checked else None,
        round(float(residual.max()), 3) if checked else None,
        round(float(known.mean()), 3) if len(known) else None,
        round(float(known.max()), 3) if len(known) else None,
        _sentence(status, len(patches), residual, known),
    )


def to_lab(rgb: Floats, correction: ColourCorrection) -> Floats:
    """L*a*b* of a picture's numbers.

    Parameters
    ----------
    rgb : ndarray of float, shape (..., 3)
        Red, green and blue, 0 to 1, as :func:`.pictures.pixels` gives them.
    correction : ColourCorrection

    Returns
    -------
    ndarray of float, shape (..., 3)
        L* (0 to 100), a*, b*; D65, 2°.
    """
    light = rgb if correction.linear else linearised(rgb)
    return _lab(light @ np.array(correction.matrix).T)


def linearised(rgb: NDArray[Any]) -> Floats:
    """Proportions of light from numbers that follow the sRGB curve (IEC 61966-2-1), both 0 to 1."""
    return np.where(rgb <= 0.04045, rgb / 12.92, ((np.maximum(rgb, 0.04045) + 0.055) / 1.055) ** 2.4)


def _lab(light: Floats) -> Floats:
    relative = np.maximum(light @ _TO_XYZ.T, 0.0) / _WHITE
    f = np.where(relative > (6 / 29) ** 3, np.cbrt(relative), relative / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.stack((116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])), axis=-1)


def _light(lab: Floats) -> Floats:
    """Linear sRGB of L*a*b*."""
    y = (lab[..., 0] + 16) / 116
    f = np.stack((y + lab[..., 1] / 500, y, y - lab[..., 2] / 200), axis=-1)
    xyz = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * _WHITE
    return np.asarray(xyz @ np.linalg.inv(_TO_XYZ).T, dtype=np.float64)


def _patch(picture: Picture, patch: Patch, linear: bool) -> Floats:
    """Linear red, green and blue of a patch: the median of its box, refused where that is not the colour of one even patch."""
    x, y, width, height = patch.box
    across, down = size(picture)
    lightness, a, b = patch.lab
    if not (0 <= lightness <= 100 and abs(a) <= 128 and abs(b) <= 128):
        raise MicrographRefused(f"Patch '{patch.name}': L*a*b* {patch.lab} is no colour of a surface.")
    if width < LEAST_SIDE_PX or height < LEAST_SIDE_PX:
        raise MicrographRefused(f"Patch '{patch.name}' is smaller than {LEAST_SIDE_PX} px: mark a larger part of it.")
    if x < 0 or y < 0 or x + width > across or y + height > down:
        raise MicrographRefused(f"Patch '{patch.name}' lies partly outside the picture ({across} × {down} px).")
    # A large patch is looked at through a sieve: some 40,000 pixels tell its colour.
    step = max(1, int(np.sqrt(width * height / 40_000)))
    part = pixels(picture, patch.box)[::step, ::step].reshape(-1, 3)
    if (np.mean(part >= 1 - CLIPPED, axis=0) > CLIPPED_SHARE).any():
        raise MicrographRefused(f"Patch '{patch.name}' is overexposed: a channel is at its end. Use a picture with less exposure.")
    # A saturated cyan has no red in a camera that writes sRGB: one channel at nought is borne, and shows in the residual.
    if (np.mean(part <= CLIPPED, axis=0) > 0.5).all():
        raise MicrographRefused(f"Patch '{patch.name}' is black: it tells nothing. Use a picture with more exposure.")
    light = part if linear else linearised(part)
    middle = np.median(light, axis=0)
    quarters = np.percentile(light.mean(axis=1), (25, 75))
    if quarters[1] - quarters[0] > UNEVEN * middle.mean() + 0.004:
        raise MicrographRefused(
            f"Patch '{patch.name}' is uneven: a shadow, a scratch, or its edge lies in the box. Mark an even part of it."
        )
    return middle


def _fitted(seen: Floats, wanted: Floats, neutral: NDArray[np.bool_], full: bool) -> tuple[Floats, Floats]:
    """The correction from all patches, and for each patch its ΔE00 by a correction without it (NaN where the others do not suffice)."""
    use = np.ones(len(seen), dtype=np.bool_) if full or not neutral.any() else neutral
    matrix = _fit(seen[use], wanted[use], full)
    left_out = np.full(len(seen), np.nan)
    for number in range(len(seen)):
        others = use.copy()
        others[number] = False
        if others.sum() >= (COLOURED + 2 if full else 1):
            without = _fit(seen[others], wanted[others], full)
            left_out[number] = float(delta_e_2000(_lab(seen[number] @ without.T), wanted[number]))
    return matrix, left_out


def _fit(seen: Floats, wanted: Floats, full: bool) -> Floats:
    """Least squares in L*a*b*, from a start by least squares of light weighted as L* weighs it."""
    from scipy.optimize import least_squares

    target = _light(wanted)
    weight = 1.0 / np.cbrt(np.maximum(target.mean(axis=1, keepdims=True), 0.01)) ** 2
    if not full:
        start = np.sum(seen * target * weight**2, axis=0) / np.sum((seen * weight) ** 2, axis=0)
        found = least_squares(lambda factors: (_lab(seen * factors) - wanted).ravel(), np.maximum(start, 1e-6), x_scale="jac")
        return np.diag(found.x)
    first = np.linalg.lstsq(seen * weight, target * weight, rcond=None)[0].T
    found = least_squares(lambda nine: (_lab(seen @ nine.reshape(3, 3).T) - wanted).ravel(), first.ravel(), x_scale="jac")
    return np.asarray(found.x, dtype=np.float64).reshape(3, 3)


def _triple(values: Any, places: int = 3) -> Triple:
    a, b, c = (round(float(value), places) for value in values)
    return a, b, c


def _sentence(status: str, patches: int, residual: Floats, left_out: Floats) -> str:
    what = "Calibrated" if status == "calibrated" else "White-balanced only: the hues of the section are the camera's"
    out = f"; {left_out.mean():.1f} (at most {left_out.max():.1f}) for patches left out of the estimate" if len(left_out) else ""
    if patches == 1:
        return f"{what}, from one patch, which nothing checks. Mark another to be told what it leaves of error."
    return f"{what}, from {patches} patches: mean ΔE00 {residual.mean():.1f}, at most {residual.max():.1f}{out}."


__all__ = ["Matrix", "correct_colours", "linearised", "to_lab", "uncalibrated"]

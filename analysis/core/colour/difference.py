"""Colour difference: CIEDE2000 over arrays of L*a*b* colours."""

from typing import Final

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

_25_TO_THE_7TH: Final = 25.0**7


def delta_e_2000(lab1: npt.ArrayLike, lab2: npt.ArrayLike) -> FloatArray:
    """CIEDE2000 colour difference of two arrays of colours, with k_L = k_C = k_H = 1.

    Parameters
    ----------
    lab1, lab2 : array_like of float, shapes (..., 3)
        L* (0 to 100), a* and b* (no unit), both against the same white. The leading dimensions broadcast, so
        ``lab[:, None, :]`` against ``lab[None, :, :]`` gives every pair. A missing colour is NaN.

    Returns
    -------
    ndarray of float64, shape (...)
        ΔE00, 0 or more; NaN wherever a component of either colour is NaN. It is the same to the last bit
        whichever of the two colours comes first.

    Raises
    ------
    ValueError
        If the last dimension of either argument is not 3.

    Notes
    -----
    Cost: about 0.5 µs a pair, and some fifteen temporary arrays of the size of the result: for more than about
    a million pairs go through the rows in chunks of 64 to 256.

    References
    ----------
    G. Sharma, W. Wu and E. N. Dalal, "The CIEDE2000 color-difference formula: implementation notes,
    supplementary test data, and mathematical observations", Color Research & Application 30 (2005) 21-30,
    equations (2) to (22).
    """
    first, second = np.asarray(lab1, dtype=np.float64), np.asarray(lab2, dtype=np.float64)
    if first.shape[-1:] != (3,) or second.shape[-1:] != (3,):
        raise ValueError(
            f"Colours need three components (L*, a*, b*) in the last dimension; the shapes are {first.shape} and {second.shape}."
        )
    lightness1, a1, b1 = first[..., 0], first[..., 1], first[..., 2]
    lightness2, a2, b2 = second[..., 0], second[..., 1], second[..., 2]

    stretch = _grey_axis_stretch((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2)
    chroma1, hue1 = _chroma_and_hue(a1 * stretch, b1)
    chroma2, hue2 = _chroma_and_hue(a2 * stretch, b2)
    chroma_product = chroma1 * chroma2

    lightness_step = lightness2 - lightness1
    chroma_step = chroma2 - chroma1
    hue_step = 2 * np.sqrt(chroma_product) * np.sin(np.radians(_hue_turn(hue1, hue2, chroma_product)) / 2)

    mean_lightness = (lightness1 + lightness2) / 2
    mean_chroma = (chroma1 + chroma2) / 2
    mean_hue = _mean_hue(hue1, hue2, chroma_product)

    from_middle = (mean_lightness - 50) ** 2
    lightness_term = lightness_step / (1 + 0.015 * from_middle / np.sqrt(20 + from_middle))
    chroma_term = chroma_step / (1 + 0.045 * mean_chroma)
    hue_term = hue_step / (1 + 0.015 * mean_chroma * _hue_weight(mean_hue))
    rotation = _blue_rotation(mean_chroma, mean_hue)
    squares = lightness_term**2 + chroma_term**2 + hue_term**2 + rotation * chroma_term * hue_term
    # The form is positive definite (|R_T| < 2), but rounding can leave -1e-17 between equal colours.
    return np.asarray(np.sqrt(np.maximum(squares, 0.0)), dtype=np.float64)


def _grey_axis_stretch(mean_chroma: FloatArray) -> FloatArray:
    """1 + G of equation (4): lengthens a* near the grey axis."""
    to_the_7th = mean_chroma**7
    return 1.5 - 0.5 * np.sqrt(to_the_7th / (to_the_7th + _25_TO_THE_7TH))


def _chroma_and_hue(a: FloatArray, b: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Chroma and hue angle in degrees from 0 up to 360; 0 for a grey (equations 6 and 7)."""
    degrees = np.degrees(np.arctan2(b, a))
    return np.hypot(a, b), np.where(degrees < 0, degrees + 360, degrees)


def _hue_turn(hue1: FloatArray, hue2: FloatArray, chroma_product: FloatArray) -> FloatArray:
    """Δh' in degrees the shorter way round; 0 if either colour is grey (equation 10)."""
    turn = hue2 - hue1
    turn = np.where(turn > 180, turn - 360, np.where(turn < -180, turn + 360, turn))
    return np.where(chroma_product == 0, 0.0, turn)


def _mean_hue(hue1: FloatArray, hue2: FloatArray, chroma_product: FloatArray) -> FloatArray:
    """Mean hue in degrees; the hue of the other if one colour is grey (equation 14)."""
    total = hue1 + hue2
    across_zero = np.where(total < 360, total + 360, total - 360) / 2
    mean = np.where(np.abs(hue1 - hue2) <= 180, total / 2, across_zero)
    return np.where(chroma_product == 0, total, mean)


def _hue_weight(hue: FloatArray) -> FloatArray:
    """T of equation (15)."""
    return (
        1
        - 0.17 * np.cos(np.radians(hue - 30))
        + 0.24 * np.cos(np.radians(2 * hue))
        + 0.32 * np.cos(np.radians(3 * hue + 6))
        - 0.20 * np.cos(np.radians(4 * hue - 63))
    )


def _blue_rotation(mean_chroma: FloatArray, mean_hue: FloatArray) -> FloatArray:
    """R_T of equations (16), (17) and (21): couples chroma and hue in the blues."""
    to_the_7th = mean_chroma**7
    width = 30 * np.exp(-(((mean_hue - 275) / 25) ** 2))
    return -2 * np.sqrt(to_the_7th / (to_the_7th + _25_TO_THE_7TH)) * np.sin(np.radians(2 * width))

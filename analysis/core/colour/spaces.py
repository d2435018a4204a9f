"""From chromaticity to L*a*b* to a screen colour, and back.

Everything here is for the CIE 1931 2° observer. L*a*b* is against D65; Munsell chromaticities are for illuminant C and
are carried over by the Bradford transform.
"""

import math
from typing import Final, NamedTuple

from analysis.core.colour.renotation import GREY_XY

Triple = tuple[float, float, float]
Matrix = tuple[Triple, Triple, Triple]


def _white(x: float, y: float) -> Triple:
    return x / y, 1.0, (1 - x - y) / y


def _times(matrix: Matrix, vector: Triple) -> Triple:
    a, b, c = (row[0] * vector[0] + row[1] * vector[1] + row[2] * vector[2] for row in matrix)
    return a, b, c


WHITE_C: Final = _white(*GREY_XY)
WHITE_D65: Final = _white(0.3127, 0.3290)

# K. M. Lam's sharpened cone responses, as printed in the CIECAM97s papers; the second is the inverse of the first.
_BRADFORD: Final[Matrix] = ((0.8951, 0.2664, -0.1614), (-0.7502, 1.7135, 0.0367), (0.0389, -0.0685, 1.0296))


def _inverse(m: Matrix) -> Matrix:
    (a, b, c), (d, e, f), (g, h, i) = m
    determinant = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    return (
        ((e * i - f * h) / determinant, (c * h - b * i) / determinant, (b * f - c * e) / determinant),
        ((f * g - d * i) / determinant, (a * i - c * g) / determinant, (c * d - a * f) / determinant),
        ((d * h - e * g) / determinant, (b * g - a * h) / determinant, (a * e - b * d) / determinant),
    )


_BRADFORD_BACK: Final = _inverse(_BRADFORD)

# IEC 61966-2-1: XYZ (D65, 0 to 1) to linear red, green and blue.
_TO_RGB: Final[Matrix] = ((3.2406, -1.5372, -0.4986), (-0.9689, 1.8758, 0.0415), (0.0557, -0.2040, 1.0570))
_CUBE_LIMIT: Final = 6 / 29


class Srgb(NamedTuple):
    """A screen colour for orientation; never a paint match.

    Attributes
    ----------
    hex : str
        ``#rrggbb`` in small letters.
    in_gamut : bool
        False if the screen cannot show the colour: then `hex` is the nearest of the same lightness and hue with less chroma.
    """

    hex: str
    in_gamut: bool


def adapt(xyz: Triple, source: Triple, target: Triple) -> Triple:
    """XYZ under the white `source` as it would look under the white `target`: Bradford transform, full adaptation."""
    cones, cones_source, cones_target = (_times(_BRADFORD, colour) for colour in (xyz, source, target))
    a, b, c = (cone * wanted / had for cone, had, wanted in zip(cones, cones_source, cones_target, strict=True))
    return _times(_BRADFORD_BACK, (a, b, c))


def xyz_to_lab(xyz: Triple, white: Triple = WHITE_D65) -> Triple:
    """CIE 1976 L*a*b* of XYZ (0 to 1) against a white."""
    fx, fy, fz = (
        math.cbrt(part / of) if part / of > _CUBE_LIMIT**3 else part / of / (3 * _CUBE_LIMIT**2) + 4 / 29
        for part, of in zip(xyz, white, strict=True)
    )
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def lab_to_xyz(lab: Triple, white: Triple = WHITE_D65) -> Triple:
    """XYZ (0 to 1) of CIE 1976 L*a*b* against a white."""
    fy = (lab[0] + 16) / 116
    x, y, z = (
        of * (f**3 if f > _CUBE_LIMIT else 3 * _CUBE_LIMIT**2 * (f - 4 / 29))
        for f, of in zip((fy + lab[1] / 500, fy, fy - lab[2] / 200), white, strict=True)
    )
    return x, y, z


def xyY_to_xyz(xyY: Triple) -> Triple:
    """XYZ of a chromaticity x, y (y above 0) and a luminance Y, on the scale of Y."""
    x, y, luminance = xyY
    return x * luminance / y, luminance, (1 - x - y) * luminance / y


def lab_to_srgb(lab: Triple) -> Srgb:
    """Screen colour of L*a*b* (D65, 2°), and whether the screen can show it.

    Parameters
    ----------
    lab : tuple of three floats
        L* (0 to 100), a*, b*.

    Returns
    -------
    Srgb
        Eight-bit sRGB. Out of gamut means that a channel would round below 0 or above 255; the colour is then shown
        with its chroma lowered, hue and lightness kept, until it fits (black or white if L* is outside 0 to 100).

    Raises
    ------
    ValueError
        If a component is NaN or infinite.

    Notes
    -----
    Cost: 5 µs, 100 µs out of gamut.

    References
    ----------
    IEC 61966-2-1:1999 (primaries, white, transfer curve).
    """
    if not all(math.isfinite(part) for part in lab):
        raise ValueError(f"The colour L*a*b* {lab} has a component that is no number.")
    levels = _levels(lab)
    if _shows(levels):
        return Srgb(_hex(levels), True)
    lightness = min(max(lab[0], 0.0), 100.0)
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2
        if _shows(_levels((lightness, lab[1] * middle, lab[2] * middle))):
            low = middle
        else:
            high = middle
    return Srgb(_hex(_levels((lightness, lab[1] * low, lab[2] * low))), False)


def _levels(lab: Triple) -> Triple:
    """Red, green and blue on the scale 0 to 255, neither rounded nor clipped."""
    r, g, b = (255 * _transfer(part) for part in _times(_TO_RGB, lab_to_xyz(lab)))
    return r, g, b


def _transfer(linear: float) -> float:
    return 12.92 * linear if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055


def _shows(levels: Triple) -> bool:
    return all(-0.5 <= level < 255.5 for level in levels)


def _hex(levels: Triple) -> str:
    return "#" + "".join(f"{min(max(math.floor(level + 0.5), 0), 255):02x}" for level in levels)

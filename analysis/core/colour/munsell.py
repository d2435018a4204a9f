"""Munsell notation to xyY and L*a*b*, and from a measured L*a*b* to the notation nearest to it."""

from functools import cache
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from analysis.core.colour.difference import delta_e_2000
from analysis.core.colour.notation import FAMILIES, NEUTRAL, ImpossibleMunsell, MunsellNotation, chromatic_notation, parse_munsell
from analysis.core.colour.renotation import GREY_XY, chroma_limit, chromaticity, find_hue_and_chroma, luminance, number, value_of_luminance
from analysis.core.colour.spaces import WHITE_C, WHITE_D65, Triple, adapt, lab_to_xyz, xyY_to_xyz, xyz_to_lab

# Less than this from the grey point is grey: a hundredth of the last decimal of the published chromaticities.
_GREY_DISTANCE: Final = 1e-6
# What the conversions can add to a pure white or black by rounding.
_LUMINANCE_SLACK: Final = 1e-9


class OutsideRenotation(ValueError):
    """A measured colour that the Munsell renotation does not reach; the message is a sentence."""


class NearestMunsell(NamedTuple):
    """A notation and how far the colour is from it.

    Attributes
    ----------
    notation : MunsellNotation
    delta_e : float
        ΔE00 between the colour and the notation, 0 or more.
    """

    notation: MunsellNotation
    delta_e: float


def munsell_to_xyY(munsell: str | MunsellNotation) -> Triple:
    """Chromaticity and luminance of a Munsell colour under illuminant C, 2° observer.

    Parameters
    ----------
    munsell : str or MunsellNotation
        A notation; text goes through `parse_munsell`.

    Returns
    -------
    tuple of three floats
        x, y, and Y from 0 to 1 of a perfect diffuser (the scale of ASTM D1535, not that of magnesium oxide).

    Raises
    ------
    ImpossibleMunsell
        If the text is no notation, or the notation lies outside the renotation.

    Notes
    -----
    Cost: about 0.2 ms.

    References
    ----------
    Newhall, Nickerson & Judd, JOSA 33 (1943) 385-418; ASTM D1535.
    """
    notation = parse_munsell(munsell) if isinstance(munsell, str) else munsell
    about_grey = complex(chromaticity(notation.hue_number, notation.value, notation.chroma)[0])
    if not np.isfinite(about_grey):
        raise ImpossibleMunsell(f"{notation} lies outside the renotation.")
    return GREY_XY[0] + about_grey.real, GREY_XY[1] + about_grey.imag, float(luminance(notation.value))


def munsell_to_lab(munsell: str | MunsellNotation) -> Triple:
    """L*a*b* (D65, 2° observer) of a Munsell colour, carried from illuminant C by the Bradford transform.

    Parameters
    ----------
    munsell : str or MunsellNotation
        A notation; text goes through `parse_munsell`.

    Returns
    -------
    tuple of three floats
        L* (0 to 100), a*, b*.

    Raises
    ------
    ImpossibleMunsell
        If the text is no notation, or the notation lies outside the renotation.

    Notes
    -----
    Cost: about 0.2 ms.
    """
    return xyz_to_lab(adapt(xyY_to_xyz(munsell_to_xyY(munsell)), WHITE_C, WHITE_D65))


def lab_to_munsell(lab: Triple, chips: bool = False) -> NearestMunsell:
    """The Munsell notation nearest to a measured colour, with what is left between them.

    Parameters
    ----------
    lab : tuple of three floats
        L* (0 to 100), a*, b* against D65, 2° observer.
    chips : bool
        False: the notation in tenths (hue, value and chroma each rounded to one decimal after the exact inverse).
        True: the chip of a book with the smallest ΔE00: hues by 2.5, chromas 1, 2, 4, 6 …, values by 1 and 8.5;
        neutrals by half a value. Books differ by edition in which of these chips they hold.

    Returns
    -------
    NearestMunsell
        The notation and its ΔE00 from `lab`.

    Raises
    ------
    OutsideRenotation
        If L* is below 0 or above 100 or a component is NaN; with ``chips=False`` also where the colour is more
        saturated than the renotation goes at its hue and lightness, or is no neutral and darker than value 0.2.

    Notes
    -----
    Cost: about 1.5 ms; with ``chips=True`` 1 ms, and once 50 ms to prepare the chips.
    """
    if not all(np.isfinite(lab)) or not 0 <= lab[0] <= 100:
        raise OutsideRenotation(f"L*a*b* {_written(lab)} is no colour of a surface: L* runs from 0 to 100.")
    if chips:
        notations, colours = _chips()
        apart = delta_e_2000(colours, lab)
        nearest = int(np.argmin(apart))
        return NearestMunsell(notations[nearest], float(apart[nearest]))
    notation = _rounded(*_exact(lab))
    return NearestMunsell(notation, float(delta_e_2000(munsell_to_lab(notation), lab)))


def _exact(lab: Triple) -> Triple:
    """Hue number (NaN for a neutral), value and chroma of a colour."""
    x, y, z = adapt(lab_to_xyz(lab), WHITE_D65, WHITE_C)
    total = x + y + z
    about_grey = complex(x / total, y / total) - complex(*GREY_XY) if total > _LUMINANCE_SLACK else 0j
    if not -_LUMINANCE_SLACK <= y <= 1 + _LUMINANCE_SLACK:
        raise OutsideRenotation(f"L*a*b* {_written(lab)} is brighter than white or darker than black under illuminant C.")
    value = value_of_luminance(min(max(y, 0.0), 1.0))
    if abs(about_grey) < _GREY_DISTANCE:
        return float("nan"), value, 0.0
    found = find_hue_and_chroma(about_grey, value)
    if found is None:
        raise OutsideRenotation(
            f"L*a*b* {_written(lab)} (Munsell value {number(round(value, 1))}) lies outside the renotation: "
            "no Munsell notation is that saturated."
        )
    return found[0], value, found[1]


def _rounded(hue_number: float, value: float, chroma: float) -> MunsellNotation:
    """The notation in tenths; a chroma that rounding would lift out of the renotation is rounded down."""
    value, tenth = round(value, 1), round(chroma, 1)
    if tenth == 0:
        return MunsellNotation(None, NEUTRAL, value, 0.0)
    hue_number = round(hue_number, 1) or 100.0
    tenth = min(tenth, np.floor(chroma_limit(hue_number, value) * 10) / 10)
    family = int(np.ceil(hue_number / 10)) - 1
    return chromatic_notation(round(hue_number - 10 * family, 1), FAMILIES[family], value, float(tenth))


@cache
def _chips() -> tuple[list[MunsellNotation], npt.NDArray[np.float64]]:
    notations = [MunsellNotation(None, NEUTRAL, half / 2, 0.0) for half in range(1, 20)]
    for family in FAMILIES:
        for hue in (2.5, 5.0, 7.5, 10.0):
            for value in (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 8.5, 9.0):
                limit = chroma_limit(10 * FAMILIES.index(family) + hue, value)
                notations += [MunsellNotation(hue, family, value, float(chroma)) for chroma in (1, *range(2, int(limit) + 1, 2))]
    about_grey = chromaticity(
        [notation.hue_number for notation in notations],
        [notation.value for notation in notations],
        [notation.chroma for notation in notations],
    )
    brightness = luminance([notation.value for notation in notations])
    colours = [
        xyz_to_lab(adapt(xyY_to_xyz((GREY_XY[0] + point.real, GREY_XY[1] + point.imag, y)), WHITE_C, WHITE_D65))
        for point, y in zip(about_grey.tolist(), brightness.tolist(), strict=True)
    ]
    return notations, np.array(colours)


def _written(lab: Triple) -> str:
    return ", ".join(f"{part:.2f}" for part in lab)

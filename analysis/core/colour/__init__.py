"""Colour: how different two colours are, and how a chip's notation, L*a*b* and a screen colour answer to each other."""

from analysis.core.colour.difference import delta_e_2000
from analysis.core.colour.munsell import NearestMunsell, OutsideRenotation, lab_to_munsell, munsell_to_lab, munsell_to_xyY
from analysis.core.colour.notation import ImpossibleMunsell, MunsellNotation, parse_munsell
from analysis.core.colour.spaces import Srgb, lab_to_srgb

__all__ = [
    "ImpossibleMunsell",
    "MunsellNotation",
    "NearestMunsell",
    "OutsideRenotation",
    "Srgb",
    "delta_e_2000",
    "lab_to_munsell",
    "lab_to_srgb",
    "munsell_to_lab",
    "munsell_to_xyY",
    "parse_munsell",
]

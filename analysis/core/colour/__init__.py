"""Colour: how different two colours are, and how a chip's notation, L*a*b* and a screen colour answer to each other."""

from analysis.core.colour.difference import delta_e_2000

__all__ = ["delta_e_2000"]

"""QR codes (ISO/IEC 18004) as boxes of a drawing."""

from typing import Final

import segno

from analysis.drawing.shapes import Box, Group

QUIET: Final = 4
"""Blank modules that the standard asks for round a code."""

LEAST_MODULE: Final = 0.25
"""A module smaller than this, in mm, is not safely read from an office printer of 300 dots to the inch (three dots). Common practice."""

POINT: Final = 72 / 25.4


def code_size(text: str) -> int:
    """How many modules the side of the smallest code for a text has, its quiet zone included."""
    return int(segno.make(text, micro=False, error="l").symbol_size(border=QUIET)[0])


def code(text: str, x: float, y: float, side: float, ink: str = "#000000") -> Group | None:
    """Draw the code for a text.

    Parameters
    ----------
    text : str
        What the code says.
    x, y, side : float
        Upper left corner and side of the square, quiet zone included, in points.
    ink : str
        Colour of the modules; the ground is left as it is and must be white.

    Returns
    -------
    Group or None
        Boxes, a run of modules each; None where a module would be smaller than `LEAST_MODULE`.
    """
    made = segno.make(text, micro=False, error="l")  # the level is raised by itself where the size allows it
    module = side / made.symbol_size(border=QUIET)[0]
    if module < LEAST_MODULE * POINT - 1e-9:
        return None
    boxes = []
    for row, line in enumerate(made.matrix_iter(border=QUIET)):
        start = None
        for column, dark in enumerate([*line, 0]):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                boxes.append(Box(x + start * module, y + row * module, (column - start) * module, module, ink))
                start = None
    return Group(f"Code: {text}", tuple(boxes))

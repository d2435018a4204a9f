"""How large a pixel is: from a line along a stage micrometer, from one of the project's microscopes, or as somebody states it."""

import math
from collections.abc import Sequence
from typing import Final

from analysis.core.micrographs.values import MicrographRefused, Scale

# A mouse places an end of the line to about a pixel.
END_ERROR_PX: Final = 1.0
# With less than this between the ends they alone make it wrong by more than 3 %.
SHORTEST_PX: Final = 50.0
# Light shows nothing finer than about 0.2 µm (Abbe's limit for green light and an aperture of 1.4); a whole section at the least
# magnification of the trade, 40 times, has some 10 µm a pixel. A factor of ten is left on either side.
FINEST_UM_PER_PX: Final = 0.02
COARSEST_UM_PER_PX: Final = 100.0
# A scale that is only stated, or measured for other pictures of the same microscope: common practice, one in a hundred.
STATED_ERROR: Final = 0.01


def scale_from_line(points: Sequence[Sequence[float]], length_um: float, length_error_um: float = 0.0) -> Scale:
    """The scale from a line drawn between two marks of a stage micrometer.

    Parameters
    ----------
    points : sequence of two (x, y)
        The ends in px; each is taken to be placed to ±1 px.
    length_um : float
        What lies between the marks, in µm, above 0.
    length_error_um : float
        Standard error of the micrometer's own length, 0 or more.

    Returns
    -------
    Scale

    Raises
    ------
    MicrographRefused
        If the line has not two ends, is shorter than 50 px, the length is no length, or the scale is none of a light microscope.
    """
    if len(points) != 2 or any(len(point) != 2 or not all(math.isfinite(part) for part in point) for point in points):
        raise MicrographRefused("A scale is measured between two marks: draw a line with two ends on the stage micrometer.")
    if not (math.isfinite(length_um) and length_um > 0):
        raise MicrographRefused("Say how many µm lie between the two marks; it is a number above 0.")
    if not (math.isfinite(length_error_um) and 0 <= length_error_um < length_um):
        raise MicrographRefused("The uncertainty of the micrometer's length is 0 or more, and less than the length.")
    (x1, y1), (x2, y2) = points
    length_px = math.hypot(x2 - x1, y2 - y1)
    if length_px < SHORTEST_PX:
        raise MicrographRefused(
            f"The line on the stage micrometer is only {length_px:.0f} px long: its ends make the scale wrong by more than 3 %. "
            "Measure over more divisions."
        )
    um_per_px = length_um / length_px
    relative = math.hypot(END_ERROR_PX * math.sqrt(2) / length_px, length_error_um / length_um)
    return Scale(_plausible(um_per_px), um_per_px * relative, "stage micrometer")


def scale_from_microscope(um_per_px: float, picture_width: int, measured_width: int | None = None) -> Scale:
    """The scale from what was measured for a microscope at one magnification.

    Parameters
    ----------
    um_per_px : float
        As measured, in pictures `measured_width` wide.
    picture_width : int
        Width of this picture in px.
    measured_width : int or None
        Width for which the scale was measured; the scale grows as the picture shrinks. None: it holds as it is.

    Returns
    -------
    Scale
        With an error of 1 %, common practice for a scale that was not measured in the picture itself.

    Raises
    ------
    MicrographRefused
        If the scale is none of a light microscope, or a width is not above 0.
    """
    if picture_width <= 0 or (measured_width is not None and measured_width <= 0):
        raise MicrographRefused("A picture's width is a number of px above 0.")
    here = _plausible(um_per_px) * ((measured_width / picture_width) if measured_width else 1.0)
    return Scale(_plausible(here), here * STATED_ERROR, "microscope")


def scale_as_stated(um_per_px: float) -> Scale:
    """The scale as somebody states it, refused where no light microscope has it; its error is taken to be 1 %.

    Parameters
    ----------
    um_per_px : float

    Returns
    -------
    Scale

    Raises
    ------
    MicrographRefused
    """
    return Scale(_plausible(um_per_px), um_per_px * STATED_ERROR, "stated")


def _plausible(um_per_px: float) -> float:
    if not (math.isfinite(um_per_px) and FINEST_UM_PER_PX <= um_per_px <= COARSEST_UM_PER_PX):
        raise MicrographRefused(
            f"{um_per_px:.3g} µm a pixel is not what a light microscope gives ({FINEST_UM_PER_PX} to {COARSEST_UM_PER_PX:.0f}): "
            "check the length and its unit."
        )
    return um_per_px

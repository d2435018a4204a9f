"""The colours along a line: a strip of the picture straightened, its layers made level, and the median taken across it."""

from analysis.core.micrographs.pictures import Picture
from analysis.core.micrographs.values import ColourCorrection, Line, Point, Profile, Registration


def point_at(line: Line, at_px: float) -> Point:
    """Where in the picture a place along a line is; before and beyond the line straight on.

    Parameters
    ----------
    line : Line
    at_px : float

    Returns
    -------
    tuple of two floats
        x, y in px.
    """
    raise NotImplementedError


def read_profile(
    visible: Picture,
    line: Line,
    correction: ColourCorrection,
    uv: Picture | None = None,
    registration: Registration | None = None,
    uv_correction: ColourCorrection | None = None,
) -> Profile:
    """Read the colours along a line.

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
    Profile

    Raises
    ------
    MicrographRefused
        If the line is shorter than 16 px, narrower than 1 px, doubles back, lies outside the picture, or the registration is unreliable.
    """
    raise NotImplementedError

"""The layers along a line: from a picture to a proposed stack."""

from typing import Final

from analysis.core.micrographs.pictures import Picture
from analysis.core.micrographs.values import ColourCorrection, Line, Reading, Registration, Scale

VERSION: Final = "1.0"


def read_line(
    visible: Picture,
    line: Line,
    scale: Scale | None = None,
    correction: ColourCorrection | None = None,
    uv: Picture | None = None,
    registration: Registration | None = None,
    uv_correction: ColourCorrection | None = None,
) -> Reading:
    """Propose the layers that a line crosses.

    Parameters
    ----------
    visible : Picture
    line : Line
        In px of `visible`, from the substrate to the surface.
    scale : Scale or None
        None: no thickness in µm.
    correction : ColourCorrection or None
        None: uncalibrated, and said.
    uv : Picture or None
    registration : Registration or None
        How `uv` (moving) lies on `visible` (fixed); None if both have the same pixels.
    uv_correction : ColourCorrection or None

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
        As :func:`.profile.read_profile` says.
    """
    raise NotImplementedError

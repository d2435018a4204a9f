"""The layers along a line: from a picture to a proposed stack."""

from typing import Final

from analysis.core.micrographs.boundaries import find_boundaries
from analysis.core.micrographs.colour import uncalibrated
from analysis.core.micrographs.pictures import Picture
from analysis.core.micrographs.profile import read_profiles
from analysis.core.micrographs.proposals import Reading
from analysis.core.micrographs.stacking import assembled
from analysis.core.micrographs.values import ColourCorrection, Line, Registration, Scale
from analysis.core.versions import MICROGRAPHS

# A person draws to about this; a boundary so near beyond an end of the line is where he meant to begin or end.
MEANT_PX: Final = 6.0


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
        As :func:`.profile.read_profiles` says.

    Notes
    -----
    A boundary up to 6 px before the line's beginning or beyond its end is taken for its beginning or end. Cost: 1 to 3 s for 1,000 px of
    line with UV, whatever the size of the pictures.
    """
    correction = correction or uncalibrated()
    profile, wide = read_profiles(visible, line, correction, uv, registration, uv_correction)
    within = [each for each in find_boundaries(profile, wide) if -MEANT_PX <= each.at_px <= profile.length_px + MEANT_PX]
    uv_status = "" if uv is None else (uv_correction or uncalibrated()).status
    return assembled(line, scale, profile, within, correction.status, uv_status, MICROGRAPHS)

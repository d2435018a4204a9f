"""What goes into the reading of a micrograph and what comes out: frozen values of plain numbers and words, with no behaviour.

Places in a picture are (x, y) in px, x to the right, y down; a pixel's centre has whole numbers, so that the picture reaches from -0.5 to
width - 0.5. Places along a line are px of its length from its first point, at the substrate; they may lie a little before it or beyond its
end, where the line goes on straight. Colours are L*a*b* (D65, 2°). What is found along a line stands in :mod:`.proposals`.
"""

from dataclasses import dataclass
from typing import Final

Point = tuple[float, float]
Triple = tuple[float, float, float]
Matrix = tuple[Triple, Triple, Triple]
Box = tuple[int, int, int, int]  # x, y of the upper left pixel, width, height

IDENTITY: Final[Matrix] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
# Of a colour correction: no target; only the light's cast taken out; a full linear correction.
COLOUR_STATUSES: Final = ("uncalibrated", "white-balanced", "calibrated")


class MicrographRefused(ValueError):
    """What cannot be measured, and what to do about it; the message is a sentence for the person at the screen."""


@dataclass(frozen=True, slots=True)
class Scale:
    """How large a pixel is.

    Attributes
    ----------
    um_per_px : float
        µm a pixel, above 0.
    error_um_per_px : float
        Its standard error, 0 or more.
    source : str
        One of `analysis.core.vocabulary.SCALE_SOURCES`.
    """

    um_per_px: float
    error_um_per_px: float
    source: str


@dataclass(frozen=True, slots=True)
class Patch:
    """One patch of a colour target in the picture: its name, where it lies (px), and the L*a*b* that it has (D65, 2°)."""

    name: str
    box: Box
    lab: Triple


@dataclass(frozen=True, slots=True)
class PatchResidual:
    """How well a patch comes out.

    Attributes
    ----------
    name : str
    lab : tuple of three floats
        What it should be.
    found : tuple of three floats
        What it is after the correction.
    delta_e : float
        ΔE00 between them.
    left_out : float or None
        ΔE00 when the correction is estimated without this patch; None where the others do not suffice.
    """

    name: str
    lab: Triple
    found: Triple
    delta_e: float
    left_out: float | None


@dataclass(frozen=True, slots=True)
class ColourCorrection:
    """How the numbers of a picture become colours.

    Attributes
    ----------
    status : str
        One of `COLOUR_STATUSES`.
    matrix : three by three floats
        From linear red, green, blue of the picture (0 to 1) to linear sRGB.
    linear : bool
        Whether the picture's numbers are proportional to light; else they are taken to follow the sRGB curve (IEC 61966-2-1).
    patches : tuple of PatchResidual
        Empty where there is no target.
    mean_delta_e, max_delta_e : float or None
        Residual ΔE00 of the patches; None of a single one, which any three factors suit.
    mean_left_out, max_left_out : float or None
        The same of each patch by a correction that has not seen it: what to expect of colours in the section.
    sentence : str
    """

    status: str
    matrix: Matrix
    linear: bool
    patches: tuple[PatchResidual, ...]
    mean_delta_e: float | None
    max_delta_e: float | None
    mean_left_out: float | None
    max_left_out: float | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Registration:
    """How a picture (moving, as a rule the UV one) lies on another of the same section (fixed, as a rule the visible one).

    Attributes
    ----------
    matrix : three by three floats
        From (x, y, 1) in px of the moving picture to px of the fixed one; the last row is 0, 0, 1.
    method : str
        One of `analysis.core.vocabulary.REGISTRATION_METHODS`.
    transform : str
        "translation", "similarity" or "affine".
    inliers : int
        How many pairs of places carry it.
    median_px, p95_px : float
        Residual distance of these pairs, in px of the fixed picture: the median, and what 95 % do not exceed.
    split_px : float or None
        How far two transforms, each estimated from half of the pairs, lie apart at the worst over the picture; None where pairs are few.
    reliable : bool
        Whether it may be used unasked. Only pairs that a person named give one that is not; other methods refuse instead.
    sentence : str
    """

    matrix: Matrix
    method: str
    transform: str
    inliers: int
    median_px: float
    p95_px: float
    split_px: float | None
    reliable: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class Line:
    """A line across a section, from the substrate to the surface, and how broad a strip along it is read (px)."""

    points: tuple[Point, ...]
    width_px: float


@dataclass(frozen=True, slots=True)
class Profile:
    """The colours along a line, one sample a pixel of its length, each the median across the strip.

    Attributes
    ----------
    start_px : float
        Place along the line of the first sample; below 0, because what lies before and beyond the line is looked at too.
    length_px : float
        Length of the line itself.
    lab : tuple of three floats each
        L*a*b* of each sample. Outside the picture it repeats the nearest that lies in it.
    uv : tuple of three floats each, or None
        The same of the UV picture: a lightness and hue of what was photographed, no colour of a surface.
    noise, uv_noise : tuple of float
        Standard error of each sample (per component, about), from the differences between parts of the strip; where grain hangs together
        over several px, as much larger as makes means over many samples as sure as they are.
    seen : tuple of two floats
        From where to where along the line there is a picture.
    tilt_deg : float
        By how much the layers lean from the perpendicular of the line: in degrees, positive where they climb towards the line's right hand.
    tilt_error_deg : float
        Its standard error.
    tilted : bool
        Whether the tilt is more than three times its error and more than two degrees; then it is corrected for.
    """

    start_px: float
    length_px: float
    lab: tuple[Triple, ...]
    uv: tuple[Triple, ...] | None
    noise: tuple[float, ...]
    uv_noise: tuple[float, ...]
    seen: tuple[float, float]
    tilt_deg: float
    tilt_error_deg: float
    tilted: bool

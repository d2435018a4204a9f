"""What goes into the reading of a micrograph and what comes out: frozen values of plain numbers and words, with no behaviour.

Places in a picture are (x, y) in px, x to the right, y down; a pixel's centre has whole numbers, so that the picture reaches from -0.5 to
width - 0.5. Places along a line are px of its length from its first point, at the substrate; they may lie a little before it or beyond its
end, where the line goes on straight. Colours are L*a*b* (D65, 2°). :func:`plain` makes JSON of every value here, and
:func:`from_plain` the value again.
"""

from dataclasses import asdict, dataclass, field
from types import UnionType
from typing import Any, Final, TypeVar, Union, get_args, get_origin, get_type_hints

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
        Residual ΔE00 of the patches.
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


@dataclass(frozen=True, slots=True)
class Boundary:
    """Where two layers meet.

    Attributes
    ----------
    at_px : float
        Place along the line.
    error_px : float
        Its standard error.
    breadth_px : float
        Over how long a way 10 to 90 % of the change happen (an error function is fitted); the microscope's blur is in it.
    delta_e : float
        ΔE00 of the step in the visible picture.
    uv_delta_e : float or None
        The same of the UV picture; None where there is none.
    confidence : float
        Probability that there is a boundary here at all; 1 for one that a person put.
    by_hand : bool
    """

    at_px: float
    error_px: float
    breadth_px: float
    delta_e: float
    uv_delta_e: float | None
    confidence: float
    by_hand: bool = False


@dataclass(frozen=True, slots=True)
class ProposedLayer:
    """One layer between two boundaries, 1 next to the substrate.

    Attributes
    ----------
    number : int
    from_px, to_px : float
        Along the line.
    thickness_um : float or None
        Normal to the layers: the way along the line times the cosine of the tilt, where there is one. None without a scale.
    thickness_error_um : float or None
        Standard error, of the boundaries, the scale and the tilt together.
    along_um : float or None
        The way along the line, uncorrected.
    lab : tuple of three floats
        Medoid of its samples: a colour that is there, not a mean that nobody mixed.
    spread : float
        Median ΔE00 of its samples from that.
    munsell : str
        Nearest notation in tenths; empty where the renotation does not reach.
    munsell_delta_e : float or None
    uv_lab : tuple of three floats or None
    uv_colour : str
        In words; empty where there is no UV picture.
    uv_strength : str
        One of `analysis.core.vocabulary.UV_STRENGTHS`, or empty. By the exposure of this picture.
    lower_boundary : str
        A hint: "sharp" or "fused" by its breadth, else "unclear". Soiling, weathering and scraping are for the eye to tell.
    boundary_um : float or None
        Breadth of the lower boundary (10 to 90 %).
    confidence : float
        Probability that it is one layer with these two boundaries.
    """

    number: int
    from_px: float
    to_px: float
    thickness_um: float | None
    thickness_error_um: float | None
    along_um: float | None
    lab: Triple
    spread: float
    munsell: str
    munsell_delta_e: float | None
    uv_lab: Triple | None
    uv_colour: str
    uv_strength: str
    lower_boundary: str
    boundary_um: float | None
    confidence: float


@dataclass(frozen=True, slots=True)
class End:
    """What the line runs through before the first boundary or after the last, and goes on beyond it: substrate, resin, or a layer cut off.

    Attributes
    ----------
    which : str
        "below" or "above" the stack.
    from_px, to_px : float
        The part of it along the line.
    lab : tuple of three floats
    uv_lab : tuple of three floats or None
    sentence : str
        What it is taken for, and why.
    """

    which: str
    from_px: float
    to_px: float
    lab: Triple
    uv_lab: Triple | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read along a line: a proposal, for a person to correct.

    Attributes
    ----------
    line : Line
    scale : Scale or None
    boundaries : tuple of Boundary
        In order; layer n lies between boundaries n - 1 and n (counted from 0).
    layers : tuple of ProposedLayer
        From the substrate to the surface; one fewer than the boundaries.
    ends : tuple of End
        At most one below and one above. What is there is offered as no layer; :func:`.edits.take_end` makes a layer of it.
    profile : Profile
        Kept, so that edits need no picture.
    colour_status, uv_status : str
        One of `COLOUR_STATUSES`; `uv_status` is empty where there is no UV picture.
    cautions : tuple of str
        Full sentences: how far the numbers may be trusted, and the usual cautions on colour and ultraviolet where they are shown.
    version : str
        Of the reading.
    """

    line: Line
    scale: Scale | None
    boundaries: tuple[Boundary, ...]
    layers: tuple[ProposedLayer, ...]
    ends: tuple[End, ...]
    profile: Profile
    colour_status: str
    uv_status: str
    cautions: tuple[str, ...]
    version: str


@dataclass(frozen=True, slots=True)
class ConsensusLayer:
    """One layer of a section as several lines show it.

    Attributes
    ----------
    number : int
        1 next to the substrate.
    members : tuple of int or None
        For each line, in the order given, the number of its layer; None where it does not show it.
    broken : tuple of int
        Numbers of the lines (from 0) that show layers below and above but not this one: broken or worn there, or missed.
    thickness_um : float or None
        Median of the lines' thicknesses; with `thinnest_um` and `thickest_um`.
    thinnest_um, thickest_um : float or None
    lab : tuple of three floats
        Medoid of the lines' colours.
    spread : float
        Largest ΔE00 of a line's colour from that.
    uv_colour, uv_strength : str
        What most lines say; empty where none says anything.
    agreement : float
        Share of the lines reaching that far that show it, 0 to 1.
    confidence : float
        Probability that it is there, from the lines that show it.
    sentence : str
    """

    number: int
    members: tuple[int | None, ...]
    broken: tuple[int, ...]
    thickness_um: float | None
    thinnest_um: float | None
    thickest_um: float | None
    lab: Triple
    spread: float
    uv_colour: str
    uv_strength: str
    agreement: float
    confidence: float
    sentence: str


@dataclass(frozen=True, slots=True)
class Reconciled:
    """Several lines on one section as one stack, substrate to surface; `agreement` is the mean of the layers', 0 to 1."""

    layers: tuple[ConsensusLayer, ...]
    agreement: float
    sentence: str
    cautions: tuple[str, ...] = field(default=())


Value = TypeVar("Value")


def plain(value: Any) -> dict[str, Any]:
    """A value of this module as JSON would have it: dicts, lists, numbers, words.

    Parameters
    ----------
    value : a dataclass of this module

    Returns
    -------
    dict
    """
    return {key: _listed(part) for key, part in asdict(value).items()}


def from_plain(kind: type[Value], data: Any) -> Value:
    """Make a value of this module again from what :func:`plain` gave, also after it has been JSON.

    Parameters
    ----------
    kind : type
        The dataclass.
    data : dict

    Returns
    -------
    Value

    Raises
    ------
    KeyError, TypeError
        If it is not the plain form of that dataclass.
    """
    hints = get_type_hints(kind)
    return kind(**{name: _made(hints[name], part) for name, part in data.items()})


def _listed(part: Any) -> Any:
    if isinstance(part, dict):
        return {key: _listed(each) for key, each in part.items()}
    return [_listed(each) for each in part] if isinstance(part, list | tuple) else part


def _made(hint: Any, part: Any) -> Any:
    if part is None:
        return None
    if get_origin(hint) in (UnionType, Union):
        hint = next(each for each in get_args(hint) if each is not type(None))
    if get_origin(hint) is tuple:
        inner = get_args(hint)
        if len(inner) == 2 and inner[1] is Ellipsis:
            return tuple(part) if inner[0] in (float, int, str) else tuple(_made(inner[0], each) for each in part)
        return tuple(_made(of, each) for of, each in zip(inner, part, strict=True))
    return from_plain(hint, part) if hasattr(hint, "__dataclass_fields__") else part

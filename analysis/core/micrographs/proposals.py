"""What is found along a line and what several lines say together: frozen values of plain numbers and words, with no behaviour."""

from dataclasses import dataclass, field

from analysis.core.micrographs.values import Line, Profile, Scale, Triple


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

"""Building parts with their samples and layers, as element readings and finishes as of a year see them: plain values, no behaviour."""

from dataclasses import dataclass

Lab = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Layer:
    """One film of a sample. An empty word or None means 'not recorded', never 'absent'.

    Parameters
    ----------
    key : str
        What people call it, as 'K-014/3'; unique.
    position : int
        1 = next to the substrate.
    kind, completeness, lower_boundary : str
        From the closed lists of `analysis.core.vocabulary`.
    generation : int, optional
        Ordinal (1 = oldest) of its generation in the element's space; None while it is not placed.
    confidence : float, optional
        Probability, 0 to 1, that it belongs there; None means not computed.
    held : bool
        Whether a person's ruling put it there, which settles it.
    runner_up : int, optional
        Ordinal of the next best generation.
    runner_up_confidence : float, optional
    lab : tuple of three floats, optional
        CIE L*a*b*, D65, 2° observer, as found: measured, else of the notation.
    munsell, colour, first_colour, sheen : str
        The notation as recorded; the colour in words; the colour as first applied, if somebody reasoned it; the sheen in words.
    """

    key: str
    position: int
    kind: str
    completeness: str = ""
    lower_boundary: str = ""
    generation: int | None = None
    confidence: float | None = None
    held: bool = False
    runner_up: int | None = None
    runner_up_confidence: float | None = None
    lab: Lab | None = None
    munsell: str = ""
    colour: str = ""
    first_colour: str = ""
    sheen: str = ""


@dataclass(frozen=True, slots=True)
class Sample:
    """One chip of paint.

    Parameters
    ----------
    key : str
        Its number, unique.
    base_state, top_state : str
        From the closed lists; empty means that nobody said.
    layers : tuple of Layer
        Bottom to top.
    """

    key: str
    base_state: str = ""
    top_state: str = ""
    layers: tuple[Layer, ...] = ()


@dataclass(frozen=True, slots=True)
class Element:
    """A building part that was painted as one thing.

    Parameters
    ----------
    key : str
        Its code, unique.
    space : str
        Number of its space.
    element_class : str
    substrate : str
        As recorded; empty means not recorded.
    samples : tuple of Sample
        Without those set aside.
    """

    key: str
    space: str
    element_class: str
    substrate: str = ""
    samples: tuple[Sample, ...] = ()


def carried(element: Element) -> tuple[int, ...]:
    """Give the ordinals of the generations that an element's layers are placed in, oldest first.

    Parameters
    ----------
    element : Element

    Returns
    -------
    tuple of int
        Each once; empty when no layer is placed.
    """
    return tuple(sorted({layer.generation for sample in element.samples for layer in sample.layers if layer.generation is not None}))

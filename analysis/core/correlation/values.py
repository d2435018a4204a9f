"""What goes into a correlation and what comes out: frozen values, no behaviour."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer as it was observed. An empty word, an empty tuple or None means 'not observed', never 'absent'.

    Attributes
    ----------
    key : str
        Unique among the layers of one correlation.
    kind, completeness, lower_boundary, munsell_basis, uv_strength : str
        From the closed lists of :mod:`analysis.core.vocabulary`; any other word is read as unknown.
    lab : tuple of three floats, optional
        CIE L*a*b*, D65, 2° observer, as found.
    colour : str
        Colour word; read only where `lab` is missing, and then roughly.
    uv_colour, binder, sheen, texture : str
        Free text, compared without regard to case.
    pigments : tuple of str
        "zinc white", "zinc white (seen)", "zinc white (identified: SEM-EDS)".
    thickness_um : float, optional
        Micrometres.
    """

    key: str
    kind: str
    completeness: str = "present"
    lab: tuple[float, float, float] | None = None
    colour: str = ""
    munsell_basis: str = ""
    uv_colour: str = ""
    uv_strength: str = ""
    pigments: tuple[str, ...] = ()
    binder: str = ""
    lower_boundary: str = ""
    thickness_um: float | None = None
    sheen: str = ""
    texture: str = ""


@dataclass(frozen=True, slots=True)
class Sample:
    """One sample: where it comes from, whether its two ends are whole, and its layers from the substrate upwards."""

    key: str
    element: str
    element_class: str
    base_state: str
    top_state: str
    layers: tuple[Layer, ...]


@dataclass(frozen=True, slots=True)
class Ruling:
    """A person's ruling: `tie` and `bar` on two layers, `hold` of the first layer in a generation."""

    key: str
    kind: str
    first: str
    second: str = ""
    generation: str = ""


@dataclass(frozen=True, slots=True)
class Placement:
    """Where one layer stands: ordinal (1 = oldest), its probability, the next best ordinal and its probability.

    A likelier generation, where the layers beneath and above bar the way to it, is not named. The next best may be likelier all the same,
    for one or two layers in a hundred: a layer stands where its pairs are likeliest right.
    """

    generation: int
    confidence: float
    runner_up: int | None
    runner_up_confidence: float
    held: bool


@dataclass(frozen=True, slots=True)
class FoundGeneration:
    """One generation. `key` is that of a held one, else empty; `distinctness` the probability that it is not one
    campaign with the next older generation, None for the oldest."""

    ordinal: int
    key: str
    distinctness: float | None


@dataclass(frozen=True, slots=True)
class Correlation:
    """The generations of a space, oldest first, and the placement of every layer by its key."""

    generations: tuple[FoundGeneration, ...]
    placements: dict[str, Placement]


class ContradictoryRulings(Exception):
    """The rulings make each other, or the order of layers or generations, impossible.

    Attributes
    ----------
    chain : tuple of str
        The steps, in words with the keys of the records, that cannot all be so.
    """

    def __init__(self, chain: Sequence[str], sentence: str = "") -> None:
        self.chain = tuple(chain)
        super().__init__(sentence or "These rulings cannot all be obeyed: " + "; ".join(self.chain) + ".")

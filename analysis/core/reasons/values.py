"""What is told of a placing: frozen values, no behaviour."""

from dataclasses import dataclass
from typing import Final

# Every kind of reason, in the order in which they are told.
TERMS: Final = (
    "colour, same class",
    "colour, other classes",
    "rarity of the colour",
    "UV response",
    "pigments",
    "binder",
    "texture",
    "kind of film",
    "layers beneath",
    "layers above",
    "films in sequence",
    "boundaries",
    "rulings",
)


@dataclass(frozen=True, slots=True)
class Term:
    """One kind of reason.

    Attributes
    ----------
    name : str
        One of `TERMS`.
    weight : float
        Log odds in nats: above 0 it speaks for the generation that the layer stands in, below 0 for the other.
    own, here, there : str
        What was seen on the layer itself, among its mates where it stands, and among those of the other generation; '' where nothing
        is to be said.
    """

    name: str
    weight: float
    own: str = ""
    here: str = ""
    there: str = ""


@dataclass(frozen=True, slots=True)
class Reasons:
    """Why a layer stands in one generation and not in another.

    Attributes
    ----------
    layer : str
    generation, against : int
        Ordinals on record of the two generations.
    probability, against_probability : float
        Of the layer, its sample weighed against all others.
    total : float
        Log odds in nats; the terms' weights add up to it. Where a ruling decides it is what all else says.
    terms : tuple of Term
        In the order of `TERMS`, those that weigh anything.
    decided : bool
        Whether a ruling leaves the layer no choice.
    alone : bool
        Whether no other sample shows the generation it stands in.
    """

    layer: str
    generation: int
    against: int
    probability: float
    against_probability: float
    total: float
    terms: tuple[Term, ...]
    decided: bool
    alone: bool

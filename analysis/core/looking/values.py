"""What is told of where to look next: frozen values, no behaviour."""

from dataclasses import dataclass
from typing import Final

# To rule on a layer, to rule on a joint between two generations, to look at under UV, to have pigments examined.
KINDS: Final = ("layer", "joint", "UV", "pigments")


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One thing that would settle something.

    Attributes
    ----------
    kind : str
        One of `KINDS`.
    layers : tuple of str
        For a ruling the two layers to tie or to bar; for an examination those it would look at.
    generations : tuple of int
        Ordinals at issue: of the second layer, or of both sides of a joint; the likeliest ones of what is examined.
    gain : float
        Expected fall of the doubt, in bits: as many pairs of layers, each at even odds, would come to be sure.
    chance : float
        Probability, as things stand, that the two layers, or the two generations, are of one campaign; for an examination that the layers
        stand where they are placed (the mean).
    sentence : str
    """

    kind: str
    layers: tuple[str, ...]
    generations: tuple[int, ...]
    gain: float
    chance: float
    sentence: str


@dataclass(frozen=True, slots=True)
class Looking:
    """Where to look next in a space: the whole doubt in bits, and suggestions, most to be gained first."""

    doubt: float
    rulings: tuple[Suggestion, ...]
    examinations: tuple[Suggestion, ...]

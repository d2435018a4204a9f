"""What readings are given beside elements, and what they answer, as plain values."""

from dataclasses import dataclass
from typing import Final

HISTORIES: Final = ("from the start", "inserted", "stripped", "reused")
CONCLUSIONS: Final = (*HISTORIES, "inserted or stripped", "undecided", "beginning not seen", "no evidence")


@dataclass(frozen=True, slots=True)
class Span:
    """A generation of a space and the bounds of its year.

    Parameters
    ----------
    ordinal : int
        1 = oldest; unique in its space.
    earliest, latest : int, optional
        Inclusive; None means open.
    """

    ordinal: int
    earliest: int | None = None
    latest: int | None = None


@dataclass(frozen=True, slots=True)
class Making:
    """What evidence says of when an element was made.

    Parameters
    ----------
    element : str
        Code of the element.
    earliest, latest : int, optional
        Years between which it was made, inclusive; None means open.
    label : str
        Reference of the evidence, as 'E-07'.
    """

    element: str
    earliest: int | None
    latest: int | None
    label: str


@dataclass(frozen=True, slots=True)
class Neighbours:
    """How many generations the other elements of the space carry.

    Parameters
    ----------
    elements : int
        How many elements there are with placed layers; the rest describes them.
    fewest, median, most : int
        Of the generations carried; 0 without neighbours. The median is the lower of the two middle ones.
    earlier : int
        How many of them carry a generation older than that at which this element begins.
    """

    elements: int
    fewest: int
    median: int
    most: int
    earlier: int


@dataclass(frozen=True, slots=True)
class Reading:
    """The answer for one element.

    Parameters
    ----------
    element, space, element_class : str
    first, last : int, optional
        Ordinals of the first and the last generation that it carries; None when none of its layers is placed.
    carried : tuple of int
        Ordinals of the generations that it carries.
    could : tuple of int
        Those that it could carry: all of its space but those that its samples cannot show (below a base that no sample reaches,
        above a top that every sample has lost).
    missing_before, missing_between, missing_after : tuple of int
        Those that it could and does not: before its first, between, after its last.
    begins : int, optional
        Ordinal of the generation at which its own sequence in this space begins, by the conclusion: what it carries below is misplaced,
        or was brought along. Its first generation where nothing was weighed; None when none of its layers is placed.
    foreign : tuple of int
        The generations that it carries and no other element of the space shows.
    neighbours : Neighbours
    conclusion : str
        One of `CONCLUSIONS`.
    certainty : float, optional
        Probability, 0 to 1, of the conclusion; None where nothing was weighed.
    chances : tuple of (str, float)
        Each of `HISTORIES` with its probability; empty where nothing was weighed.
    because : tuple of str
        What it rests on, as full sentences.
    samples : tuple of str
        Numbers of the samples that it rests on.
    sentence : str
        One sentence with the numbers.
    """

    element: str
    space: str
    element_class: str
    first: int | None
    last: int | None
    carried: tuple[int, ...]
    could: tuple[int, ...]
    missing_before: tuple[int, ...]
    missing_between: tuple[int, ...]
    missing_after: tuple[int, ...]
    begins: int | None
    foreign: tuple[int, ...]
    neighbours: Neighbours
    conclusion: str
    certainty: float | None
    chances: tuple[tuple[str, float], ...]
    because: tuple[str, ...]
    samples: tuple[str, ...]
    sentence: str

"""What goes into comparing the generations of different spaces, and what comes out: frozen values, no behaviour."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from analysis.core.correlation.values import Sample

Key = tuple[str, int]  # a space's number and a generation's ordinal


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of a generation beside its layers: bounds of its year, and its phase."""

    earliest: int | None = None
    latest: int | None = None
    phase: str | None = None


@dataclass(frozen=True, slots=True)
class Space:
    """One space as it is correlated.

    Attributes
    ----------
    number : str
    samples : tuple of Sample
    generations : mapping of str to int
        By a layer's key the ordinal of its generation; a layer that stands in none is left out.
    facts : mapping of int to Facts
        By ordinal; what is left out is not known.
    """

    number: str
    samples: tuple[Sample, ...]
    generations: Mapping[str, int]
    facts: Mapping[int, Facts] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two generations of different spaces that may be one campaign.

    Attributes
    ----------
    first, second : tuple of str and int
        Space and ordinal.
    chance : float
        Probability, weighed with all other generations of the two spaces and their order.
    look : float
        What their looks alone say, as log odds in nats.
    reasons : tuple of str
        What they share, in words.
    """

    first: Key
    second: Key
    chance: float
    look: float
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Campaign:
    """Generations of different spaces, one of each at most, that may be one campaign.

    Attributes
    ----------
    generations : tuple of (str, int)
    chance : float
        Of the weakest pair by which they hang together.
    pairs : tuple of Pair
        The surest first.
    phases : tuple of str
        Phases that some of them are in already: one or none.
    earliest, latest : int, optional
        The years that all their bounds leave.
    """

    generations: tuple[Key, ...]
    chance: float
    pairs: tuple[Pair, ...]
    phases: tuple[str, ...]
    earliest: int | None
    latest: int | None

"""How likely each history of an element is, given what its samples show."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from analysis.core.readings.values import HISTORIES

PRIOR: Final = {"from the start": 0.70, "inserted": 0.12, "stripped": 0.12, "reused": 0.06}
"""Before anything is seen: most elements of a room are as old as its first paint; one in four is not."""

BASE: Final = {
    "complete": {"stripped": 0.10, "otherwise": 0.80},
    "stripped": {"stripped": 0.55, "otherwise": 0.02},
    "unknown": {"stripped": 0.27, "otherwise": 0.12},
    "unseen": {"stripped": 0.08, "otherwise": 0.06},
}
"""How likely each state of the base is to be noted. A thorough stripping may leave a base that looks clean; the eye seldom sees one that
was not there."""

SIGN: Final = {"stripped": 0.45, "otherwise": 0.05}
"""How likely residues, traces below the first film, or a scraped, scorched or weathered surface are to be seen."""

FOREIGN: Final = (0.15, 0.25, 0.30)
"""How likely 0, 1, 2 foreign generations are to be told apart on a reused element; each further one is half as likely."""

AGAINST_EVIDENCE: Final = 0.05
"""How likely a history is to be true although a statement on the making of the element speaks against it: statements err too."""

CLEAREST: Final = 0.02
VAGUEST: Final = 0.5
"""The chance that the first generation is misplaced is taken from the confidence of its layers, and held within these."""


@dataclass(frozen=True, slots=True)
class Signs:
    """What an element shows.

    Parameters
    ----------
    rates : tuple of float
        For each generation of its space that other elements show, oldest first, how often an element carries it: above 0, below 1.
    first : int, optional
        Index into `rates` of the first that it carries; None when it carries none of them.
    foreign : int
        How many generations that no other element shows lie below that.
    foreign_rate : float
        How often a generation is carried by one element alone.
    doubt : float
        Chance that the first generation is misplaced.
    base : {'complete', 'stripped', 'unknown', 'unseen'}
    residue : bool
        Whether anything of an earlier coat, or of its removal, is seen at the base.
    possible : tuple of int
        Indices j such that the element may have come, by what evidence says of its making, after generation j - 1 and before
        generation j; 0 stands for before the first.
    """

    rates: tuple[float, ...]
    first: int | None
    foreign: int
    foreign_rate: float
    doubt: float
    base: str
    residue: bool
    possible: tuple[int, ...]


def weigh(signs: Signs) -> dict[str, float]:
    """Give the probability of each history.

    Parameters
    ----------
    signs : Signs

    Returns
    -------
    dict of str to float
        Each of `HISTORIES`; they sum to 1.

    Notes
    -----
    From the start: the element carries generation g with probability rates[g]. Inserted, or stripped, before generation j (each
    later j as likely as the others): it carries none below j, and those from j on as the others do. Reused: as inserted, and what it
    brought shows as generations of its own. All else that bears on the history is taken as independent given the history.

    Cost: proportional to the number of generations.
    """
    late = _weights_of_coming(signs)
    old = 1.0 if 0 in signs.possible else AGAINST_EVIDENCE
    count = len(signs.rates)
    shape = {
        "from the start": old * chance_of_start(signs.rates, signs.first, [1.0, *[0.0] * (count - 1)]),
        "inserted": chance_of_start(signs.rates, signs.first, late),
        "stripped": old * chance_of_start(signs.rates, signs.first, [0.0, *[1.0 / max(1, count - 1)] * (count - 1)]),
        "reused": chance_of_start(signs.rates, signs.first, late),
    }
    random = 1.0 / (count + 1)
    own = signs.foreign_rate**signs.foreign * (1.0 - signs.foreign_rate)
    brought = FOREIGN[signs.foreign] if signs.foreign < len(FOREIGN) else FOREIGN[-1] * 0.5 ** (signs.foreign - len(FOREIGN) + 1)
    weights = {}
    for history in HISTORIES:
        kind = "stripped" if history == "stripped" else "otherwise"
        weight = PRIOR[history] * ((1.0 - signs.doubt) * shape[history] + signs.doubt * random)
        weight *= BASE[signs.base][kind] * (SIGN[kind] if signs.residue else 1.0 - SIGN[kind])
        weights[history] = weight * (brought if history == "reused" else own)
    total = sum(weights.values())
    return {history: weight / total for history, weight in weights.items()}


def _weights_of_coming(signs: Signs) -> list[float]:
    """How likely a later element is to have come just before each generation; what evidence speaks against is unlikely."""
    count = len(signs.rates)
    even = 1.0 / max(1, count - 1)
    return [0.0, *(even * (1.0 if index in signs.possible else AGAINST_EVIDENCE) for index in range(1, count))]


def chance_of_start(rates: Sequence[float], first: int | None, coming: Sequence[float] | Mapping[int, float]) -> float:
    """Give the probability that the first generation carried is the one that is.

    Parameters
    ----------
    rates : sequence of float
        How often an element that is there carries each generation, oldest first.
    first : int, optional
        Index of the first carried; None for none at all.
    coming : sequence of float
        The probability of coming (bare) just before each generation.

    Returns
    -------
    float
        The sum over j of coming[j] times the probability that none from j on is carried before `first`, and `first` is.
    """
    missed, total = 1.0, 0.0
    if first is None:
        for index in range(len(rates) - 1, -1, -1):
            missed *= 1.0 - rates[index]
            total += coming[index] * missed
        return total
    for index in range(first, -1, -1):
        if index < first:
            missed *= 1.0 - rates[index]
        total += coming[index] * missed
    return total * rates[first]

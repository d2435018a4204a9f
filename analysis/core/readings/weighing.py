"""How likely each history of an element is, given what its samples show."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

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

MISPLACED: Final = 0.03
DOUBTFUL: Final = 0.25
"""How likely a film is placed in a generation that was over before the element came: three in a hundred (of the surest placements
about one in twenty is wrong, and more of them too low than too high), or a quarter of what the confidence of the placement leaves open,
whichever is more."""

BROUGHT: Final = 3.0
BROUGHT_ALONE: Final = 0.50
"""A reused element brings about three campaigns with it, placed by chance among the generations of the space (never more likely than not
in any one); and as likely as not in one that nothing else shows."""

ALONE: Final = 3
"""More generations than three that nothing else shows say no more than three: what keeps one film from being matched keeps the next."""

AGAINST_EVIDENCE: Final = 0.05
"""How likely a history is to be true although a statement on the making of the element speaks against it: statements err too."""


@dataclass(frozen=True, slots=True)
class Signs:
    """What an element shows, generation by generation of its space, oldest first; and what its base shows.

    Parameters
    ----------
    rates : tuple of float
        How often an element that is there carries each generation: above 0, below 1.
    shown : tuple of bool
        Whether the element carries it.
    alone : tuple of bool
        Whether it is carried by this element and no other.
    open : tuple of float
        For those shown: what the confidence of the placement leaves open, 0 to 1; else 0.
    base : {'complete', 'stripped', 'unknown', 'unseen'}
    residue : bool
        Whether anything of an earlier coat, or of its removal, is seen at the base.
    possible : tuple of int
        Indices j such that the element may have come, by what evidence says of its making, after generation j - 1 and before
        generation j; 0 stands for before the first.
    """

    rates: tuple[float, ...]
    shown: tuple[bool, ...]
    alone: tuple[bool, ...]
    open: tuple[float, ...]
    base: str
    residue: bool
    possible: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Weighed:
    """The answer of `weigh`.

    Parameters
    ----------
    chances : dict of str to float
        The probability of each of `HISTORIES`; they sum to 1.
    begins : dict of str to int
        For each history the likeliest index at which the element's own sequence begins; 0 from the start.
    """

    chances: dict[str, float]
    begins: dict[str, int]


def weigh(signs: Signs) -> Weighed:
    """Give the probability of each history.

    Parameters
    ----------
    signs : Signs

    Returns
    -------
    Weighed

    Notes
    -----
    From the start: the element carries generation g with probability rates[g]. Inserted, or stripped, before generation j (each
    later j as likely as the others): from j on it carries them as the others do; what stands below j is misplaced. Reused: likewise,
    and what stands below j is what it brought, placed by chance. All else that bears on the history is taken as independent given the
    history.

    Cost: proportional to the number of generations.
    """
    there = _logs(signs, signs.rates)
    not_yet = _logs(
        signs, tuple(max(MISPLACED, DOUBTFUL * one) if shown else MISPLACED for one, shown in zip(signs.open, signs.shown, strict=True))
    )
    by_chance = min(0.5, BROUGHT / len(signs.rates))
    brought = _logs(signs, tuple(BROUGHT_ALONE if one else by_chance for one in signs.alone))
    count = len(signs.rates)
    even = np.full(count - 1, 1.0 / (count - 1))
    coming = even * np.array([1.0 if index in signs.possible else AGAINST_EVIDENCE for index in range(1, count)])
    old = np.log(1.0 if 0 in signs.possible else AGAINST_EVIDENCE)
    late = {
        "inserted": np.log(coming) + _by_beginning(there, not_yet),
        "stripped": np.log(even) + old + _by_beginning(there, not_yet),
        "reused": np.log(coming) + _by_beginning(there, brought),
    }
    logs = {
        "from the start": float(there.sum()) + float(old),
        **{history: float(np.logaddexp.reduce(one)) for history, one in late.items()},
    }
    for history in HISTORIES:
        kind = "stripped" if history == "stripped" else "otherwise"
        sign = SIGN[kind] if signs.residue else 1.0 - SIGN[kind]
        logs[history] += float(np.log(PRIOR[history] * BASE[signs.base][kind] * sign))
    highest = max(logs.values())
    weights = {history: float(np.exp(logs[history] - highest)) for history in HISTORIES}
    total = sum(weights.values())
    begins = {"from the start": 0, **{history: int(np.argmax(one)) + 1 for history, one in late.items()}}
    return Weighed({history: weight / total for history, weight in weights.items()}, begins)


def _logs(signs: Signs, rates: Sequence[float]) -> NDArray[np.float64]:
    """The logarithm of the probability of what each generation shows; those shown alone weigh together as no more than `ALONE`."""
    given = np.array(rates)
    logs = np.where(signs.shown, np.log(given), np.log1p(-given))
    many = sum(signs.alone)
    share = min(1.0, ALONE / many) if many else 1.0
    logs[np.array(signs.alone)] *= share
    return logs


def _by_beginning(there: NDArray[np.float64], before: NDArray[np.float64]) -> NDArray[np.float64]:
    """For each j from 1 on: what stands below j as `before` says, the rest as `there` says."""
    below = np.cumsum(before)[:-1]
    above = np.cumsum(there[::-1])[::-1][1:]
    total: NDArray[np.float64] = below + above
    return total

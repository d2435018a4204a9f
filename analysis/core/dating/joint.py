"""Distributions across spaces that the order of phases joins.

No generation of a phase is later than one of a later phase, in whatever space. Where the bounds alone do not see to that, the years of
the spaces hang together: a late year of one pushes the years of another. The joint prior is the product of the spaces' own
priors, on the condition that the order of phases holds; for ordered uniform years that is every set of years of all these
spaces equally likely.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

MOST_CELLS: Final = 4_000_000
"""Up to so many cells (states of the spaces together × years) the joint marginals are computed exactly: about 2 s and 70 MB."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Chain:
    """A space with closed bounds.

    Parameters
    ----------
    space : str
    low, high : ndarray of int, shape (generations,)
        Bounds, neither falling from one to the next.
    phases : tuple of (int or None)
        Rank of the phase of each generation.
    """

    space: str
    low: NDArray[np.int64]
    high: NDArray[np.int64]
    phases: tuple[int | None, ...]


def linked(chains: Sequence[Chain]) -> list[list[int]]:
    """Group spaces whose years hang together.

    Parameters
    ----------
    chains : sequence of Chain

    Returns
    -------
    list of list of int
        Indices into `chains`, each once, every group and the list sorted. Two spaces are linked where a generation of an earlier
        phase in one could, by its bounds, be later than one of a later phase in the other.
    """
    group = list(range(len(chains)))

    def root(index: int) -> int:
        while group[index] != index:
            index = group[index]
        return index

    extremes = [_extremes(chain) for chain in chains]
    for one, other in combinations(range(len(chains)), 2):
        if _touch(extremes[one], extremes[other]) or _touch(extremes[other], extremes[one]):
            first, second = sorted((root(one), root(other)))
            group[second] = first
    found: dict[int, list[int]] = defaultdict(list)
    for index in range(len(chains)):
        found[root(index)].append(index)
    return [found[key] for key in sorted(found)]


def _extremes(chain: Chain) -> dict[int, tuple[int, int]]:
    """The lowest and the highest year of any generation of each phase."""
    found: dict[int, tuple[int, int]] = {}
    for low, high, phase in zip(chain.low, chain.high, chain.phases, strict=True):
        if phase is not None:
            known = found.get(phase, (int(low), int(high)))
            found[phase] = min(known[0], int(low)), max(known[1], int(high))
    return found


def _touch(earlier: Mapping[int, tuple[int, int]], later: Mapping[int, tuple[int, int]]) -> bool:
    return any(one < other and earlier[one][1] > later[other][0] for one in earlier for other in later)


def cells(chains: Sequence[Chain]) -> int:
    """How much the exact computation of a group would take.

    Parameters
    ----------
    chains : sequence of Chain

    Returns
    -------
    int
        States of all spaces together, times years.
    """
    first, last = span_of(chains)
    states = 1
    for chain in chains:
        states *= len(chain.low) + 1
    return states * (last - first + 2)


def span_of(chains: Sequence[Chain]) -> tuple[int, int]:
    """The first and the last year that any generation of these spaces can have.

    Parameters
    ----------
    chains : sequence of Chain

    Returns
    -------
    tuple of (int, int)
    """
    return min(int(chain.low.min()) for chain in chains), max(int(chain.high.max()) for chain in chains)


def exact_marginals(chains: Sequence[Chain]) -> list[Floats]:
    """Give the marginals of all generations of linked spaces, every set of years that fits equally likely.

    Parameters
    ----------
    chains : sequence of Chain

    Returns
    -------
    list of ndarray, each of shape (generations, years)
        Rows sum to 1; the years are those of `span_of`.

    Notes
    -----
    A set of years is a chain of states: after each year, how many generations of each space have been painted. A state is possible if
    the order of phases holds in it, and fits a year if all that must have been painted by then is and nothing that cannot be. The
    number of ways to a state is the sum over all states within it at the year before, which a running sum along each axis gives; the
    probability that a generation is not later than a year is that of the states that hold it.

    Cost: states × years × spaces.

    References
    ----------
    R. P. Stanley, *Enumerative Combinatorics*, vol. 1 (1986), ch. 3, for order-preserving maps as chains of order ideals.
    """
    first, last = span_of(chains)
    years = np.arange(first, last + 1)
    possible = _possible(chains)
    masks = [possible & _fits(chains, int(year)) for year in years]
    forward = []
    running = np.zeros(possible.shape)
    running[(0,) * len(chains)] = 1.0
    for mask in masks:
        running = np.where(mask, _summed(running), 0.0)
        running /= running.max()
        forward.append(running)
    passed = [np.zeros((len(chain.low), len(years))) for chain in chains]
    backward = np.zeros(possible.shape)
    backward[tuple(len(chain.low) for chain in chains)] = 1.0
    for at in range(len(years) - 1, -1, -1):
        joint = forward[at] * backward
        joint /= joint.sum()
        for axis, chain in enumerate(chains):
            others = tuple(other for other in range(len(chains)) if other != axis)
            held = joint.sum(axis=others)
            passed[axis][:, at] = held[::-1].cumsum()[::-1][1 : len(chain.low) + 1]
        backward = np.where(masks[at], backward, 0.0)
        backward = _summed(backward[(slice(None, None, -1),) * len(chains)])[(slice(None, None, -1),) * len(chains)]
        backward /= backward.max()
    return [_differences(one, chain, years) for one, chain in zip(passed, chains, strict=True)]


def _summed(values: Floats) -> Floats:
    for axis in range(values.ndim):
        values = np.cumsum(values, axis=axis)
    return values


def _possible(chains: Sequence[Chain]) -> NDArray[np.bool_]:
    """States in which no generation of a later phase has been painted before one of an earlier phase."""
    shape = tuple(len(chain.low) + 1 for chain in chains)
    painted = np.indices(shape)
    ranks = sorted({phase for chain in chains for phase in chain.phases if phase is not None})
    possible = np.ones(shape, dtype=bool)
    for rank in ranks[:-1]:
        before = np.ones(shape, dtype=bool)
        after = np.zeros(shape, dtype=bool)
        for axis, chain in enumerate(chains):
            up_to = max((index + 1 for index, phase in enumerate(chain.phases) if phase is not None and phase <= rank), default=0)
            later = min((index for index, phase in enumerate(chain.phases) if phase is not None and phase > rank), default=None)
            before &= painted[axis] >= up_to
            if later is not None:
                after |= painted[axis] > later
        possible &= before | ~after
    return possible


def _fits(chains: Sequence[Chain], year: int) -> NDArray[np.bool_]:
    fits = np.ones((1,) * len(chains), dtype=bool)
    for axis, chain in enumerate(chains):
        count = np.arange(len(chain.low) + 1)
        mine = (count >= int((chain.high <= year).sum())) & (count <= int((chain.low <= year).sum()))
        fits = fits & mine.reshape([-1 if other == axis else 1 for other in range(len(chains))])
    return fits


def _differences(passed: Floats, chain: Chain, years: NDArray[np.int64]) -> Floats:
    """From 'not later than' to the probability of each year; nothing outside the bounds."""
    rows = np.diff(passed, axis=1, prepend=0.0)
    rows = np.where((years >= chain.low[:, None]) & (years <= chain.high[:, None]), np.maximum(rows, 0.0), 0.0)
    total: Floats = rows / rows.sum(axis=1, keepdims=True)
    return total

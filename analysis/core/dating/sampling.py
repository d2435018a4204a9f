"""Distributions across joined spaces by sampling, where they are too many to be computed exactly.

Each space in turn is drawn anew as a whole, given the years of all others (blocked Gibbs sampling). Half of the runs begin with every
year as early as it can be and half as late, the two ends of all that is possible; so what is still apart between the halves at the
end is seen, and told. What is averaged is not the years drawn but each space's exact distribution given the others.
"""

from collections.abc import Callable, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.dating.joint import Chain, Floats, span_of

RUNS: Final = 32
SETTLING: Final = 25
KEPT: Final = 50
CLOSE: Final = 0.1
"""A sample whose halves differ by more than this in any probability has not settled, and is not used."""
MOST_SAMPLED: Final = 6_000
"""Generations × years up to which sampling is tried: some seconds. Beyond, and where spans are weighed, it seldom settles."""
SEED: Final = 1728
"""The same input gives the same answer: the runs are drawn from one fixed stream."""

Ints = NDArray[np.int64]


def sampled_marginals(chains: Sequence[Chain], weights: Sequence[Floats | None]) -> tuple[list[Floats], float]:
    """Give the marginals of all generations of linked spaces, by sampling.

    Parameters
    ----------
    chains : sequence of Chain
    weights : sequence of (ndarray or None)
        For each space, the weight of each span (in years, from 0) from its first generation to its last; None for a space of
        which every set of years weighs the same.

    Returns
    -------
    marginals : list of ndarray, each of shape (generations, years)
        Rows sum to 1; the years are those of `span_of`.
    apart : float
        The greatest difference, over all generations and years, between the probabilities 'not later than' of the runs that
        began early and of those that began late.

    Notes
    -----
    Given its first year, a space with weighted spans is a plain chain whose last year is weighted; given its last year likewise. So it
    is drawn in two steps, the one end with all between, then the other.

    Cost: runs × rounds × generations × years: 40 generations over 150 years take about 3 s, twice that where spans are weighed. Where
    many generations crowd on both sides of the same border of phases it settles slowly; `apart` shows it.

    References
    ----------
    A. E. Gelfand & A. F. M. Smith, 'Sampling-based approaches to calculating marginal densities', *Journal of the American
    Statistical Association* 85 (1990) 398-409, for the averaging of conditional distributions.
    """
    first, last = span_of(chains)
    rng = np.random.default_rng(SEED)
    early = np.arange(RUNS) < RUNS // 2
    years = [np.where(early[:, None], chain.low, chain.high) - first for chain in chains]
    sums = [np.zeros((2, len(chain.low), last - first + 1)) for chain in chains]
    for turn in range(SETTLING + KEPT):
        for index in range(len(chains)):
            allowed = _allowed(index, chains, years, first, last)
            drawn, shares = _draw(allowed, weights[index], years[index], rng)
            years[index] = drawn
            if turn >= SETTLING:
                sums[index][0] += shares[:, early].sum(axis=1)
                sums[index][1] += shares[:, ~early].sum(axis=1)
    halves = [one / one.sum(axis=2, keepdims=True) for one in sums]
    apart = max(float(np.abs(np.cumsum(one[0] - one[1], axis=1)).max()) for one in halves)
    return [one.mean(axis=0) for one in halves], apart


def _allowed(index: int, chains: Sequence[Chain], years: Sequence[Ints], first: int, last: int) -> NDArray[np.bool_]:
    """Which years each generation of a space may have, run by run, given the others: generations × runs × years."""
    chain = chains[index]
    axis = np.arange(last - first + 1)
    found = np.zeros((len(chain.low), RUNS, len(axis)), dtype=bool)
    for place, phase in enumerate(chain.phases):
        low = np.full(RUNS, chain.low[place] - first)
        high = np.full(RUNS, chain.high[place] - first)
        if phase is not None:
            for other, theirs in enumerate(chains):
                if other == index:
                    continue
                for column, rank in enumerate(theirs.phases):
                    if rank is not None and rank < phase:
                        low = np.maximum(low, years[other][:, column])
                    elif rank is not None and rank > phase:
                        high = np.minimum(high, years[other][:, column])
        found[place] = (axis >= low[:, None]) & (axis <= high[:, None])
    return found


def _draw(allowed: NDArray[np.bool_], weights: Floats | None, years: Ints, rng: np.random.Generator) -> tuple[Ints, Floats]:
    """Draw a space anew; give the years and, for each generation, run and year, the exact conditional distribution."""
    if weights is None or len(allowed) == 1:
        return _chain(allowed, None, rng)
    axis = np.arange(allowed.shape[2])
    fixed = allowed.copy()
    fixed[0] = axis == years[:, :1]
    drawn, forward = _chain(fixed, lambda: _weighted(weights, axis - years[:, :1]), rng)
    fixed = allowed[::-1, :, ::-1].copy()
    fixed[0] = (axis == drawn[:, -1:])[:, ::-1]
    turned, backward = _chain(fixed, lambda: _weighted(weights, drawn[:, -1:] - axis)[:, ::-1], rng)
    backward = backward[::-1, :, ::-1]
    shares = (forward + backward) / 2
    shares[0], shares[-1] = backward[0], forward[-1]
    return (len(axis) - 1 - turned)[:, ::-1], shares


def _weighted(weights: Floats, spans: Ints) -> Floats:
    found: Floats = np.where(spans >= 0, weights[np.clip(spans, 0, len(weights) - 1)], 0.0)
    return found


def _chain(allowed: NDArray[np.bool_], ends: Callable[[], Floats] | None, rng: np.random.Generator) -> tuple[Ints, Floats]:
    """Draw an ordered set of years with every fitting set as likely as the weight of its last year; and its exact marginals."""
    count, runs, width = allowed.shape
    forward = np.zeros((count, runs, width))
    running = np.ones((runs, width))
    for index in range(count):
        forward[index] = np.where(allowed[index], running, 0.0)
        forward[index] /= forward[index].max(axis=1, keepdims=True)
        running = np.cumsum(forward[index], axis=1)
    after = np.ones((runs, width)) if ends is None else ends()
    shares = np.zeros_like(forward)
    drawn = np.zeros((runs, count), dtype=np.int64)
    latest = np.full((runs, 1), width - 1)
    axis = np.arange(width)
    for index in range(count - 1, -1, -1):
        whole = forward[index] * after
        shares[index] = whole / whole.sum(axis=1, keepdims=True)
        here = forward[index] * (after if index == count - 1 else axis <= latest)
        passed = np.cumsum(here, axis=1)
        wanted = rng.random((runs, 1)) * passed[:, -1:]
        drawn[:, index] = np.minimum((passed <= wanted).sum(axis=1), width - 1)
        latest = drawn[:, index : index + 1]
        after = np.cumsum((after * allowed[index])[:, ::-1], axis=1)[:, ::-1]
        after = after / after.max(axis=1, keepdims=True)
    return drawn, shares

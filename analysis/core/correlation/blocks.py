"""Moving an anchored generation: all samples that rulings bind to it are left out together, and drawn anew together.

A sample placed alone cannot leave an anchor, since its partners hold it there. So the anchor is let go: every one of
its samples says, by its forward-backward probabilities against the rest, where the bound layers might stand; given that state the samples
are independent of each other, so that the product of what they say is the probability of the state. One is drawn (or, when the
result is settled, the best are tried), the anchor goes there, and its samples are placed around it one after the other.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.alignment import Impossible, choose, posterior
from analysis.core.correlation.profile import Arrangement, Problem, chain_for, combine, vote_sums_of

Floats = NDArray[np.float64]
Place = Callable[[Arrangement, int], Arrangement]


def bound_samples(problem: Problem) -> tuple[tuple[int, ...], ...]:
    """For every anchor the samples that have a layer in it."""
    anchor = problem.constraints.anchor
    return tuple(tuple(int(one) for one in np.unique(problem.owner[anchor == number])) for number in range(len(problem.constraints.names)))


def redraw_anchor(
    problem: Problem, arrangement: Arrangement, anchor: int, bound: tuple[int, ...], heat: float, random: np.random.Generator, place: Place
) -> Arrangement:
    """Draw the generation of an anchor and the paths of its samples anew; as it was, where limits of several samples clash.

    Parameters
    ----------
    bound : tuple of int
        The samples of the anchor.
    place : callable
        Places one sample that is not placed.
    """
    others = arrangement.without(*(problem.bounds[sample] for sample in bound), released=anchor)
    uniform = random.random()
    order = random.permutation(len(bound))
    try:
        weights = _weights(problem, others, anchor, bound, heat)
        if not weights.sum() > 0.0:
            return arrangement
        moved = others.anchored(anchor, choose(weights, uniform))
        for number in order:
            moved = place(moved, bound[number])
    except Impossible:
        return arrangement
    return moved


def _weights(problem: Problem, others: Arrangement, anchor: int, bound: tuple[int, ...], heat: float) -> Floats:
    """Probability of every state for the anchor, up to a factor."""
    parameters = problem.parameters
    total = np.zeros(2 * others.count + 1)
    # A second sample that shows the anchor's own generation shows what is known to exist.
    again = (parameters.occupancy_shown + 1.0) / (parameters.occupancy_shown + parameters.occupancy_left_out + 1.0)
    earlier = np.zeros(0, dtype=int)
    for sample in bound:
        first, last = problem.bounds[sample]
        layers = np.flatnonzero(problem.constraints.anchor[first:last] == anchor)
        chain = chain_for(problem, sample, others, heat)
        chain.stay[layers[0] + 1 : layers[-1] + 1] = 1.0
        if len(earlier):
            partners = Arrangement(np.where(np.isin(np.arange(problem.layers), earlier), 0, -1), others.anchors[:0], 1)
            with_others = vote_sums_of(problem, sample, others)
            with_partners = vote_sums_of(problem, sample, partners)
            emission = np.concatenate([np.zeros_like(with_partners), with_others], axis=3) + with_partners
            likely = combine(parameters, emission[0], emission[1]) ** (1.0 / heat)
            forbidden = chain.emission[layers] == 0.0
            chain.emission[layers, 0::2] = likely[layers, :1] * again / max(chain.own, 1e-9)
            chain.emission[layers, 1::2] = likely[layers, 1:]
            chain.emission[layers[1:], 0::2] = likely[layers[1:], :1]
            chain.emission[layers] = np.where(forbidden, 0.0, chain.emission[layers])
        with np.errstate(divide="ignore"):
            total += np.log(posterior(chain)[layers[0]])
        earlier = np.concatenate([earlier, first + layers])
    top = total.max()
    weights: Floats = np.exp(total - top) if np.isfinite(top) else np.zeros_like(total)
    return weights

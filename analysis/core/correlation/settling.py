"""From many draws to one arrangement, and how sure every place in it is.

First the arrangement whose pairs of layers agree best with the shares of the draws, found sample by sample with exact dynamic
programming. It is the best answer about pairs, but it leaves layers alone that are with no other in most draws, only because they are
now with these, now with those. Such a layer moves to its likeliest generation, as far as the layers above and below it leave room, where
that is likely enough and likelier than standing alone, until none is left.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.alignment import best_path, posterior
from analysis.core.correlation.profile import Arrangement, Problem, allowed, chain_for, grouped, occupation

Floats = NDArray[np.float64]
Integers = NDArray[np.int_]


@dataclass(frozen=True, slots=True)
class Draws:
    """What the chains of draws told.

    Attributes
    ----------
    together : array, layers × layers
        Share of draws in which two layers were of one generation.
    alone : array, layers
        Share of draws in which no other sample showed the layer's generation.
    ends : tuple of Arrangement
        Where each chain came to.
    """

    together: NDArray[np.float32]
    alone: Floats
    ends: tuple[Arrangement, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """The final arrangement, for every sample its layers × generations table of probabilities, and the shares of the draws."""

    arrangement: Arrangement
    likely: dict[int, Floats]
    together: NDArray[np.float32]


def settle(problem: Problem, draws: Draws, filled: list[int], tell: Callable[[], None]) -> Found:
    """The arrangement that agrees best with the draws, mended until no layer stands alone that is likely elsewhere.

    Parameters
    ----------
    problem : Problem
    draws : Draws
    filled : list of int
        The samples that have layers.
    tell : callable
        Called now and then; it may raise to stop.
    """
    ends = sorted(draws.ends, key=lambda end: -worth(problem, end, draws.together))
    agreed = [_agree(problem, end, draws.together, filled, tell) for end in ends[: problem.parameters.settled_ends]]
    worths = [worth(problem, one, draws.together) for one in agreed]
    arrangement = agreed[int(np.argmax(worths))]
    for _ in range(problem.parameters.mending_rounds):
        tell()
        before = arrangement
        for sample in filled:
            arrangement = _mend(problem, draws, arrangement, sample)
        if arrangement is before:
            break
    return Found(arrangement, {sample: likelihoods(problem, draws, arrangement, sample) for sample in filled}, draws.together)


def worth(problem: Problem, arrangement: Arrangement, together: NDArray[np.float32]) -> float:
    """How well the pairs of an arrangement agree with the shares of the draws."""
    same = arrangement.place[:, None] == arrangement.place[None, :]
    for first, last in problem.bounds:
        same[first:last, first:last] = False
    return round(float((together[same] - problem.parameters.same_threshold).sum(dtype=np.float64)), 9)


def _agree(
    problem: Problem, arrangement: Arrangement, together: NDArray[np.float32], filled: list[int], tell: Callable[[], None]
) -> Arrangement:
    """Move samples, one at a time, to where their pairs agree best with the shares, until nothing moves."""
    gains = together - np.float32(problem.parameters.same_threshold)
    for _ in range(12):
        tell()
        before = arrangement.place
        for sample in filled:
            first, last = problem.bounds[sample]
            others = arrangement.without((first, last))
            gain = np.zeros((last - first, 2 * others.count + 1))
            gain[:, 1::2] = grouped(gains[:, first:last], others.place, others.count).T
            # Nothing but the films themselves says whether two layers that no other sample shows are of one campaign.
            states, stays = best_path(
                gain,
                1e-3 * (problem.evidence.stay[first:last] - 0.5),
                allowed(problem, sample, others),
                problem.constraints.cut[first:last],
            )
            arrangement = others.placed(first, states, stays)
        if np.array_equal(before, arrangement.place):
            break
    return arrangement


def likelihoods(problem: Problem, draws: Draws, arrangement: Arrangement, sample: int) -> Floats:
    """How likely each generation is for each layer of a sample; 0 where rulings leave none.

    The forward-backward probabilities against the others as arranged know nothing of the others' own doubt, and promise too much; the
    shares of the draws know all doubt, and promise too little. What is said is a mean of the two. A generation's share is the mean over
    its layers times the square root of how many they are: twice as many say more, but not twice as much, since they err together.

    To a generation that no other sample shows are counted all draws in which the layer was alone or with none of those of any generation.

    Returns
    -------
    array, layers × generations
    """
    first, last = problem.bounds[sample]
    place = arrangement.place
    others = arrangement.without((first, last))
    states = posterior(chain_for(problem, sample, others))
    seen = np.flatnonzero(others.place >= 0)
    number = np.full(others.count, -1)
    number[others.place[seen]] = place[seen]
    number[others.anchors] = arrangement.anchors
    members = np.maximum(np.bincount(others.place[seen], minlength=others.count), 1)
    sums = grouped(draws.together[:, first:last], others.place, others.count).T
    by_itself = draws.alone[first:last].copy()
    lonely = ~np.isin(place[first:last], number)
    by_itself[lonely] = np.maximum(by_itself, 1.0 - (sums / members).sum(axis=1))[lonely]
    weighed = sums / np.sqrt(members)
    shares = weighed * ((1.0 - by_itself) / np.maximum(weighed.sum(axis=1), 1e-9))[:, None]
    power = np.where(problem.constraints.anchor[first:last] >= 0, 0.0, problem.parameters.draws_weight)
    said = (1.0 - power)[:, None] * states[:, 1::2] + power[:, None] * shares
    likely = np.zeros((last - first, arrangement.count))
    likely[:, number] = np.where(allowed(problem, sample, others)[:, 1::2], said, 0.0)
    for layer in np.flatnonzero(lonely):
        slot = 2 * int(np.searchsorted(number, place[first + layer]))
        likely[layer, place[first + layer]] = (1.0 - power[layer]) * states[layer, slot] + power[layer] * by_itself[layer]
    return likely


def _mend(problem: Problem, draws: Draws, arrangement: Arrangement, sample: int) -> Arrangement:
    """The arrangement with those layers of a sample moved that stand alone and are likely elsewhere; itself if none is."""
    first, last = problem.bounds[sample]
    span = slice(first, last)
    lonely = np.flatnonzero(occupation(problem, arrangement)[0].sum(axis=0)[arrangement.place[span]] == 1.0)
    lonely = lonely[problem.constraints.anchor[first + lonely] < 0]
    if not len(lonely):
        return arrangement
    likely = likelihoods(problem, draws, arrangement, sample)
    place = arrangement.place[span].copy()
    cut = np.append(problem.constraints.cut[span], False).astype(int)
    moved = True
    while moved:
        moved = False
        for layer in lonely:
            lowest = place[layer - 1] + cut[layer] if layer else 0
            highest = place[layer + 1] - cut[layer + 1] if layer + 1 < last - first else arrangement.count - 1
            best = lowest + int(np.argmax(likely[layer, lowest : highest + 1]))
            if likely[layer, best] > max(likely[layer, place[layer]] + 1e-9, problem.parameters.likely_enough):
                place[layer], moved = best, True
    if np.array_equal(place, arrangement.place[span]):
        return arrangement
    whole = arrangement.place.copy()
    whole[span] = place
    return Arrangement(whole, arrangement.anchors, arrangement.count).without()

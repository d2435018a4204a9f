"""Joining whole generations: the move that leaving out one sample at a time cannot make.

Two groups of samples may have found the same campaign apart; then no single sample gains by changing sides. So every pair of
generations is weighed at once: how well their layers agree when joined (each layer against those of other samples only), how many
elements the joined generation leaves out, and what the boundaries say where one sample shows both. A pair is joined only if no
sample has something in between, by any path of order, and no ruling is against it.
"""

import itertools
import math

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.profile import Arrangement, Problem, combine, grouped, occupation, vote_sums_of

Floats = NDArray[np.float64]


def join_generations(problem: Problem, arrangement: Arrangement, heat: float = 1.0) -> Arrangement:
    """Join pairs of generations, best first, while joining gains.

    Parameters
    ----------
    problem : Problem
    arrangement : Arrangement
        Every layer placed.
    heat : float
        Gains are divided by it; only their sign and order matter, so it changes nothing but the least gain that counts.
    """
    sums = vote_sums(problem, arrangement)
    for _ in range(arrangement.count):
        gain = joining_gains(problem, arrangement, sums)
        if gain.size == 0:
            break
        best = int(np.argmax(gain))
        if not gain.flat[best] > problem.parameters.least_gain * heat:
            break
        table = _joined(problem, arrangement, best // arrangement.count, best % arrangement.count)
        count = arrangement.count - 1
        older, newer = divmod(best, arrangement.count)
        sums[..., older] += sums[..., newer]
        sums = sums[..., [int(np.flatnonzero(table == number)[0]) if number != table[older] else older for number in range(count)]]
        arrangement = Arrangement(table[arrangement.place], table[arrangement.anchors], count)
    return arrangement


def vote_sums(problem: Problem, arrangement: Arrangement) -> Floats:
    """Votes and weights for every layer, summed over each generation: 2 × features × layers × generations."""
    filled = [sample for sample, (first, last) in enumerate(problem.bounds) if last > first]
    return np.concatenate([vote_sums_of(problem, sample, arrangement) for sample in filled], axis=2)


def joining_gains(problem: Problem, arrangement: Arrangement, sums: Floats) -> Floats:
    """Gain in log probability from joining each pair, generations × generations (older, newer); -inf where it may not be."""
    alone, joined = _agreement(problem, arrangement, sums)
    gain = grouped(joined - alone[:, None], arrangement.place, arrangement.count)
    gain = problem.parameters.join_agreement * (gain + gain.T)
    present, spanned = occupation(problem, arrangement)
    gain += _occupation_gain(problem, present, spanned)
    lower, upper = _steps(problem, arrangement)
    stay = problem.evidence.stay[upper]
    np.add.at(gain, (arrangement.place[lower], arrangement.place[upper]), np.log(stay / (1.0 - stay)))
    gain[~_may_join(problem, arrangement, lower, upper)] = -np.inf
    return gain


def _agreement(problem: Problem, arrangement: Arrangement, sums: Floats) -> tuple[Floats, Floats]:
    """Log odds of each layer in its own generation, and in its own joined with every other."""
    own = sums[:, :, np.arange(problem.layers), arrangement.place]
    alone = np.log(combine(problem.parameters, own[0], own[1]))
    both = sums + own[:, :, :, None]
    return alone, np.log(combine(problem.parameters, both[0], both[1]))


def _occupation_gain(problem: Problem, present: Floats, spanned: Floats) -> Floats:
    shows = present.sum(axis=0)
    reaches = spanned.sum(axis=0)
    show_both = shows[:, None] + shows[None, :] - present.T @ present
    reach_both = reaches[:, None] + reaches[None, :] - spanned.T @ spanned
    single = left_out_score(problem, shows, reaches)
    result: Floats = left_out_score(problem, show_both, reach_both) - single[:, None] - single[None, :]
    return result


def left_out_score(problem: Problem, shows: Floats, reaches: Floats) -> Floats:
    """Log probability that a campaign is shown by that many of those that reach over it, whichever they are, and that it is one."""
    result: Floats = problem.left_out[np.rint(shows).astype(int), np.rint(reaches).astype(int)]
    return result


def _steps(problem: Problem, arrangement: Arrangement) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
    """Neighbouring layers of one sample that stand in different generations: lower and upper."""
    upper = np.array([layer for first, last in problem.bounds for layer in range(first + 1, last)], dtype=int)
    upper = upper[arrangement.place[upper] != arrangement.place[upper - 1]]
    return upper - 1, upper


def _may_join(problem: Problem, arrangement: Arrangement, lower: NDArray[np.int_], upper: NDArray[np.int_]) -> NDArray[np.bool_]:
    count = arrangement.count
    place = arrangement.place
    after = np.zeros((count, count), dtype=bool)
    after[place[lower], place[upper]] = True
    named = [int(at) for at, name in zip(arrangement.anchors, problem.constraints.names, strict=True) if name]
    for older in named:
        after[older, [newer for newer in named if newer > older]] = True
    reach = after.astype(np.float32)
    for _ in range(max(1, math.ceil(math.log2(count + 1)))):
        reach = np.minimum(1.0, reach + reach @ reach)
    between = (reach @ reach) > 0.0
    may = np.triu(~between, 1)
    may[np.ix_(named, named)] = False
    cuts = problem.constraints.cut[upper]
    may[place[lower[cuts]], place[upper[cuts]]] = False
    for layer, others in problem.constraints.barred.items():
        for other in others:
            pair = sorted((int(place[layer]), int(place[other])))
            may[pair[0], pair[1]] = False
    return may


def _joined(problem: Problem, arrangement: Arrangement, older: int, newer: int) -> NDArray[np.int_]:
    """New number of every generation when two are joined: the order is kept where the order of layers allows."""
    place = np.where(arrangement.place == newer, older, arrangement.place)
    nodes = [number for number in range(arrangement.count) if number != newer]
    after: dict[int, set[int]] = {number: set() for number in nodes}
    for first, last in problem.bounds:
        for layer in range(first + 1, last):
            if place[layer] != place[layer - 1]:
                after[int(place[layer - 1])].add(int(place[layer]))
    named = [int(at) for at, name in sorted(zip(arrangement.anchors, problem.constraints.names, strict=True)) if name]
    named = [older if at == newer else at for at in named]
    for lower, upper in itertools.pairwise(named):
        after[lower].add(upper)
    centre = {number: float(number) for number in nodes}
    centre[older] = (older + newer) / 2.0
    waiting = dict.fromkeys(nodes, 0)
    for uppers in after.values():
        for upper in uppers:
            waiting[upper] += 1
    rank: dict[int, int] = {}
    while waiting:
        ready = min((number for number, count in waiting.items() if count == 0), key=lambda number: (centre[number], number))
        rank[ready] = len(rank)
        del waiting[ready]
        for upper in after[ready]:
            waiting[upper] -= 1
    rank[newer] = rank[older]
    return np.array([rank[number] for number in range(arrangement.count)])

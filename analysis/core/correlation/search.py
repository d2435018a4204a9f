"""Finding the arrangement: progressive start, then rounds in which every sample is left out and placed anew.

Each placement is a draw from the sample's posterior against the others, so that the rounds wander among arrangements in proportion to
their probability (Gibbs sampling over alignments); the first rounds are heated. What is kept is how often each pair of layers shared
a generation. The final arrangement is the one whose pairs agree best with these shares, found by rounds of exact
dynamic programming. All draws come from one generator with a fixed seed, in canonical order.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.alignment import best_path, draw, posterior
from analysis.core.correlation.merging import join_generations
from analysis.core.correlation.profile import Arrangement, Problem, allowed, chain_for, start

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Found:
    """The final arrangement and, for every pair of layers, the share of draws in which they were of one generation."""

    arrangement: Arrangement
    together: Floats


def search(problem: Problem, progress: Callable[[int, int], None] | None = None) -> Found:
    """Correlate one space.

    Parameters
    ----------
    problem : Problem
    progress : callable, optional
        Called with rounds done and rounds in all; it may raise to stop.
    """
    parameters = problem.parameters
    random = np.random.default_rng(parameters.seed)
    filled = [number for number, (first, last) in enumerate(problem.bounds) if last > first]
    information = [problem.evidence.information[slice(*problem.bounds[number])].sum() for number in filled]
    order = [filled[at] for at in sorted(range(len(filled)), key=lambda at: (-round(float(information[at]), 6), at))]
    arrangement = start(problem)
    for sample in order:
        arrangement = _redraw(problem, arrangement, sample, 1.0, random)
    together = np.zeros((problem.layers, problem.layers), dtype=np.float32)
    kept = 0
    for sweep in range(parameters.sweeps):
        cooling = max(0.0, 1.0 - sweep / max(1, parameters.burn_in - 2))
        heat = 1.0 + (parameters.start_heat - 1.0) * cooling
        for sample in random.permutation(filled):
            arrangement = _redraw(problem, arrangement, int(sample), heat, random)
        arrangement = join_generations(problem, arrangement)
        if sweep >= parameters.burn_in:
            together += arrangement.place[:, None] == arrangement.place[None, :]
            kept += 1
        if progress is not None:
            progress(sweep + 1, parameters.sweeps)
    shares = together.astype(np.float64) / max(1, kept)
    return Found(_settle(problem, arrangement, shares, filled), shares)


def _redraw(problem: Problem, arrangement: Arrangement, sample: int, heat: float, random: np.random.Generator) -> Arrangement:
    first, last = problem.bounds[sample]
    others = arrangement.without(first, last)
    states, stays = draw(chain_for(problem, sample, others, heat), random.random(last - first))
    return others.placed(first, states, stays)


def _settle(problem: Problem, arrangement: Arrangement, shares: Floats, filled: list[int]) -> Arrangement:
    """Move samples, one at a time, to where their pairs agree best with the shares, until nothing moves."""
    worth = shares - problem.parameters.same_threshold
    for _ in range(12):
        before = arrangement.place
        for sample in filled:
            first, last = problem.bounds[sample]
            others = arrangement.without(first, last)
            member = np.zeros((problem.layers, others.count))
            placed = np.flatnonzero(others.place >= 0)
            member[placed, others.place[placed]] = 1.0
            gain = np.zeros((last - first, 2 * others.count + 1))
            gain[:, 1::2] = worth[first:last] @ member
            neighbours = np.concatenate([[0.0], np.diagonal(shares, 1)[first : last - 1] - 0.5])
            states, stays = best_path(gain, 1e-3 * neighbours, allowed(problem, sample, others), problem.constraints.cut[first:last])
            arrangement = others.placed(first, states, stays)
        if np.array_equal(before, arrangement.place):
            break
    return arrangement


def leave_one_out(problem: Problem, arrangement: Arrangement, sample: int) -> tuple[Arrangement, Floats]:
    """The others' arrangement and the forward-backward probabilities of the sample against it."""
    first, last = problem.bounds[sample]
    others = arrangement.without(first, last)
    return others, posterior(chain_for(problem, sample, others))

"""Finding the arrangement: progressive start, then rounds in which samples are left out and placed anew.

Each placement is a draw from the sample's posterior against the others, so that the rounds wander among arrangements in proportion to
their probability (Gibbs sampling over alignments); the first rounds are heated. What is kept is how often each pair of layers shared
a generation. The final arrangement is the one whose pairs agree best with these shares, found by rounds of exact
dynamic programming. All draws come from one generator with a fixed seed, in canonical order.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.alignment import Impossible, draw
from analysis.core.correlation.blocks import bound_samples, redraw_anchor
from analysis.core.correlation.merging import join_generations
from analysis.core.correlation.profile import Arrangement, Problem, chain_for, occupation, start
from analysis.core.correlation.settling import Draws, Found, settle

Floats = NDArray[np.float64]


def search(problem: Problem, progress: Callable[[int, int], None] | None = None) -> Found:
    """Correlate one space.

    Parameters
    ----------
    problem : Problem
    progress : callable, optional
        Called with rounds done and rounds in all, of which the last is to settle; it may raise to stop.
    """
    parameters = problem.parameters
    random = np.random.default_rng(parameters.seed)
    filled = _filled(problem)
    together = np.zeros((problem.layers, problem.layers), dtype=np.float32)
    alone = np.zeros(problem.layers)
    ends: list[Arrangement] = []
    chains = min(parameters.most_chains, max(parameters.fewest_chains, round(parameters.effort / max(1, len(filled)))))
    steps = chains * parameters.sweeps + 1
    for chain in range(chains):
        arrangement = _progressive(problem, filled, chain, random)
        for sweep in range(parameters.sweeps):
            cooling = max(0.0, 1.0 - sweep / max(1, parameters.burn_in - 1))
            heat = 1.0 + (parameters.start_heat - 1.0) * cooling
            arrangement = _sweep(problem, arrangement, heat, random)
            if sweep % parameters.join_every == parameters.join_every - 1:
                arrangement = join_generations(problem, arrangement)
            if sweep >= parameters.burn_in:
                together += arrangement.place[:, None] == arrangement.place[None, :]
                alone += occupation(problem, arrangement)[0].sum(axis=0)[arrangement.place] == 1.0
            if progress is not None:
                progress(chain * parameters.sweeps + sweep + 1, steps)
        ends.append(arrangement)
    drawn = max(1, chains * (parameters.sweeps - parameters.burn_in))

    def tell() -> None:
        if progress is not None:
            progress(steps - 1, steps)

    found = settle(problem, Draws(together / np.float32(drawn), alone / drawn, tuple(ends)), filled, tell)
    if progress is not None:
        progress(steps, steps)
    return found


@dataclass(frozen=True, slots=True)
class Rough:
    """What one short chain tells beforehand.

    Attributes
    ----------
    depth : array, layers
        A guess at how far up each layer stands: only the order of the numbers has a meaning.
    together : array of bool, layers × layers
        Which layers stood together nearly always.
    """

    depth: Floats
    together: NDArray[np.bool_]


def roughly(problem: Problem, tell: Callable[[], None]) -> Rough:
    """Correlate a space roughly: one short chain. `tell` is called now and then; it may raise to stop."""
    parameters = problem.parameters
    random = np.random.default_rng(parameters.seed)
    arrangement = _progressive(problem, _filled(problem), 0, random)
    together = np.zeros((problem.layers, problem.layers), dtype=np.int8)
    for sweep in range(parameters.rough_sweeps):
        tell()
        arrangement = _sweep(problem, arrangement, 1.0, random)
        if sweep % parameters.join_every == parameters.join_every - 1:
            arrangement = join_generations(problem, arrangement)
        if sweep >= parameters.rough_sweeps - parameters.rough_read:
            together += arrangement.place[:, None] == arrangement.place[None, :]
    return Rough(arrangement.place.astype(float), together >= parameters.rough_sure * parameters.rough_read)


def _filled(problem: Problem) -> list[int]:
    return [number for number, (first, last) in enumerate(problem.bounds) if last > first]


def _sweep(problem: Problem, arrangement: Arrangement, heat: float, random: np.random.Generator) -> Arrangement:
    """Leave every sample out once, and then every anchor, and draw them anew."""
    units = [[number for number in unit if problem.bounds[number][1] > problem.bounds[number][0]] for unit in problem.elements]
    for block in _blocks(units, problem.parameters.left_out_together, random):
        arrangement = _redraw_together(problem, arrangement, block, heat, random)
    return _redraw_anchors(problem, arrangement, bound_samples(problem), heat, random)


def _blocks(units: Sequence[Sequence[int]], least: int, random: np.random.Generator) -> Iterator[list[int]]:
    """All samples in random order, in blocks of so many at least: those of one element together, or they would hold each other in place."""
    block: list[int] = []
    for unit in random.permutation(len(units)):
        block += [units[unit][at] for at in random.permutation(len(units[unit]))]
        if len(block) >= least:
            yield block
            block = []
    if block:
        yield block


def _progressive(problem: Problem, filled: list[int], chain: int, random: np.random.Generator) -> Arrangement:
    """Place one sample after another, the most telling first; later chains shuffle that order a little."""
    information = np.array([problem.evidence.information[slice(*problem.bounds[number])].sum() for number in filled])
    wobble = random.lognormal(0.0, 0.5, len(filled)) if chain else np.ones(len(filled))
    arrangement = start(problem)
    for at in np.argsort(-np.round(information * wobble, 6), kind="stable"):
        arrangement = _redraw(problem, arrangement, filled[int(at)], 1.0, random)
    return arrangement


def _redraw(problem: Problem, arrangement: Arrangement, sample: int, heat: float, random: np.random.Generator) -> Arrangement:
    return _draw_into(problem, arrangement.without(problem.bounds[sample]), sample, heat, random)


def _redraw_together(
    problem: Problem, arrangement: Arrangement, samples: list[int], heat: float, random: np.random.Generator
) -> Arrangement:
    """Leave out some samples, all but their bound layers, and draw one after the other anew."""
    others = arrangement
    if len(samples) > 1:
        place = arrangement.place.copy()
        for sample in samples:
            span = slice(*problem.bounds[sample])
            place[span] = np.where(problem.constraints.anchor[span] >= 0, place[span], -1)
        others = replace(arrangement, place=place).without()
    try:
        for sample in samples:
            others = _redraw(problem, others, sample, heat, random)
    except Impossible:
        return arrangement
    return others


def _redraw_anchors(
    problem: Problem, arrangement: Arrangement, anchors: tuple[tuple[int, ...], ...], heat: float, random: np.random.Generator
) -> Arrangement:
    def place(others: Arrangement, sample: int) -> Arrangement:
        return _draw_into(problem, others, sample, heat, random)

    for anchor in random.permutation(len(anchors)):
        arrangement = redraw_anchor(problem, arrangement, int(anchor), anchors[anchor], heat, random, place)
    return arrangement


def _draw_into(problem: Problem, others: Arrangement, sample: int, heat: float, random: np.random.Generator) -> Arrangement:
    first, last = problem.bounds[sample]
    states, stays = draw(chain_for(problem, sample, others, heat), random.random(last - first))
    return others.placed(first, states, stays)

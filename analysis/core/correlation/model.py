"""From samples and rulings to generations with probabilities."""

from collections.abc import Callable, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.constraints import read_rulings
from analysis.core.correlation.learning import learn
from analysis.core.correlation.parameters import Parameters
from analysis.core.correlation.profile import Problem, state_problem
from analysis.core.correlation.search import search
from analysis.core.correlation.settling import Found
from analysis.core.correlation.values import Correlation, FoundGeneration, Placement, Ruling, Sample

VERSION: Final = "1.4"

Floats = NDArray[np.float64]
Integers = NDArray[np.int_]


def correlate(
    samples: Sequence[Sample],
    rulings: Sequence[Ruling] = (),
    generation_order: Sequence[str] = (),
    parameters: Parameters = Parameters(),  # noqa: B008 - frozen
    progress: Callable[[int, int], None] | None = None,
) -> Correlation:
    """Place the layers of one space's samples in generations.

    Parameters
    ----------
    samples : sequence of Sample
        Of one space, in any order; keys of samples and of layers are unique.
    rulings : sequence of Ruling
        In any order. All are obeyed.
    generation_order : sequence of str
        Keys of held generations, oldest first; each stands strictly before the next. A key that no ruling holds a layer to is
        left out of the result.
    parameters : Parameters
        The numbers of the model.
    progress : callable, optional
        Called with steps done and steps in all; whatever it raises stops the work.

    Returns
    -------
    Correlation
        Every layer of every sample has a placement; ordinals run from 1 (oldest) without holes. The result does not depend on the
        order of samples or rulings, to the last bit.

    Raises
    ------
    ContradictoryRulings
        When rulings, order of layers and order of generations cannot all be true; it carries the chain.
    analysis.core.rulings.RulingError
        When a ruling cannot be read, or a layer stands twice.

    Notes
    -----
    Cost: (rounds) × (samples) × (layers of a sample) × (generations + layers of the samples heard); about a second for twenty
    samples of twenty layers, ten for 160. Every group of bound layers adds about twice the cost of its samples.
    """
    ordered = sorted(samples, key=lambda sample: sample.key)
    nothing = np.zeros(sum(len(sample.layers) for sample in ordered))
    read_rulings(ordered, rulings, generation_order, nothing, nothing)  # refused before any work
    if not len(nothing):
        return Correlation((), {})
    told = learn(ordered, parameters, (lambda: progress(0, 1)) if progress is not None else lambda: None)
    # Ties and holds say little of how their generations stand to each other; what the layers say without them does.
    constraints = read_rulings(ordered, rulings, generation_order, told.evidence.stay, told.depth)
    problem = state_problem(ordered, told.evidence, constraints, told.parameters)
    found = search(problem, progress)
    held = {ruling.first for ruling in rulings if ruling.kind == "hold"}
    placements: dict[str, Placement] = {}
    for (first, last), sample in zip(problem.bounds, ordered, strict=True):
        # No layer stands below the one beneath it or above the one on it.
        room = np.concatenate([[0], found.arrangement.place[first:last], [found.arrangement.count - 1]])
        for position, layer in enumerate(sample.layers):
            row = found.likely[problem.owner[first]][position]
            placements[layer.key] = _placement(row, room[position : position + 3], layer.key in held)
    return Correlation(_generations(problem, found), placements)


def _placement(row: Floats, room: Integers, held: bool) -> Placement:
    """Placement of a layer by its row of probabilities; `room` is where the layer beneath stands, the layer, and the layer above."""
    lowest, at, highest = (int(one) for one in room)
    numbers = np.arange(len(row))
    barred = ((numbers < lowest) | (numbers > highest)) & (row > row[at])
    others = np.where(barred | (numbers == at), 0.0, row)
    best = int(np.argmax(others))
    runner_up = best if others[best] > 0.0 else None
    return Placement(
        generation=at + 1,
        confidence=min(1.0, max(0.0, float(row[at]))),
        runner_up=None if runner_up is None else runner_up + 1,
        runner_up_confidence=0.0 if runner_up is None else min(1.0, float(others[runner_up])),
        held=held,
    )


def _generations(problem: Problem, found: Found) -> tuple[FoundGeneration, ...]:
    arrangement = found.arrangement
    keys = {int(at): name for at, name in zip(arrangement.anchors, problem.constraints.names, strict=True) if name}
    members = [np.flatnonzero(arrangement.place == number) for number in range(arrangement.count)]
    result = []
    for number in range(arrangement.count):
        distinct = None
        if number:
            shares = found.together[np.ix_(members[number], members[number - 1])]
            distinct = float(1.0 - shares.mean()) if shares.size else 1.0
        result.append(FoundGeneration(number + 1, keys.get(number, ""), distinct))
    return tuple(result)

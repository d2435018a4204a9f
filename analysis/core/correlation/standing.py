"""The correlation that a record holds, as the model states it: for what is asked about it without searching again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.alignment import Impossible, posterior
from analysis.core.correlation.constraints import Constraints, read_rulings
from analysis.core.correlation.learning import learn
from analysis.core.correlation.parameters import Parameters
from analysis.core.correlation.profile import Arrangement, Problem, allowed, chain_for, state_problem
from analysis.core.correlation.values import ContradictoryRulings, Ruling, Sample
from analysis.core.rulings import RulingError

Floats = NDArray[np.float64]
Integers = NDArray[np.int_]


@dataclass(frozen=True, slots=True)
class Standing:
    """A space as it is correlated.

    Attributes
    ----------
    samples : tuple of Sample
        In canonical order.
    problem : Problem
        With the rulings, if what is on record obeys them all; else without any.
    arrangement : Arrangement
        The generations on record, those that show something, numbered from 0.
    ordinals : tuple of int
        The number on record of each.
    obeys : bool
        Whether the record obeys the rulings; it does after a correlation, until a ruling is added.
    """

    samples: tuple[Sample, ...]
    problem: Problem
    arrangement: Arrangement
    ordinals: tuple[int, ...]
    obeys: bool

    @property
    def free(self) -> Problem:
        """The problem without rulings."""
        return replace(self.problem, constraints=_unconstrained(self.problem.layers))

    def owner_of(self, key: str) -> tuple[int, int]:
        """Number of the sample of a layer, and the layer's place in it."""
        for number, sample in enumerate(self.samples):
            for position, layer in enumerate(sample.layers):
                if layer.key == key:
                    return number, position
        raise KeyError(key)


@dataclass(frozen=True, slots=True)
class Weighed:
    """One sample, weighed against what the others show.

    Attributes
    ----------
    others : Arrangement
        The arrangement without the sample.
    generations : array of int
        For each of the others' generations its number in the whole arrangement, rising.
    states : array, layers × states
        Forward-backward probabilities; a row sums to 1.
    """

    others: Arrangement
    generations: Integers
    states: Floats

    def state_of(self, generation: int) -> int:
        """The state that stands for a generation: its own, or the slot in which it lies where no other sample shows it."""
        at = int(np.searchsorted(self.generations, generation))
        seen = at < len(self.generations) and self.generations[at] == generation
        return 2 * at + int(seen)


def standing(
    samples: Sequence[Sample],
    rulings: Sequence[Ruling],
    generation_order: Sequence[str],
    generations: Mapping[str, int],
    parameters: Parameters,
) -> Standing:
    """Read a correlation back into the model.

    Parameters
    ----------
    samples : sequence of Sample
        Of one space, in any order.
    rulings : sequence of Ruling
    generation_order : sequence of str
        Keys of held generations, oldest first.
    generations : mapping of str to int
        By a layer's key the ordinal of its generation; a layer that stands in none is left out.
    parameters : Parameters

    Notes
    -----
    Cost: that of learning the space anew, about a tenth of a correlation.
    """
    ordered = tuple(sorted(samples, key=lambda sample: sample.key))
    keys = [layer.key for sample in ordered for layer in sample.layers]
    ordinals = sorted({generations[key] for key in keys if key in generations})
    place = np.array([ordinals.index(generations[key]) if key in generations else -1 for key in keys], dtype=int)
    told = learn(ordered, parameters)
    free = state_problem(ordered, told.evidence, _unconstrained(len(keys)), told.parameters)
    loose = Standing(ordered, free, Arrangement(place, np.zeros(0, dtype=int), len(ordinals)), tuple(ordinals), not rulings)
    if not rulings or not keys:
        return loose
    try:
        constraints = read_rulings(ordered, rulings, generation_order, told.evidence.stay, place.astype(float))
    except (ContradictoryRulings, RulingError):
        return loose
    anchors = np.array([place[constraints.anchor == number][0] for number in range(len(constraints.names))], dtype=int)
    bound = replace(free, constraints=constraints)
    arrangement = Arrangement(place, anchors, len(ordinals))
    return Standing(ordered, bound, arrangement, tuple(ordinals), True) if _is_obeyed(bound, arrangement) else loose


def weigh(problem: Problem, arrangement: Arrangement, sample: int) -> Weighed:
    """Weigh one sample against the others.

    Parameters
    ----------
    problem : Problem
    arrangement : Arrangement
    sample : int
        Its number in canonical order; it has a layer.

    Raises
    ------
    analysis.core.correlation.alignment.Impossible
        When rulings forbid every path.
    """
    others, generations = without(problem, arrangement, sample)
    return Weighed(others, generations, posterior(chain_for(problem, sample, others)))


def without(problem: Problem, arrangement: Arrangement, sample: int) -> tuple[Arrangement, Integers]:
    """The arrangement that the other samples leave, and for each of its generations the number in the whole one."""
    others = arrangement.without(problem.bounds[sample])
    generations = np.full(others.count, -1)
    seen = np.flatnonzero(others.place >= 0)
    generations[others.place[seen]] = arrangement.place[seen]
    generations[others.anchors] = arrangement.anchors
    return others, generations


def _unconstrained(layers: int) -> Constraints:
    return Constraints(np.full(layers, -1), (), {}, np.zeros(layers, dtype=bool))


def _is_obeyed(problem: Problem, arrangement: Arrangement) -> bool:
    constraints = problem.constraints
    held = [int(at) for at, name in zip(arrangement.anchors, constraints.names, strict=True) if name]
    if (arrangement.anchors < 0).any() or held != sorted(set(held)):
        return False
    for number, (first, last) in enumerate(problem.bounds):
        here = arrangement.place[first:last]
        placed = np.flatnonzero(here >= 0)
        if not allowed(problem, number, arrangement)[placed, 2 * here[placed] + 1].all():
            return False
        cut = np.flatnonzero(constraints.cut[first + 1 : last]) + first + 1
        if (arrangement.place[cut] <= arrangement.place[cut - 1]).any():
            return False
        try:
            weigh(problem, arrangement, number) if last > first else None
        except Impossible:
            return False
    return True

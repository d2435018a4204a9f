"""The practical limit: what the same evidence reaches when everybody else's generations are known."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation import Parameters
from analysis.core.correlation.alignment import best_path, posterior
from analysis.core.correlation.constraints import read_rulings
from analysis.core.correlation.evidence import gather
from analysis.core.correlation.looks import look
from analysis.core.correlation.profile import Arrangement, Problem, allowed, chain_for, state_problem
from analysis.core.correlation.responses import learned_hue
from tests.buildings.invention import InventedSpace
from tests.buildings.scoring import Score, pair_score

Integers = NDArray[np.int_]


@dataclass(frozen=True, slots=True)
class Limit:
    """Scores of placing each sample alone among the true generations of all the others.

    Attributes
    ----------
    together : Score
        All placements scored as a correlation is, where both layers of a pair may be wrong: the limit beside a correlation's score.
    singly : Score
        Each placed layer against the true places of the others.
    """

    together: Score
    singly: Score


def practical_limit(space: InventedSpace, parameters: Parameters = Parameters()) -> Limit:  # noqa: B008 - frozen
    """Place each sample among the true generations of all others, by the path on which most layers are expected right."""
    keys = [layer.key for sample in _ordered(space) for layer in sample.layers]
    truth = np.array([space.truth[key] for key in keys])
    problem = _problem(space, truth, parameters)
    campaigns, place = np.unique(truth, return_inverse=True)
    full = Arrangement(place, np.zeros(0, dtype=int), len(campaigns))
    found = np.empty(len(keys), dtype=int)
    singly = Score(0, 0, 0)
    for sample, (first, last) in enumerate(problem.bounds):
        mine = _placed(problem, full, sample)
        found[first:last] = mine
        others = np.concatenate([place[:first], place[last:]])
        says = mine[:, None] == others
        so = place[first:last, None] == others
        singly += Score(int((says & so).sum()), int((says & ~so).sum()), int((~says & so).sum()))
    return Limit(pair_score(_ordered(space), dict(zip(keys, found.tolist(), strict=True)), space.truth), singly)


def _ordered(space: InventedSpace) -> list:
    return sorted(space.samples, key=lambda sample: sample.key)


def _problem(space: InventedSpace, truth: Integers, parameters: Parameters) -> Problem:
    """The space with what the model learns of it, learned from the truth."""
    ordered = _ordered(space)
    parameters = replace(parameters, uv_hue=learned_hue(look(ordered, parameters), truth[:, None] == truth, parameters))
    evidence = gather(ordered, parameters)
    free = read_rulings(ordered, (), (), evidence.stay, np.zeros(len(evidence.stay)))
    return state_problem(ordered, evidence, free, parameters)


def _placed(problem: Problem, full: Arrangement, sample: int) -> Integers:
    """Rank of the true campaign for each layer of a sample; a number of its own below 0 where it is placed in no other's."""
    first, last = problem.bounds[sample]
    others = full.without((first, last))
    rank = np.full(others.count, -1)
    seen = others.place >= 0
    rank[others.place[seen]] = full.place[seen]
    likely = posterior(chain_for(problem, sample, others))
    states, _ = best_path(likely, np.zeros(last - first), allowed(problem, sample, others), problem.constraints.cut[first:last])
    own = -(np.arange(first, last) + 1)  # whether two own layers are of one campaign makes no pair of different samples
    result: Integers = np.where(states % 2 == 1, np.append(rank, -1)[states // 2], own)
    return result

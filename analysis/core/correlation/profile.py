"""The working state: which generation each layer stands in, and what the others' generations say to one sample."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.alignment import Chain, walk
from analysis.core.correlation.constraints import Constraints
from analysis.core.correlation.evidence import Evidence
from analysis.core.correlation.kinship import kinship_of, samples_of_elements
from analysis.core.correlation.parameters import Parameters
from analysis.core.correlation.values import Sample

Floats = NDArray[np.float64]
Integers = NDArray[np.int_]


@dataclass(frozen=True, slots=True)
class Problem:
    """One space, read once: arrays over its layers in canonical order."""

    parameters: Parameters
    evidence: Evidence
    constraints: Constraints
    bounds: tuple[tuple[int, int], ...]  # samples: first layer, one past the last
    owner: Integers  # layers: their sample
    elements: tuple[tuple[int, ...], ...]  # samples of each element
    base: Floats  # samples: probability that it begins late
    top: Floats  # samples: probability that it ends early
    kinship: Floats  # samples × samples: what one says about the other being left out; 0 with itself
    left_out: Floats  # log probability of a campaign by how many samples show it, and how many reach over it
    layers: int


def state_problem(samples: Sequence[Sample], evidence: Evidence, constraints: Constraints, parameters: Parameters) -> Problem:
    """Gather what every placement needs."""
    edges = np.concatenate([[0], np.cumsum([len(sample.layers) for sample in samples])]).astype(int)
    bounds = tuple((int(first), int(last)) for first, last in itertools.pairwise(edges))
    begins = {"complete": parameters.begins_late_whole, "unknown": parameters.begins_late_unknown}
    ends = {"complete": parameters.ends_early_whole, "lost": parameters.ends_early_lost}
    count = int(edges[-1])
    return Problem(
        parameters=parameters,
        evidence=evidence,
        constraints=constraints,
        bounds=bounds,
        owner=np.repeat(np.arange(len(samples)), np.diff(edges)),
        elements=samples_of_elements(samples),
        base=np.array([begins.get(sample.base_state, parameters.begins_late_broken) for sample in samples]),
        top=np.array([ends.get(sample.top_state, parameters.ends_early_unknown) for sample in samples]),
        kinship=kinship_of(samples, parameters),
        left_out=_left_out(len(samples), parameters),
        layers=count,
    )


def _left_out(samples: int, parameters: Parameters) -> Floats:
    """Beta-binomial log probabilities: rows, how many show the campaign; columns, how many reach over it."""
    yes, no = parameters.occupancy_shown, parameters.occupancy_left_out
    table = np.empty((samples + 1, samples + 1))
    for show in range(samples + 1):
        for reach in range(samples + 1):
            out = max(0, reach - show)
            table[show, reach] = math.lgamma(yes + show) + math.lgamma(no + out) - math.lgamma(yes + no + show + out)
    return table + math.lgamma(yes + no) - math.lgamma(yes) - math.lgamma(no) - parameters.generation_cost


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Generation of every layer (0 = oldest, -1 = not placed), of every anchor, and how many generations there are."""

    place: Integers
    anchors: Integers
    count: int

    def without(self, *spans: tuple[int, int], released: int = -1) -> "Arrangement":
        """The arrangement that the other samples leave: emptied generations go, unless a ruling needs them.

        Parameters
        ----------
        spans : tuple of int
            First layer and one past the last of each sample to leave out.
        released : int
            An anchor that is let go: its generation becomes -1.
        """
        place = self.place.copy()
        for first, last in spans:
            place[first:last] = -1
        anchors = self.anchors
        if released >= 0:
            anchors = anchors.copy()
            anchors[released] = -1
        used = np.zeros(self.count + 1, dtype=bool)  # the last entry answers for 'not placed'
        used[place] = True
        used[anchors] = True
        used[-1] = False
        number = np.cumsum(used) - 1
        number[-1] = -1
        return Arrangement(number[place], number[anchors], int(used.sum()))

    def anchored(self, anchor: int, state: int) -> "Arrangement":
        """Put an anchor that was let go into a generation, or into a new one in a slot."""
        at, own = state // 2, state % 2 == 0
        shift = np.append(np.arange(self.count) + (np.arange(self.count) >= at if own else 0), -1)
        anchors = shift[self.anchors]
        anchors[anchor] = at
        return Arrangement(shift[self.place], anchors, self.count + own)

    def placed(self, first: int, states: Integers, stays: NDArray[np.bool_]) -> "Arrangement":
        """Put a sample back along a path; slots become generations of their own."""
        slots = states // 2
        own = states % 2 == 0
        new = own & ~stays
        added = np.zeros(self.count + 2, dtype=int)
        np.add.at(added, slots[new] + 1, 1)
        before = np.cumsum(added)  # own generations in slots lower than the index
        within = np.zeros(len(states), dtype=int)
        seen: dict[int, int] = {}
        for layer in np.flatnonzero(own):
            slot = int(slots[layer])
            if new[layer]:
                seen[slot] = seen.get(slot, -1) + 1
            within[layer] = seen[slot]
        shift = np.append(np.arange(self.count) + before[1 : self.count + 1], -1)
        place = shift[self.place]
        place[first : first + len(states)] = np.where(own, slots + before[slots] + within, shift[slots])
        return Arrangement(place, shift[self.anchors], self.count + int(new.sum()))


def start(problem: Problem) -> Arrangement:
    """Only what rulings fix: every anchor a generation, its layers in it."""
    count = len(problem.constraints.names)
    return Arrangement(problem.constraints.anchor.copy(), np.arange(count), count)


def grouped(rows: NDArray[Any], place: Integers, count: int) -> NDArray[Any]:
    """Sum the rows of layers, generation by generation: layers × anything to generations × anything.

    Written without a matrix product on purpose: its threads cost more than they bring at this size, and may sum in another order.

    Parameters
    ----------
    rows : array, layers × anything
    place : array of int, layers
        Generation of each, -1 for none.
    count : int
        Generations.
    """
    placed = np.flatnonzero(place >= 0)
    place = place[placed]
    ordered = rows.take(placed[np.argsort(place, kind="stable")], axis=0)
    result = np.zeros((count, rows.shape[1]), dtype=rows.dtype)
    ends = np.cumsum(np.bincount(place, minlength=count)).tolist()
    begin = 0
    for number, end in enumerate(ends):
        if end > begin:
            np.add.reduce(ordered[begin:end], axis=0, out=result[number])
        begin = end
    return result


def odds(problem: Problem, sample: int, others: Arrangement) -> Floats:
    """How much likelier each layer of a sample is in each generation of the others than anywhere: layers × generations."""
    sums = vote_sums_of(problem, sample, others)
    return combine(problem.parameters, sums[0], sums[1])


def vote_sums_of(problem: Problem, sample: int, others: Arrangement) -> Floats:
    """Votes and weights for the layers of a sample, summed over each generation: 2 × features × layers × generations."""
    first, last = problem.bounds[sample]
    hearing = problem.evidence.hearings[sample]
    return hearing.whole(grouped(hearing.said, others.place[hearing.heard], others.count), last - first)


def combine(parameters: Parameters, votes: Floats, weights: Floats) -> Floats:
    """Mix the votes of each kind of evidence with the background's, and multiply the kinds.

    Parameters
    ----------
    votes, weights : array, features × anything
        Summed over the layers of a generation.
    """
    shrink = np.minimum(1.0, parameters.other_cap / np.maximum(weights[1], 1e-9))
    rest = parameters.colour_background + parameters.colour_background_alone * np.exp(-weights[0])
    result = (votes[0] + shrink * votes[1] + rest) / (weights[0] + shrink * weights[1] + rest)
    material = parameters.materials_background
    backgrounds = (material, parameters.pigment_background, material, parameters.texture_background, parameters.kind_background)
    for feature, background in enumerate(backgrounds, start=2):
        result = result * ((votes[feature] + background) / (weights[feature] + background))
    powered: Floats = result**parameters.evidence_power
    return powered


def occupation(problem: Problem, arrangement: Arrangement) -> tuple[Floats, Floats]:
    """Samples × generations: 1 where the sample shows the generation, and where it reaches over it."""
    placed = np.flatnonzero(arrangement.place >= 0)
    owner, place = problem.owner[placed], arrangement.place[placed]
    present = np.zeros((len(problem.bounds), arrangement.count))
    present[owner, place] = 1.0
    lowest = np.full(len(problem.bounds), arrangement.count)
    highest = np.full(len(problem.bounds), -1)
    np.minimum.at(lowest, owner, place)
    np.maximum.at(highest, owner, place)
    numbers = np.arange(arrangement.count)
    spanned = (numbers >= lowest[:, None]) & (numbers <= highest[:, None])
    return present, spanned.astype(float)


def chain_for(problem: Problem, sample: int, others: Arrangement, heat: float = 1.0) -> Chain:
    """The chain of a sample against the profile of the others, rulings included.

    Parameters
    ----------
    heat : float
        1 is the model; more flattens the evidence, so that early draws wander.
    """
    parameters = problem.parameters
    first, last = problem.bounds[sample]
    present, spanned = occupation(problem, others)
    population = int(present.any(axis=1).sum())
    kin = problem.kinship[sample]
    prior = parameters.occupancy_shown + parameters.occupancy_left_out
    shown = np.clip((parameters.occupancy_shown + kin @ present) / (prior + kin @ spanned), 0.02, 0.98)
    own = min(0.4, parameters.own_generation * unseen(population, parameters))
    begin, advance, end = walk(shown, own, parameters.stripping, float(problem.base[sample]), float(problem.top[sample]))
    emission = np.ones((last - first, 2 * others.count + 1))
    emission[:, 1::2] = odds(problem, sample, others)
    if heat != 1.0:
        emission = emission ** (1.0 / heat)
    emission *= allowed(problem, sample, others)
    stay = problem.evidence.stay[first:last].copy()
    stay[problem.constraints.cut[first:last]] = 0.0
    return Chain(begin, advance, end, stay, emission, own)


def unseen(population: int, parameters: Parameters) -> float:
    """Prior probability that none of so many other samples shows a campaign: mean of (1 - p)^n for p from the Beta prior."""
    yes, no = parameters.occupancy_shown, parameters.occupancy_left_out
    return math.exp(math.lgamma(no + population) + math.lgamma(yes + no) - math.lgamma(no) - math.lgamma(yes + no + population))


def allowed(problem: Problem, sample: int, others: Arrangement) -> NDArray[np.bool_]:
    """Which states rulings leave to each layer of a sample: layers × states."""
    first, last = problem.bounds[sample]
    result = np.ones((last - first, 2 * others.count + 1), dtype=bool)
    for layer in range(first, last):
        anchor = problem.constraints.anchor[layer]
        if anchor >= 0 and others.anchors[anchor] < 0:
            result[layer - first] = _between_named(problem, anchor, others)
        elif anchor >= 0:
            result[layer - first] = False
            result[layer - first, 2 * others.anchors[anchor] + 1] = True
        for other in problem.constraints.barred.get(layer, ()):
            if others.place[other] >= 0:
                result[layer - first, 2 * others.place[other] + 1] = False
    return result


def _between_named(problem: Problem, anchor: int, others: Arrangement) -> NDArray[np.bool_]:
    """States for an anchor that was let go: a held generation stays strictly between its held neighbours."""
    states = np.arange(2 * others.count + 1)
    names = problem.constraints.names
    result = np.ones(len(states), dtype=bool)
    if names[anchor]:
        for number, name in enumerate(names):
            if name and number < anchor:
                result &= states > 2 * others.anchors[number] + 1
            elif name and number > anchor:
                result &= states < 2 * others.anchors[number] + 1
    return result

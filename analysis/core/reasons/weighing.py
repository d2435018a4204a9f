"""The odds of a placing, taken apart into terms that add up to it."""

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.alignment import Chain, posterior
from analysis.core.correlation.evidence import FEATURES, gather
from analysis.core.correlation.profile import Arrangement, Problem, chain_for, combine, vote_sums_of
from analysis.core.correlation.standing import Standing, Weighed, weigh
from analysis.core.correlation.values import Sample
from analysis.core.reasons.seen import observations
from analysis.core.reasons.values import TERMS, Reasons, Term

Floats = NDArray[np.float64]
LEAST: Final = 1e-300
NEGLIGIBLE: Final = 1e-9
# Of each feature of the evidence beside colour, its term.
OTHER_FEATURES: Final = dict(zip(range(2, FEATURES), ("UV response", "pigments", "binder", "texture", "kind of film"), strict=True))


def why(stands: Standing, key: str, against: int | None = None) -> Reasons | None:
    """Take apart the odds of a layer's generation against another.

    Parameters
    ----------
    stands : Standing
        The space as it is correlated.
    key : str
        Of the layer.
    against : int, optional
        Ordinal of the other generation; without it, the likeliest other one.

    Returns
    -------
    Reasons or None
        None for a layer that stands in no generation, where there is no other generation, or none that the order leaves possible.

    Raises
    ------
    KeyError
        When there is no such layer, or no such generation.

    Notes
    -----
    The odds are those of forward-backward, the sample weighed against the arrangement of all others: what the layer's own look says,
    times what the path below it and the path above it say. The look is a product over kinds of evidence, so that its logarithms add up
    as they are. Colour on the same class, colour on other classes and rarity are bound together in one factor, and so are the films, the
    boundaries and the rulings in the paths; of each such three the term is its mean difference over all orders of putting them in
    (Shapley 1953), which adds up exactly. Rarity is what it makes that the layer's colour is rarer or commoner than the middle
    one of the space. 'Layers beneath' and 'layers above' are what the paths say when of the films nothing is known (odds even that a film
    is of the campaign beneath).

    References
    ----------
    L. S. Shapley, "A value for n-person games", in *Contributions to the Theory of Games* II, Princeton 1953, 307-317.
    """
    sample, position = stands.owner_of(key)
    first = stands.problem.bounds[sample][0]
    place = int(stands.arrangement.place[first + position])
    if place < 0:
        return None
    problem = stands.problem
    weighed = weigh(problem, stands.arrangement, sample)
    here = weighed.state_of(place)
    other = _other(stands, weighed, position, place, against)
    decided = _rules(stands) and (other is None or not weighed.states[position, weighed.state_of(other)] > 0.0)
    if decided:
        problem = stands.free
        free = weigh(problem, stands.arrangement, sample)
        other = _other(stands, free, position, place, against)
        if other is None or free.state_of(other) == here:
            return None
    if other is None:
        return None
    there = weighed.state_of(other)
    weights = _look(problem, sample, position, weighed.others, here, there)
    weights |= _paths(problem, stands.samples, sample, position, weighed.others, here, there)
    said = observations(stands, sample, position, weighed, here, there)
    terms = [Term(name, weights[name], *said.get(name, ("", "", ""))) for name in TERMS]
    return Reasons(
        layer=key,
        generation=stands.ordinals[place],
        against=stands.ordinals[other],
        probability=float(weighed.states[position, here]),
        against_probability=float(weighed.states[position, there]),
        total=sum(term.weight for term in terms),
        terms=tuple(term for term in terms if abs(term.weight) > NEGLIGIBLE),
        decided=decided,
        alone=here % 2 == 0,
    )


def _rules(stands: Standing) -> bool:
    """Whether any ruling binds anything."""
    constraints = stands.problem.constraints
    return bool(constraints.names or constraints.barred or constraints.cut.any())


def _other(stands: Standing, weighed: Weighed, position: int, place: int, against: int | None) -> int | None:
    """The generation compared with: the one asked for, or the likeliest of those that other samples show."""
    if against is not None:
        if against not in stands.ordinals:
            raise KeyError(against)
        other = stands.ordinals.index(against)
        return None if weighed.state_of(other) == weighed.state_of(place) else other
    chances = weighed.states[position, 1::2].copy()
    chances[weighed.generations == place] = 0.0
    best = int(np.argmax(chances)) if len(chances) else -1
    return int(weighed.generations[best]) if best >= 0 and chances[best] > 0.0 else None


def fair_shares(value: Callable[[tuple[bool, ...]], float], count: int) -> list[float]:
    """What each of a few things brings, over all orders of putting them in: the shares add up to value(all) - value(none).

    Parameters
    ----------
    value : callable
        What a choice of them (one truth value each) is worth.
    count : int
        How many there are; a few, since all their orders are tried.
    """
    known: dict[tuple[bool, ...], float] = {}
    for chosen in itertools.product((False, True), repeat=count):
        known[chosen] = value(chosen)
    shares = [0.0] * count
    orders = list(itertools.permutations(range(count)))
    for order in orders:
        taken = [False] * count
        for one in order:
            before = known[tuple(taken)]
            taken[one] = True
            shares[one] += (known[tuple(taken)] - before) / len(orders)
    return shares


def _look(problem: Problem, sample: int, position: int, others: Arrangement, here: int, there: int) -> dict[str, float]:
    """What the layer's own look says for `here` against `there`, by kind of evidence."""
    sums = vote_sums_of(problem, sample, others)[:, :, position, :]
    empty = np.zeros((2, FEATURES))
    pair = np.stack([sums[:, :, state // 2] if state % 2 else empty for state in (here, there)], axis=2)

    def odds(features: Sequence[int], scale: float = 1.0) -> float:
        votes, weights = np.zeros((FEATURES, 2)), np.zeros((FEATURES, 2))
        votes[list(features)] = pair[0, list(features)] * scale
        weights[list(features)] = pair[1, list(features)]
        both = np.log(combine(problem.parameters, votes, weights))
        return float(both[0] - both[1])

    rarity = _rarity(problem, sample, position)

    def colour(chosen: tuple[bool, ...]) -> float:
        same, across, rare = chosen
        return odds([feature for feature, on in ((0, same), (1, across)) if on], 1.0 if rare else 1.0 / rarity)

    shares = fair_shares(colour, 3)
    result = dict(zip(("colour, same class", "colour, other classes", "rarity of the colour"), shares, strict=True))
    return result | {name: odds([feature]) for feature, name in OTHER_FEATURES.items()}


def _rarity(problem: Problem, sample: int, position: int) -> float:
    """How many times rarer the layer's colour is than the middle one of the space."""
    information = problem.evidence.information
    own = information[problem.bounds[sample][0] + position]
    known = information[information > 0.0]
    return float(np.exp(own - np.median(known))) if own > 0.0 else 1.0


def _paths(
    problem: Problem, samples: Sequence[Sample], sample: int, position: int, others: Arrangement, here: int, there: int
) -> dict[str, float]:
    """What the paths below and above the layer say, by what they rest on."""
    ruled = chain_for(problem, sample, others)
    free = replace(problem, constraints=replace(problem.constraints, anchor=np.full(problem.layers, -1), barred={}))
    loose = chain_for(free, sample, others)
    films, boundaries = _steps(problem, samples, sample)
    first, last = problem.bounds[sample]
    cut = problem.constraints.cut[first:last]

    def chain(chosen: tuple[bool, ...]) -> Chain:
        with_films, with_boundaries, with_rulings = chosen
        stay = 1.0 / (1.0 + np.exp(-(films * with_films + boundaries * with_boundaries)))
        stay[0] = 0.0
        if with_rulings:
            stay[cut] = 0.0
        return replace(ruled if with_rulings else loose, stay=stay)

    beneath, above = (_side(chain((False, False, False)), position, here, there, side) for side in ("beneath", "above"))
    shares = fair_shares(lambda chosen: _ratio(chain(chosen), position, here, there), 3)
    return {
        "layers beneath": beneath,
        "layers above": above,
        **dict(zip(("films in sequence", "boundaries", "rulings"), shares, strict=True)),
    }


def _steps(problem: Problem, samples: Sequence[Sample], sample: int) -> tuple[Floats, Floats]:
    """Log odds that each layer is of the campaign beneath: from the films (kinds, likeness), and from the boundary."""
    span = slice(*problem.bounds[sample])
    plain = replace(samples[sample], layers=tuple(replace(layer, lower_boundary="") for layer in samples[sample].layers))
    bare = gather([*samples[:sample], plain, *samples[sample + 1 :]], problem.parameters).stay
    whole, films = (np.log(np.maximum(stay[span], LEAST)) - np.log1p(-stay[span]) for stay in (problem.evidence.stay, bare))
    whole[0] = films[0] = 0.0
    return films, whole - films


def _ratio(chain: Chain, position: int, here: int, there: int) -> float:
    """Log odds of two states for a layer, without what its own look says."""
    blank = chain.emission.copy()
    blank[position] = blank[position] > 0.0
    row = posterior(replace(chain, emission=blank))[position]
    return float(np.log(max(row[here], LEAST)) - np.log(max(row[there], LEAST)))


def _side(chain: Chain, position: int, here: int, there: int, side: str) -> float:
    """The same from one side only: of the other nothing is seen, and the sample might begin or end anywhere."""
    blank = chain.emission.copy()
    blank[position] = 1.0
    if side == "beneath":
        cut = replace(chain, emission=blank[: position + 1], stay=chain.stay[: position + 1], end=np.ones_like(chain.end))
        row = posterior(cut)[position]
    else:
        cut = replace(chain, emission=blank[position:], stay=chain.stay[position:], begin=np.ones_like(chain.begin))
        row = posterior(cut)[0]
    return float(np.log(max(row[here], LEAST)) - np.log(max(row[there], LEAST)))

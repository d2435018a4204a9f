"""What a ruling on a layer, or on the joint between two generations, would be expected to settle."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.merging import joining_gains, vote_sums
from analysis.core.correlation.standing import Standing
from analysis.core.looking.doubt import Doubtful, doubts, posteriors
from analysis.core.looking.values import Suggestion

Floats = NDArray[np.float64]
ASKED: Final = 3  # generations of a layer that are tried, the likeliest first


def layer_gains(one: Doubtful) -> Floats:
    """Expected fall of the doubt about a sample from knowing whether a layer belongs to a generation.

    Parameters
    ----------
    one : Doubtful

    Returns
    -------
    array, layers × states
        Bits; 0 for slots and for all but the likeliest few generations of each layer. The answer 'yes' comes with the probability that
        the layer stands there, and leaves it no other state; 'no' forbids it that one.
    """
    layers, states = one.states.shape
    gains = np.zeros((layers, states))
    real = np.where(one.mates > 0, one.states, 0.0)
    asked = [
        (layer, int(state))
        for layer in range(layers)
        for state in np.argsort(-real[layer], kind="stable")[:ASKED]
        if 1e-6 < real[layer, state] < 1.0 - 1e-6
    ]
    if not asked:
        return gains
    emissions = np.repeat(one.chain.emission[None], 2 * len(asked), axis=0)
    for number, (layer, state) in enumerate(asked):
        kept = emissions[2 * number, layer, state]
        emissions[2 * number, layer] = 0.0
        emissions[2 * number, layer, state] = kept
        emissions[2 * number + 1, layer, state] = 0.0
    after = doubts(posteriors(one.chain, emissions), one.mates)
    for number, (layer, state) in enumerate(asked):
        chance = one.states[layer, state]
        gains[layer, state] = one.doubt - chance * after[2 * number] - (1.0 - chance) * after[2 * number + 1]
    return gains


def rule_on_layers(stands: Standing, found: list[Doubtful], sure: Mapping[str, float]) -> list[Suggestion]:
    """For each layer the ruling that would settle most.

    Parameters
    ----------
    stands : Standing
    found : list of Doubtful
    sure : mapping of str to float
        How surely each layer stands where it stands: the mate that is asked about is the surest, of its own class first.
    """
    result = []
    for one in found:
        gains = layer_gains(one)
        sample = stands.samples[one.sample]
        for position, layer in enumerate(sample.layers):
            state = int(np.argmax(gains[position]))
            if not gains[position, state] > 0.0:
                continue
            mate = _mate(stands, one, state, sure)
            chance = float(one.states[position, state])
            generation = stands.ordinals[int(one.generations[state // 2])]
            told = f"Is {layer.key} of one campaign with {mate} (generation {generation})? As things stand, {_percent(chance)}."
            result.append(Suggestion("layer", (layer.key, mate), (generation,), float(gains[position, state]), chance, told))
    return result


def _mate(stands: Standing, one: Doubtful, state: int, sure: Mapping[str, float]) -> str:
    kind = stands.samples[one.sample].element_class
    found = []
    for index in np.flatnonzero(one.others.place == state // 2).tolist():
        number = int(stands.problem.owner[index])
        layer = stands.samples[number].layers[index - stands.problem.bounds[number][0]]
        found.append((stands.samples[number].element_class != kind, -sure.get(layer.key, 0.0), layer.key))
    return min(found)[2]


def rule_on_joints(stands: Standing, distinctness: Mapping[int, float | None], sure: Mapping[str, float]) -> list[Suggestion]:
    """For each pair of neighbouring generations the ruling that would part or join them.

    Parameters
    ----------
    stands : Standing
    distinctness : mapping of int to float
        By ordinal, the probability that a generation is another campaign than the one below it, from the draws of the search.
    sure : mapping of str to float
        As in `rule_on_layers`: two sure layers are asked about.

    Notes
    -----
    All pairs of a layer of the one and a layer of the other, of different samples, are at issue, and the answer is taken to settle them
    all. The probability is the smaller of two: the share of draws in which their layers were of one campaign, which is never quite
    nothing, since single layers wander; and that which follows from weighing the two generations as wholes, which by itself is too bold.
    """
    result = []
    problem, arrangement = stands.problem, stands.arrangement
    keys = [layer.key for sample in stands.samples for layer in sample.layers]
    barred = {(one, other) for one, others in problem.constraints.barred.items() for other in others}
    held = {int(at) for at, name in zip(arrangement.anchors, problem.constraints.names, strict=True) if name}
    whole = _as_wholes(stands)
    for upper in range(1, arrangement.count):
        ordinal, below = stands.ordinals[upper], stands.ordinals[upper - 1]
        surely = distinctness.get(ordinal)
        if surely is None or ordinal != below + 1 or {upper, upper - 1} <= held:
            continue
        pairs = [
            (lower, higher)
            for lower in np.flatnonzero(arrangement.place == upper - 1).tolist()
            for higher in np.flatnonzero(arrangement.place == upper).tolist()
            if problem.owner[lower] != problem.owner[higher]
        ]
        if not pairs or barred & set(pairs):
            continue
        chance = min(1.0 - surely, float(whole[upper - 1, upper]))
        gain = len(pairs) * float(doubts(np.array([[chance]]), np.ones(1)))
        best = min(pairs, key=lambda pair: (-sure.get(keys[pair[0]], 0.0) * sure.get(keys[pair[1]], 0.0), pair))
        told = f"Are generations {below} and {ordinal} one campaign, say {keys[best[0]]} and {keys[best[1]]}?"
        told += f" As things stand, {_percent(chance)}."
        result.append(Suggestion("joint", (keys[best[0]], keys[best[1]]), (below, ordinal), gain, chance, told))
    return result


def _as_wholes(stands: Standing) -> Floats:
    """Probability that two generations, weighed as wholes, are one: generations × generations (older, newer)."""
    placed = stands.arrangement.place >= 0
    if not placed.all() or stands.arrangement.count < 2:
        return np.ones((stands.arrangement.count, stands.arrangement.count))
    gains = joining_gains(stands.problem, stands.arrangement, vote_sums(stands.problem, stands.arrangement))
    result: Floats = 1.0 / (1.0 + np.exp(-np.clip(gains, -500.0, 500.0)))
    return result


def _percent(share: float) -> str:
    return f"{int(share * 100 + 1e-9)} %"

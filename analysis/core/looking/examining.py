"""What an examination would be expected to settle: UV of a sample, pigments of a layer.

What would be seen is taken from what was seen in the space: a response (or a set of pigments) comes with the frequency it has there,
times what the model makes of it beside the mates of each generation. So the likelihoods are the model's own, and the expected
probabilities after the examination are those before it.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.alignment import draw
from analysis.core.correlation.evidence import hearing_of
from analysis.core.correlation.profile import combine, grouped
from analysis.core.correlation.standing import Standing
from analysis.core.correlation.values import Layer
from analysis.core.looking.doubt import Doubtful, doubts, posteriors
from analysis.core.looking.values import Suggestion

Floats = NDArray[np.float64]
SCENARIOS: Final = 48
COMMONEST: Final = 8  # different observations that are thought of
BLIND: Final = ("soiling", "void")


@dataclass(frozen=True, slots=True)
class Means:
    """A way of examining: its name, what of a layer it finds, how a finding is put on a layer, and its place among the features."""

    name: str
    finds: Callable[[Layer], Any]
    put: Callable[[Layer, Any], Layer]
    feature: int


UV: Final = Means(
    "UV",
    lambda layer: (layer.uv_colour, layer.uv_strength) if layer.uv_colour or layer.uv_strength else None,
    lambda layer, seen: replace(layer, uv_colour=seen[0], uv_strength=seen[1]),
    2,
)
PIGMENTS: Final = Means("pigments", lambda layer: layer.pigments or None, lambda layer, seen: replace(layer, pigments=seen), 3)


def lacking(stands: Standing, sample: int, means: Means) -> list[int]:
    """Places of the layers of a sample that were not examined so. Dirt and gaps are not counted."""
    layers = stands.samples[sample].layers
    return [at for at, layer in enumerate(layers) if means.finds(layer) is None and layer.kind not in BLIND]


def likelihoods(stands: Standing, one: Doubtful, means: Means) -> Floats | None:
    """Probability of each observation for the layers of a sample that lack it, by the state they would be in.

    Parameters
    ----------
    stands : Standing
    one : Doubtful
    means : Means

    Returns
    -------
    array, observations × layers × states, or None
        Over observations each sums to 1. None where fewer than two different ones were seen in the space.
    """
    seen = Counter(means.finds(layer) for sample in stands.samples for layer in sample.layers if means.finds(layer) is not None)
    likely = sorted(seen.items(), key=lambda item: (-item[1], str(item[0])))[:COMMONEST]
    if len(likely) < 2:
        return None
    blank = lacking(stands, one.sample, means)
    table = np.empty((len(likely), *one.states.shape))
    for number, (observation, count) in enumerate(likely):
        table[number] = count * _odds(stands, one, means, blank, observation)
    result: Floats = table / table.sum(axis=0)
    return result


def _odds(stands: Standing, one: Doubtful, means: Means, blank: Sequence[int], observation: Any) -> Floats:
    """What the model makes of an observation, were it made on every layer that lacks one: odds by layer and state."""
    sample = stands.samples[one.sample]
    layers = tuple(means.put(layer, observation) if at in set(blank) else layer for at, layer in enumerate(sample.layers))
    samples = [*stands.samples[: one.sample], replace(sample, layers=layers), *stands.samples[one.sample + 1 :]]
    hearing = hearing_of(samples, one.sample, stands.problem.parameters)
    sums = hearing.whole(grouped(hearing.said, one.others.place[hearing.heard], one.others.count), len(layers))
    single = np.zeros_like(sums)
    single[:, means.feature] = sums[:, means.feature]
    odds = np.ones(one.states.shape)
    odds[:, 1::2] = combine(stands.problem.parameters, single[0], single[1])
    return odds


def look_under_uv(stands: Standing, one: Doubtful) -> Suggestion | None:
    """What looking at a whole sample under UV would settle: the mean over scenarios drawn with a fixed seed."""
    blank = lacking(stands, one.sample, UV)
    table = likelihoods(stands, one, UV) if blank else None
    if table is None:
        return None
    random = np.random.default_rng(stands.problem.parameters.seed)
    emissions = np.repeat(one.chain.emission[None], SCENARIOS, axis=0)
    for scenario in range(SCENARIOS):
        states, _ = draw(one.chain, random.random(len(one.states)))
        for at in blank:
            chances = table[:, at, states[at]].cumsum()
            observed = min(int(np.searchsorted(chances, random.random() * chances[-1])), len(chances) - 1)
            emissions[scenario, at] *= table[observed, at]
    gain = one.doubt - float(doubts(posteriors(one.chain, emissions), one.mates).mean())
    sample = stands.samples[one.sample]
    told = f"Look at {sample.key} ({sample.element}, {sample.element_class}) under UV: {_many(len(blank))} not been seen so."
    return _suggestion(stands, one, "UV", blank, gain, told)


def pigment_gains(stands: Standing, one: Doubtful) -> dict[int, float]:
    """Expected fall of the doubt from knowing the pigments of each layer of a sample that lacks them, by its place."""
    blank = lacking(stands, one.sample, PIGMENTS)
    table = likelihoods(stands, one, PIGMENTS) if blank else None
    if table is None:
        return {}
    gains = {}
    for at in blank:
        emissions = np.repeat(one.chain.emission[None], len(table), axis=0)
        emissions[:, at] *= table[:, at]
        chances = table[:, at] @ one.states[at]
        gains[at] = one.doubt - float(chances @ doubts(posteriors(one.chain, emissions), one.mates))
    return gains


def examine_pigments(stands: Standing, one: Doubtful) -> list[Suggestion]:
    """What having the pigments of single layers examined would settle."""
    sample = stands.samples[one.sample]
    return [
        _suggestion(
            stands, one, "pigments", [at], gain,
            f"Have the pigments of {sample.layers[at].key} ({sample.element}, {sample.layers[at].kind}) examined.",
        )
        for at, gain in pigment_gains(stands, one).items()
    ]  # fmt: skip


def _suggestion(stands: Standing, one: Doubtful, kind: str, places: Sequence[int], gain: float, told: str) -> Suggestion:
    sample = stands.samples[one.sample]
    real = one.states[:, 1::2]
    likely = sorted({stands.ordinals[int(one.generations[int(np.argmax(real[at]))])] for at in places}) if real.size else []
    sure = float(np.mean([one.states[at].max() for at in places]))
    return Suggestion(kind, tuple(sample.layers[at].key for at in places), tuple(likely), max(0.0, gain), sure, told)


def _many(count: int) -> str:
    return "1 of its layers has" if count == 1 else f"{count} of its layers have"

"""Where to look next: which rulings and which examinations would be expected to settle most in a space.

The doubt about a sample is the entropy of 'the same generation', summed over all pairs of one of its layers and a layer of another sample,
with the forward-backward probabilities of the sample against the arrangement of all others
(:mod:`analysis.core.correlation`). A pair at even odds counts one bit, a sure one none. The gain of a question is by how much the doubt is
expected to fall: what each answer would leave, weighed by how probable it is. It is never below 0 but by rounding, and for UV, where
scenarios are drawn, by chance.

- *Layers*: is this layer of that generation? 'Yes' leaves the layer no other state, 'no' forbids it that one; all layers of the sample
  are weighed again, so that a question whose answer draws others along counts for more.
- *Joints*: are two neighbouring generations one campaign? The probability is that of the search's draws; the answer is taken to settle
  every pair of their layers, which is the most it could.
- *UV* of a whole sample, for the lamp shows all of it at once, and *pigments* of a single layer (:mod:`.examining`).

What it leaves out: the arrangement of the others is taken as it stands, so that what an answer would change in other samples is not
counted; neither is what UV would say about two films being of one campaign. Only the samples most in doubt are thought of for
examination.

References
----------
D. V. Lindley, "On a measure of the information provided by an experiment", Annals of Mathematical Statistics 27 (1956) 986-1005.
"""

from collections.abc import Mapping
from typing import Final

from analysis.core.correlation.standing import Standing
from analysis.core.looking.doubt import Doubtful, doubtful, doubts, posteriors
from analysis.core.looking.examining import examine_pigments, look_under_uv
from analysis.core.looking.rulings import layer_gains, rule_on_joints, rule_on_layers
from analysis.core.looking.values import KINDS, Looking, Suggestion

EXAMINED: Final = 6  # samples; each costs a comparison with all others for every observation that is thought of
LEAST: Final = 0.5  # bits; what would settle less than half a pair is not worth asking

__all__ = ["KINDS", "Doubtful", "Looking", "Suggestion", "doubtful", "doubts", "layer_gains", "look", "posteriors", "rule_on_joints"]


def look(stands: Standing, distinctness: Mapping[int, float | None], most: int = 10) -> Looking:
    """Rank what would settle most.

    Parameters
    ----------
    stands : Standing
        The space as it is correlated.
    distinctness : mapping of int to float
        By the ordinal of each generation the probability that it is another campaign than the one below it.
    most : int
        How many rulings, and how many examinations, are told at most.

    Returns
    -------
    Looking

    Notes
    -----
    Cost: a few hundredths of a second for every sample that is thought of for examination, less for the others.
    """
    filled = [number for number, (first, last) in enumerate(stands.problem.bounds) if last > first]
    found = [doubtful(stands.problem, stands.arrangement, number) for number in filled]
    sure = _sureness(stands, found)
    rulings = rule_on_layers(stands, found, sure) + rule_on_joints(stands, distinctness, sure)
    worst = sorted(found, key=lambda one: (-one.doubt, one.sample))[:EXAMINED]
    lit = [look_under_uv(stands, one) for one in worst]
    examinations = [one for one in lit if one is not None] + [one for sample in worst for one in examine_pigments(stands, sample)]
    return Looking(sum(one.doubt for one in found), _best(rulings, most), _best(examinations, most))


def _sureness(stands: Standing, found: list[Doubtful]) -> dict[str, float]:
    """How surely each layer stands where it is placed."""
    sure = {}
    for one in found:
        first = stands.problem.bounds[one.sample][0]
        numbers = one.generations.tolist()
        for position, layer in enumerate(stands.samples[one.sample].layers):
            place = int(stands.arrangement.place[first + position])
            sure[layer.key] = float(one.states[position, 2 * numbers.index(place) + 1]) if place in numbers else 0.0
    return sure


def _best(found: list[Suggestion], most: int) -> tuple[Suggestion, ...]:
    """The most to be gained first; of one sample and one generation only the best question, for the others ask about the same."""
    asked: set[tuple[str, ...]] = set()
    kept: list[Suggestion] = []
    for one in sorted(found, key=lambda each: (-each.gain, each.kind, each.layers)):
        if one.gain < LEAST or len(kept) == most:
            break
        about = _about(one)
        if about not in asked:
            asked.add(about)
            kept.append(one)
    return tuple(kept)


def _about(one: Suggestion) -> tuple[str, ...]:
    if one.kind == "layer":
        return (one.layers[0].rpartition("/")[0], str(one.generations[0]))
    return (one.kind, *one.layers)

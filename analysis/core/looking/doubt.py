"""How much is in doubt about one sample, and how much would be if something were known of it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.alignment import Chain
from analysis.core.correlation.profile import Arrangement, Problem, chain_for
from analysis.core.correlation.standing import without

Floats = NDArray[np.float64]
Integers = NDArray[np.int_]


@dataclass(frozen=True, slots=True)
class Doubtful:
    """One sample against the arrangement of all others.

    Attributes
    ----------
    sample : int
    others : Arrangement
    generations : array of int
        For each of the others' generations its number in the whole arrangement.
    chain : Chain
    states : array, layers × states
        Forward-backward probabilities.
    mates : array, states
        Layers of the other samples that stand in each state; none in a slot.
    """

    sample: int
    others: Arrangement
    generations: Integers
    chain: Chain
    states: Floats
    mates: Floats

    @property
    def doubt(self) -> float:
        """In bits; see `doubts`."""
        return float(doubts(self.states, self.mates))


def doubtful(problem: Problem, arrangement: Arrangement, sample: int) -> Doubtful:
    """Weigh one sample against the others.

    Parameters
    ----------
    problem : Problem
    arrangement : Arrangement
    sample : int
    """
    others, generations = without(problem, arrangement, sample)
    chain = chain_for(problem, sample, others)
    mates = np.zeros(2 * others.count + 1)
    mates[1::2] = np.bincount(others.place[others.place >= 0], minlength=others.count)
    return Doubtful(sample, others, generations, chain, posteriors(chain, chain.emission[None])[0], mates)


def doubts(states: Floats, mates: Floats) -> Floats:
    """Entropy of 'the same generation', summed over all pairs of a layer of the sample and one of another sample.

    Parameters
    ----------
    states : array, anything × layers × states
        Probability of each state for each layer.
    mates : array, states
        Layers of the other samples in each.

    Returns
    -------
    array, anything
        Bits: a pair at even odds counts 1, one that is sure 0.
    """
    sure = np.clip(states, 1e-12, 1.0 - 1e-12)
    entropy = -(sure * np.log2(sure) + (1.0 - sure) * np.log2(1.0 - sure))
    result: Floats = (entropy * mates).sum(axis=(-2, -1))
    return result


def posteriors(chain: Chain, emissions: Floats) -> Floats:
    """Forward-backward for one chain under many emissions at once.

    Parameters
    ----------
    chain : Chain
        Its own emission is not read.
    emissions : array, cases × layers × states

    Returns
    -------
    array, cases × layers × states
        As :func:`analysis.core.correlation.alignment.posterior` gives for each case; all 0 in a case that no path allows.
    """
    cases, layers, states = emissions.shape
    rows = np.empty((layers, cases, states))
    row = chain.begin * emissions[:, 0]
    for layer in range(layers):
        if layer:
            stay = chain.stay[layer]
            row = (stay * row + (1.0 - stay) * (row @ chain.advance)) * emissions[:, layer]
        row = row / np.maximum(row.sum(axis=1, keepdims=True), 1e-300)
        rows[layer] = row
    row = np.broadcast_to(chain.end, (cases, states))
    for layer in range(layers - 1, -1, -1):
        joint = rows[layer] * row
        rows[layer] = joint / np.maximum(joint.sum(axis=1, keepdims=True), 1e-300)
        if layer:
            lit = row * emissions[:, layer]
            stay = chain.stay[layer]
            row = stay * lit + (1.0 - stay) * (lit @ chain.advance.T)
            row = row / np.maximum(row.max(axis=1, keepdims=True), 1e-300)
    return rows.transpose(1, 0, 2)

"""One sample against a profile: the hidden Markov chain, its forward-backward probabilities, draws and best paths.

A profile of K generations has 2K + 1 states: slots and generations in turn, slot 0, generation 1, slot 1, … generation K,
slot K. A generation's state (odd index) says that the layer belongs to it; a slot's (even index) that the layer belongs to a generation
that no other sample shows and that lies there. From one layer to the next the chain either stays (one campaign) or advances:
from a slot the sample may show a generation of its own, or the next generation, or be without it and walk on; rarely it leaps
over any number at once (a stripping). In a slot an advance to the same slot is another own generation.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int_]


class Impossible(Exception):
    """No path of the sample keeps to all limits."""


@dataclass(frozen=True, slots=True)
class Chain:
    """A chain ready to run; all in probability space.

    Attributes
    ----------
    begin, end : array, states
    advance : array, states × states
        From, to. Never to a lower state; from a generation never to itself; from a slot also to itself.
    stay : array, layers
        Probability that the layer is of the campaign beneath; the first is not used.
    emission : array, layers × states
        Odds against the background; 0 where a ruling forbids the state.
    own : float
        Probability at each slot of a generation that no other sample shows.
    """

    begin: Floats
    advance: Floats
    end: Floats
    stay: Floats
    emission: Floats
    own: float = 0.0


def walk(shown: Floats, own: float, leap: float, begins_late: float, ends_early: float) -> tuple[Floats, Floats, Floats]:
    """Transitions for one sample.

    Parameters
    ----------
    shown : array of float, K
        Probability that an element of this class, being there, shows each generation.
    own : float
        Probability at each slot that the sample shows a generation of its own there.
    leap : float
        Probability that a step leaps over any number of generations as one event.
    begins_late, ends_early : float
        Probability that the sample does not reach down to the first, or up to the last, of what the element carried.

    Returns
    -------
    begin : array, 2K + 1
    advance : array, (2K + 1) × (2K + 1)
    end : array, 2K + 1
    """
    count = len(shown)
    passing = np.concatenate([[1.0], np.cumprod((1.0 - own) * (1.0 - shown))])
    reach = np.triu(passing[None, :] / passing[:, None])
    far = np.triu(np.ones((count + 1, count + 1))) / np.arange(count + 1, 0, -1)[:, None]

    def arrive(slots: Floats) -> Floats:
        states = np.empty((slots.shape[0], 2 * count + 1))
        states[:, 0::2] = own * slots
        states[:, 1::2] = (1.0 - own) * shown * slots[:, :count]
        return states

    from_slot = (1.0 - leap) * arrive(reach) + leap * arrive(far)
    advance = np.empty((2 * count + 1, 2 * count + 1))
    advance[0::2] = from_slot
    advance[1::2] = from_slot[1:]
    begin = (1.0 - begins_late) * arrive(reach[:1])[0] + begins_late * arrive(far[:1])[0]
    finish = (1.0 - ends_early) * (1.0 - own) * reach[:, -1] + ends_early / (count + 1)
    end = np.empty(2 * count + 1)
    end[0::2] = finish
    end[1::2] = finish[1:]
    return begin, advance, end


def forward(chain: Chain) -> tuple[Floats, float]:
    """Scaled forward probabilities (layers × states, each row summing to 1) and the logarithm of the total odds.

    Raises
    ------
    Impossible
        When every path is forbidden.
    """
    rows = np.empty_like(chain.emission)
    log_total = 0.0
    row = chain.begin * chain.emission[0]
    for layer in range(len(rows)):
        if layer:
            stay = chain.stay[layer]
            row = (stay * row + (1.0 - stay) * (row @ chain.advance)) * chain.emission[layer]
        total = row.sum()
        if not total > 0.0:
            raise Impossible
        log_total += float(np.log(total))
        row = row / total
        rows[layer] = row
    return rows, log_total + float(np.log(row @ chain.end))


def posterior(chain: Chain) -> Floats:
    """Probability of each state for each layer given all layers of the sample: forward-backward.

    Returns
    -------
    array, layers × states
        Rows sum to 1.

    References
    ----------
    Durbin, Eddy, Krogh & Mitchison, *Biological Sequence Analysis* (1998), section 3.2.
    """
    rows, _ = forward(chain)
    row = chain.end / chain.end.max()
    result = np.empty_like(rows)
    for layer in range(len(rows) - 1, -1, -1):
        joint = rows[layer] * row
        result[layer] = joint / joint.sum()
        if layer:
            lit = row * chain.emission[layer]
            stay = chain.stay[layer]
            row = stay * lit + (1.0 - stay) * (chain.advance @ lit)
            row = row / row.max()
    return result


def draw(chain: Chain, uniforms: Floats) -> tuple[Integers, NDArray[np.bool_]]:
    """Draw one path from the posterior, by drawing backwards through the forward probabilities.

    Parameters
    ----------
    chain : Chain
    uniforms : array of float, layers
        Numbers in 0..1.

    Returns
    -------
    states : array of int, layers
    stays : array of bool, layers
        Whether the layer stayed in the campaign of the one beneath; False for the first.
    """
    rows, _ = forward(chain)
    count = len(rows)
    states = np.empty(count, dtype=int)
    stays = np.zeros(count, dtype=bool)
    state = choose(rows[-1] * chain.end, uniforms[-1])
    states[-1] = state
    width = rows.shape[1]
    options = np.empty(width + 1)
    for layer in range(count - 1, 0, -1):
        stay = chain.stay[layer]
        np.multiply(rows[layer - 1], chain.advance[:, state], out=options[:width])
        options[:width] *= 1.0 - stay
        options[width] = stay * rows[layer - 1, state]
        chosen = choose(options, uniforms[layer - 1])
        if chosen == width:
            stays[layer] = True
        else:
            state = chosen
        states[layer - 1] = state
    return states, stays


def choose(weights: Floats, uniform: float) -> int:
    """Index drawn in proportion to the weights by a number in 0..1."""
    sums = weights.cumsum()
    # Shrunk a little so that rounding never reaches past the last weight that is not 0.
    return int(sums.searchsorted(uniform * sums[-1] * (1.0 - 1e-12), side="right"))


def best_path(gain: Floats, stay_gain: Floats, allowed: NDArray[np.bool_], cut: NDArray[np.bool_]) -> tuple[Integers, NDArray[np.bool_]]:
    """The path of greatest total gain: states never fall, and a stay in a slot may be worth something of its own.

    Parameters
    ----------
    gain : array, layers × states
    stay_gain : array, layers
        Added when a layer stays in the slot of the one beneath.
    allowed : array of bool, layers × states
    cut : array of bool, layers
        Whether the layer must leave the generation of the one beneath.

    Returns
    -------
    states, stays
        As for `draw`. Among equal paths the one with the lowest states, seen from the last layer, is taken.
    """
    count, width = gain.shape
    gain = np.where(allowed, gain, -np.inf)
    slots = np.arange(width) % 2 == 0
    score = gain[0]
    came = np.zeros((count, width), dtype=int)
    stayed = np.zeros((count, width), dtype=bool)
    for layer in range(1, count):
        top = np.maximum.accumulate(score)
        risen = np.concatenate([[True], score[1:] > top[:-1]])
        origin = np.maximum.accumulate(np.where(risen, np.arange(width), 0))
        before = np.concatenate([[-np.inf], top[:-1]])
        before_origin = np.concatenate([[0], origin[:-1]])
        advance = np.where(slots, top, before)
        advance_origin = np.where(slots, origin, before_origin)
        stay = np.full(width, -np.inf) if cut[layer] else np.where(slots, score + stay_gain[layer], score)
        stays = stay > advance
        came[layer] = np.where(stays, np.arange(width), advance_origin)
        stayed[layer] = stays
        score = np.where(stays, stay, advance) + gain[layer]
    states = np.empty(count, dtype=int)
    result = np.zeros(count, dtype=bool)
    state = int(np.argmax(score))
    for layer in range(count - 1, -1, -1):
        states[layer] = state
        if layer:
            result[layer] = stayed[layer, state]
            state = int(came[layer, state])
    return states, result

"""How far two readings of one paint lie apart in a space, learned from the space itself.

A careful study reads closer than a quick one, and what differs by three units says more there. Nobody knows yet which layers are of one
paint; but readings of one paint lie closer than chance, and how close chance brings two layers is told by layers within
one sample, which are of different campaigns for the most part. So the differences between samples are taken for a mixture: of one
paint, or of any two.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.colour import delta_e_2000
from analysis.core.correlation.parameters import Parameters

Floats = NDArray[np.float64]
Integers = NDArray[np.int_]

FARTHEST: Final = 12.0  # ΔE00 units: beyond, two readings are not of one paint, whatever the spread
ROUNDS: Final = 30


def learned_spread(
    lab: Floats, owner: Integers, classes: Integers, groups: Integers, apart: NDArray[np.bool_], parameters: Parameters
) -> float:
    """Spread of one reading: the standard deviation of its error along each axis of colour.

    Parameters
    ----------
    lab : array of float, layers × 3
        CIE L*a*b* of the layers that were read plainly; no NaN.
    owner, classes, groups : array of int, layers
        Sample, element class and kind of film. Only layers of one kind of film are compared, of one class or where classes
        usually agree.
    apart : array of bool, layers
        Whether the class often has a colour of its own.
    parameters : Parameters
        `reading_spread` is what is believed beforehand, with the weight of `reading_pairs` pairs.

    Returns
    -------
    float
        ΔE00 units, more than 0; `reading_spread` where there is nothing to learn from.

    Notes
    -----
    Differences of two readings with the same normal error along three axes follow Maxwell's distribution; the mixture is fitted by
    expectation and maximisation, the share of chance fixed as a histogram of one unit a bin.

    References
    ----------
    A. P. Dempster, N. M. Laird & D. B. Rubin, J. Royal Statistical Society B 39 (1977) 1-38.
    """
    first, second = np.triu_indices(len(lab), 1)
    alike = groups[first] == groups[second]
    within = alike & (owner[first] == owner[second]) & (second - first >= 2)
    kin = (classes[first] == classes[second]) | ~(apart[first] | apart[second])
    across = alike & (owner[first] != owner[second]) & kin
    used = np.flatnonzero(within | across)
    difference = delta_e_2000(lab[first[used]], lab[second[used]])
    between = difference[across[used]]
    if not len(between):
        return parameters.reading_spread
    bins = np.arange(0.0, 101.0)
    counts = np.histogram(difference[within[used]], bins)[0] + 0.3  # a little everywhere, so that no difference is impossible
    near = between[between < FARTHEST]
    chance = (counts / counts.sum())[near.astype(int)]
    square = near**2
    believed = 2.0 * parameters.reading_spread**2  # variance of the difference of two readings
    weight = 3.0 * parameters.reading_pairs
    variance, share = believed, 0.1
    for _ in range(ROUNDS):
        one_paint = share * np.sqrt(2.0 / np.pi) * square / variance**1.5 * np.exp(-0.5 * square / variance)
        belongs = one_paint / (one_paint + (1.0 - share) * chance)
        total = float(belongs.sum())
        variance = (float((belongs * square).sum()) + weight * believed) / (3.0 * total + weight)
        share = min(0.9, max(1e-3, total / len(between)))
    return float(np.sqrt(variance / 2.0))

"""Across spaces: generations of different spaces that look like one campaign, offered for a phase.

Each generation has a *face* on every element class of its space (:mod:`.faces`). Faces are compared as layers are within a space, by the
same model and parameters (:mod:`analysis.core.correlation`): a colour that is rare in the building says far more than one more white, the
same class more than another. Then the generations of one space are weighed as a path through those of the other, for campaigns come in one
order in both; phases that differ and bounds that do not meet forbid a pair. What is sure enough is put together, the surest first,
one generation of a space at most (:mod:`.joining`).

What it assumes: that the parameters found within spaces hold between them, and that spaces share about as many of their campaigns as the
elements of one space. What it gets wrong: schemes that one hand repeated in two rooms in different years; whites, of which it says little;
a campaign that gave every room colours of its own is found by UV and materials only, or not at all. So it offers, and joins nothing.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from analysis.core.campaigns.joining import join
from analysis.core.campaigns.reasons import Telling
from analysis.core.campaigns.values import Campaign, Facts, Pair, Space
from analysis.core.campaigns.weighing import Building, building, chances, looks
from analysis.core.correlation.parameters import Parameters

SURE: Final = 0.5  # as likely as not

__all__ = ["SURE", "Campaign", "Facts", "Pair", "Space", "building", "campaigns", "chances", "looks", "pairs_of"]


def campaigns(spaces: Sequence[Space], parameters: Parameters = Parameters(), sure: float = SURE, only: str = "") -> tuple[Campaign, ...]:  # noqa: B008
    """Find generations of different spaces that look like one campaign.

    Parameters
    ----------
    spaces : sequence of Space
        Of different numbers, in any order.
    parameters : Parameters
        Of the correlation.
    sure : float
        The probability from which a pair is told.
    only : str
        The number of a space: only pairs with a generation of it are looked for.

    Returns
    -------
    tuple of Campaign
        The surest first.

    Notes
    -----
    Cost: that of comparing every face with every other, about a second for twelve spaces of eight classes; with `only` the share of one
    space.
    """
    told = building(spaces)
    return join(_pairs(told, parameters, sure, only), dict(zip(told.keys, told.facts, strict=True)))


def pairs_of(spaces: Sequence[Space], parameters: Parameters = Parameters(), sure: float = SURE, only: str = "") -> list[Pair]:  # noqa: B008
    """The pairs of generations that are sure enough, each with what it shares.

    Parameters
    ----------
    spaces : sequence of Space
    parameters : Parameters
    sure : float
    only : str
        As in `campaigns`.
    """
    return _pairs(building(spaces), parameters, sure, only)


def _pairs(told: Building, parameters: Parameters, sure: float, only: str) -> list[Pair]:
    odds = looks(told, parameters, only)
    telling = Telling(told)
    found = []
    numbers = sorted(told.spans)
    for first in numbers:
        for second in numbers:
            if (first == only and second != first) or (not only and first < second):
                table = chances(told, odds, first, second, parameters)
                for low, high in np.argwhere(table >= sure).tolist():
                    one, other = told.spans[first].start + low, told.spans[second].start + high
                    keys = told.keys[one], told.keys[other]
                    found.append(Pair(*keys, float(table[low, high]), float(odds[one, other]), telling.of(one, other)))
    return found

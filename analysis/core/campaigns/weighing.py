"""How surely two generations of different spaces are one campaign: their looks, then the order of all."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.core.campaigns.faces import faces
from analysis.core.campaigns.values import Facts, Key, Space
from analysis.core.correlation.alignment import Chain, posterior, walk
from analysis.core.correlation.evidence import FEATURES, hearings_of
from analysis.core.correlation.parameters import Parameters
from analysis.core.correlation.profile import combine, grouped, unseen
from analysis.core.correlation.values import Sample

Floats = NDArray[np.float64]
Integers = NDArray[np.int_]
COLOUR = (0, 1)
POT = tuple(range(2, FEATURES - 1))  # UV, pigments, binder, texture: what was in the pot; the kind of film says nothing across spaces


@dataclass(frozen=True, slots=True)
class Building:
    """The faces of all spaces, and the generations that they belong to.

    Attributes
    ----------
    keys : tuple
        Every generation that shows something, space by space, oldest first.
    facts : tuple of Facts
        Of each.
    spans : dict of str to slice
        Where the generations of each space stand among them.
    faces : tuple of Sample
    place : array of int
        For each layer of the faces its generation.
    """

    keys: tuple[Key, ...]
    facts: tuple[Facts, ...]
    spans: Mapping[str, slice]
    faces: tuple[Sample, ...]
    place: Integers


def building(spaces: Sequence[Space]) -> Building:
    """Gather the faces of all spaces.

    Parameters
    ----------
    spaces : sequence of Space
        Of different numbers, in any order.
    """
    keys: list[Key] = []
    facts: list[Facts] = []
    spans: dict[str, slice] = {}
    shown: list[Sample] = []
    for space in sorted(spaces, key=lambda one: one.number):
        some = faces(space)
        ordinals = sorted({int(layer.key) for sample in some for layer in sample.layers})
        spans[space.number] = slice(len(keys), len(keys) + len(ordinals))
        keys += [(space.number, ordinal) for ordinal in ordinals]
        facts += [space.facts.get(ordinal, Facts()) for ordinal in ordinals]
        shown += some
    number = {key: at for at, key in enumerate(keys)}
    place = [number[sample.key.partition("\n")[0], int(layer.key)] for sample in shown for layer in sample.layers]
    return Building(tuple(keys), tuple(facts), spans, tuple(shown), np.array(place, dtype=int))


def looks(told: Building, parameters: Parameters, only: str = "") -> Floats:
    """Log odds, from their looks alone, that two generations are one campaign.

    Parameters
    ----------
    told : Building
    parameters : Parameters
        Of the correlation: what a colour, a UV response, a pigment is worth within a space is taken for what it is worth between spaces.
    only : str
        The number of a space: the odds of its generations only, the rest stays 0.

    Returns
    -------
    array, generations × generations
        Symmetric unless `only` is given. Colours of different classes are added; what was in the pot is one observation however many
        classes show it, so its mean over the classes counts.
    """
    count = len(told.keys)
    parameters = replace(parameters, listens_to=len(told.faces) + 1)
    colour, pot, classes = np.zeros((count, count)), np.zeros((count, count)), np.zeros(count)
    edges = np.concatenate([[0], np.cumsum([len(sample.layers) for sample in told.faces])]).astype(int)
    numbers = [at for at, sample in enumerate(told.faces) if not only or sample.key.partition("\n")[0] == only]
    for number, hearing in zip(numbers, hearings_of(told.faces, numbers, parameters), strict=True):
        own = told.place[edges[number] : edges[number + 1]]
        sums = hearing.whole(grouped(hearing.said, told.place[hearing.heard], count), len(own))
        colour[own] += _part(parameters, sums, COLOUR)
        pot[own] += _part(parameters, sums, POT)
        classes[own] += 1.0
    result: Floats = colour + pot / np.maximum(classes, 1.0)[:, None]
    return result if only else (result + result.T) / 2.0


def _part(parameters: Parameters, sums: Floats, features: tuple[int, ...]) -> Floats:
    some = np.zeros_like(sums)
    some[:, list(features)] = sums[:, list(features)]
    result: Floats = np.log(combine(parameters, some[0], some[1]))
    return result


def chances(told: Building, odds: Floats, first: str, second: str, parameters: Parameters) -> Floats:
    """Probability of each pair of generations of two spaces, by forward-backward over both orders.

    Parameters
    ----------
    told : Building
    odds : array, generations × generations
        Log odds of their looks.
    first, second : str
        Numbers of the spaces.
    parameters : Parameters

    Returns
    -------
    array, generations of the first × those of the second
        The mean of weighing the first against the second and the other way about. Rows and columns sum to 1 at most: what is wanting is
        the chance that the other space was left out. 0 where phases differ or bounds do not meet.
    """
    one, other = told.spans[first], told.spans[second]
    may = np.array([[_may_be_one(low, high) for high in told.facts[other]] for low in told.facts[one]])
    block = np.where(may, np.exp(np.clip(odds[one, other], -50.0, 50.0)), 0.0)
    result: Floats = (_against(block, parameters) + _against(block.T, parameters).T) / 2.0
    return result


def _against(block: Floats, parameters: Parameters) -> Floats:
    """One space's generations as a path through the other's; no two of them in one."""
    rows, columns = block.shape
    if not rows or not columns:
        return np.zeros(block.shape)
    shown = np.full(columns, parameters.occupancy_shown / (parameters.occupancy_shown + parameters.occupancy_left_out))
    own = min(0.4, parameters.own_generation * unseen(1, parameters))
    begin, advance, end = walk(shown, own, parameters.stripping, parameters.begins_late_unknown, parameters.ends_early_unknown)
    emission = np.ones((rows, 2 * columns + 1))
    emission[:, 1::2] = block
    return posterior(Chain(begin, advance, end, np.zeros(rows), emission, own))[:, 1::2]


def _may_be_one(first: Facts, second: Facts) -> bool:
    if first.phase is not None and second.phase is not None and first.phase != second.phase:
        return False
    low = max((year for year in (first.earliest, second.earliest) if year is not None), default=None)
    high = min((year for year in (first.latest, second.latest) if year is not None), default=None)
    return low is None or high is None or low <= high

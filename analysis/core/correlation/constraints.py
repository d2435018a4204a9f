"""Rulings as limits on where a layer may stand.

Layers that ties, holds and the order force into one generation form an *anchor*: that generation exists from the start and the
layers of the anchor may stand nowhere else. A bar forbids a layer the generation of the other; a bar within one sample
forbids the two to share a generation by a *cut* at one step between them.
"""

import itertools
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.core import rulings as ruling_checks
from analysis.core.correlation.values import ContradictoryRulings, Ruling, Sample

Integers = NDArray[np.int_]


@dataclass(frozen=True, slots=True)
class Constraints:
    """What rulings leave open, by index of layers in canonical order.

    Attributes
    ----------
    anchor : array of int, layers
        Index of the layer's anchor, -1 for none. Anchors are numbered in an order that all rulings allow, oldest first.
    names : tuple of str
        For each anchor the key of the held generation, or an empty string.
    barred : dict of int to tuple of int
        For a layer, those of other samples whose generation it may not share.
    cut : array of bool, layers
        Whether the layer must stand in a later generation than the one beneath it.
    """

    anchor: Integers
    names: tuple[str, ...]
    barred: dict[int, tuple[int, ...]]
    cut: NDArray[np.bool_]


def read_rulings(
    samples: Sequence[Sample], given: Sequence[Ruling], order: Sequence[str], stay: NDArray[np.float64], depth: NDArray[np.float64]
) -> Constraints:
    """Turn rulings into limits.

    Parameters
    ----------
    samples : sequence of Sample
        In canonical order.
    given : sequence of Ruling
    order : sequence of str
        Keys of generations, oldest first.
    stay : array of float, layers
        Probability that a layer is of the campaign of the one beneath it: a cut goes where that is least likely.
    depth : array of float, layers
        A guess at how far up each layer stands, on any scale: anchors that rulings leave in any order are ordered by it.

    Raises
    ------
    ContradictoryRulings
        When the rulings cannot all be obeyed.
    analysis.core.rulings.RulingError
        When a ruling cannot be read.
    """
    columns = [[layer.key for layer in sample.layers] for sample in samples]
    checked = [ruling_checks.Ruling(one.key, one.kind, one.first, one.second, one.generation) for one in sorted(given, key=lambda r: r.key)]
    clash = ruling_checks.find_contradiction(columns, checked, order)
    if clash is not None:
        raise ContradictoryRulings(clash.chain, clash.sentence)
    index = {key: number for number, key in enumerate(key for column in columns for key in column)}
    owner = [number for number, column in enumerate(columns) for _ in column]
    held = {one.first: one.generation for one in checked if one.kind == "hold"}
    groups = list(ruling_checks.forced_together(columns, checked, order))
    together = {key for group in groups for key in group}
    groups += [(key,) for key in sorted(held) if key not in together]
    names = [next((held[key] for key in group if key in held), "") for group in groups]
    height = [round(float(np.mean([depth[index[key]] for key in group])), 9) for group in groups]
    ranks = _ranks(groups, names, columns, order, height)
    anchor = np.full(len(index), -1)
    for rank, group_number in enumerate(ranks):
        for key in groups[group_number]:
            anchor[index[key]] = rank
    bars = sorted({tuple(sorted((index[one.first], index[one.second]))) for one in checked if one.kind == "bar"})
    barred: dict[int, list[int]] = defaultdict(list)
    cut = np.zeros(len(index), dtype=bool)
    for lower, upper in bars:
        if owner[lower] != owner[upper]:
            barred[lower].append(upper)
            barred[upper].append(lower)
        elif not cut[lower + 1 : upper + 1].any():
            steps = [step for step in range(lower + 1, upper + 1) if anchor[step] < 0 or anchor[step] != anchor[step - 1]]
            cut[min(steps, key=lambda step: (stay[step], step))] = True
    return Constraints(anchor, tuple(names[number] for number in ranks), {key: tuple(value) for key, value in barred.items()}, cut)


def _ranks(
    groups: list[tuple[str, ...]], names: list[str], columns: list[list[str]], order: Sequence[str], height: list[float]
) -> list[int]:
    """Groups from oldest to newest: a topological order, the lowest first where several may come next."""
    group_of = {key: number for number, group in enumerate(groups) for key in group}
    later: dict[int, set[int]] = defaultdict(set)
    chains = [[group_of[key] for key in column if key in group_of] for column in columns]
    chains.append([names.index(key) for key in order if key in names])
    for chain in chains:
        for lower, upper in itertools.pairwise(chain):
            if lower != upper:
                later[lower].add(upper)
    waiting = [sum(number in after for after in later.values()) for number in range(len(groups))]
    ranks: list[int] = []
    while len(ranks) < len(groups):
        ready = min((number for number in range(len(groups)) if waiting[number] == 0), key=lambda number: (height[number], groups[number]))
        ranks.append(ready)
        waiting[ready] = -1
        for number in later[ready]:
            waiting[number] -= 1
    return ranks

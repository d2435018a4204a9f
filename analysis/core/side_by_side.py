"""Two stacks of layers of one section, one read from a picture and one entered by a person: which layer is which."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from analysis.core.colour import delta_e_2000

Triple = tuple[float, float, float]
# What a layer costs that only one of the stacks has. Two layers are told to be one where that costs less than to leave both alone.
ALONE: Final = 0.35
# The colour difference at which a colour says nothing for two layers being one; without a target, at twice as much.
FAR: Final = 20.0
# Thicknesses that differ by a factor of so much say nothing for it.
FACTOR: Final = 4.0
# What is not known on one side says this much against, as much as a doubtful likeness.
UNKNOWN: Final = 0.5
# By how much less a stack turned round must cost to have been read from the surface down, and of how many layers it must be.
AGAINST: Final = 0.8
FEWEST: Final = 3


@dataclass(frozen=True, slots=True)
class Seen:
    """A layer: its thickness in µm and L*a*b* (D65, 2°), each None where it is not known, and whether the colour was measured."""

    thickness_um: float | None
    lab: Triple | None
    calibrated: bool = True


def match(read: Sequence[Seen], standing: Sequence[Seen], fixed: Mapping[int, int]) -> list[int | None]:
    """Say which standing layer each read one is, in order.

    Parameters
    ----------
    read, standing : sequence of Seen
        From the substrate to the surface.
    fixed : mapping of int to int
        Places in `read` (from 0) whose place in `standing` is known; both rise together.

    Returns
    -------
    list of int or None
        For each read layer its place in `standing`, rising; None for one that stands there not. Of all ways that keep the order and what is
        fixed, the one with the least cost: the unlikeness (0 to 1) of those told to be one, and 0.35 for each that stays alone.

    Raises
    ------
    ValueError
        If what is fixed does not rise, or names no layer.

    Notes
    -----
    Global alignment by dynamic programming (S. B. Needleman, C. D. Wunsch, J. Mol. Biol. 48, 1970, 443–453). Cost n × m.
    """
    pairs = sorted(fixed.items())
    if any(not (0 <= place < len(read) and 0 <= other < len(standing)) for place, other in pairs):
        raise ValueError("What is fixed names a layer that there is not.")
    if any(one[1] >= other[1] for one, other in pairwise(pairs)):
        raise ValueError("What is fixed does not rise.")
    found: list[int | None] = [None] * len(read)
    low, lowest = 0, 0
    for place, other in [*pairs, (len(read), len(standing))]:
        for mine, its in _between(read[low:place], standing[lowest:other]):
            found[low + mine] = lowest + its
        if place < len(read):
            found[place] = other
        low, lowest = place + 1, other + 1
    return found


def unlikeness(one: Seen, other: Seen) -> float:
    """How unlike two layers are, 0 (nothing speaks against their being one) to 1."""
    colour = UNKNOWN
    if one.lab is not None and other.lab is not None:
        far = FAR if one.calibrated and other.calibrated else 2 * FAR
        colour = min(float(delta_e_2000(one.lab, other.lab)) / far, 1.0)
    thickness = UNKNOWN
    if one.thickness_um and other.thickness_um:
        thickness = min(abs(math.log(one.thickness_um / other.thickness_um)) / math.log(FACTOR), 1.0)
    return (2 * colour + thickness) / 3


def runs_against(read: Sequence[Seen], standing: Sequence[Seen]) -> bool:
    """Say whether a stack was read from the surface down: turned round it is plainly more like the one that stands.

    Parameters
    ----------
    read, standing : sequence of Seen
        From the substrate to the surface, as far as is known.

    Returns
    -------
    bool
        Never where one of them has fewer than three layers, or where little is known of the standing ones.
    """
    if min(len(read), len(standing)) < FEWEST:
        return False
    as_read, turned = (_costs(way, standing)[-1][-1] for way in (read, list(reversed(read))))
    return as_read - turned > AGAINST


def _between(read: Sequence[Seen], standing: Sequence[Seen]) -> list[tuple[int, int]]:
    """Pairs of the cheapest alignment; where two cost the same, layers are rather told to be one."""
    cost = _costs(read, standing)
    pairs = []
    row, column = len(read), len(standing)
    while row and column:
        here = cost[row][column]
        if here == cost[row - 1][column - 1] + unlikeness(read[row - 1], standing[column - 1]):
            row, column = row - 1, column - 1
            pairs.append((row, column))
        elif here == cost[row - 1][column] + ALONE:
            row -= 1
        else:
            column -= 1
    return pairs[::-1]


def _costs(read: Sequence[Seen], standing: Sequence[Seen]) -> list[list[float]]:
    """The least cost of aligning the first so many layers of each."""
    cost = [[ALONE * column for column in range(len(standing) + 1)]]
    for row, mine in enumerate(read):
        line = [ALONE * (row + 1)]
        for column, its in enumerate(standing):
            together = cost[row][column] + unlikeness(mine, its)
            line.append(min(together, cost[row][column + 1] + ALONE, line[column] + ALONE))
        cost.append(line)
    return cost

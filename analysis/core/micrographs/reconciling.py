"""Several lines across one section made one stack.

Layers are aligned in order (Needleman & Wunsch 1970), line by line, to the mean of those aligned before; then each line once more to all
others. A pair is scored by the logarithm of how much likelier its differences in colour, UV, thickness and relative depth are within one
layer than between two of the section; a layer left out costs as much as a pair that is half as likely.

References
----------
S. B. Needleman and C. D. Wunsch, "A general method applicable to the search for similarities in the amino acid sequence of two proteins",
Journal of Molecular Biology 48 (1970) 443-453.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.colour import delta_e_2000
from analysis.core.micrographs.pictures import Floats
from analysis.core.micrographs.proposals import ConsensusLayer, ProposedLayer, Reading, Reconciled
from analysis.core.micrographs.values import MicrographRefused

# How far two readings of one layer differ (standard deviations): ΔE00 in both lights, thickness as a natural logarithm, depth as a share of
# the stack. Paint is uneven: common practice, from memory.
_COLOUR: Final = 3.0
_UV: Final = 5.0
_THICKNESS: Final = 0.5
_DEPTH: Final = 0.12
_PAIR: Final = 3.0  # what a perfect pair is worth
_LEFT_OUT: Final = -1.2
# What the odds that a layer is there are multiplied with for each line that should show it and does not: broken there, or missed.
_ABSENT: Final = 0.4
# A line is told to run the other way where that is so much likelier (natural logarithm of the odds), and where both have so many layers: of
# two, each is often as like the one as the other.
_TURNED_ODDS: Final = 6.0
_TURNED_LAYERS: Final = 3

Columns = list[list[int | None]]


def reconcile(readings: Sequence[Reading], names: Sequence[str] = ()) -> Reconciled:
    """Align the layers of several lines on one section, in order.

    Parameters
    ----------
    readings : sequence of Reading
        At least two.
    names : sequence of str
        What people call each line, for the sentences; from 1 where none is given.

    Returns
    -------
    Reconciled

    Raises
    ------
    MicrographRefused
        If there are fewer than two, or one has no layer.

    Notes
    -----
    A line tells nothing of layers below its first or above its last: they count neither for nor against. Cost: a few hundredths of a
    second.
    """
    if len(readings) < 2:
        raise MicrographRefused("One line has nothing to be reconciled with: read another on the same section.")
    names = list(names) or [str(number + 1) for number in range(len(readings))]
    for name, reading in zip(names, readings, strict=True):
        if not reading.layers:
            raise MicrographRefused(f"Line {name} has no layer: set its boundaries, or leave it out.")
    stacks = [reading.layers for reading in readings]
    order = sorted(range(len(stacks)), key=lambda number: (-len(stacks[number]), number))
    columns: Columns = [[None] * len(stacks) for _ in stacks[order[0]]]
    for at, column in enumerate(columns):
        column[order[0]] = at
    for number in order[1:]:
        columns = _joined(columns, stacks, number)
    for number in order:
        without = [[None if line == number else member for line, member in enumerate(column)] for column in columns]
        columns = _joined([column for column in without if any(member is not None for member in column)], stacks, number)
    spans = [_span(columns, number) for number in range(len(stacks))]
    layers = tuple(_consensus(at, column, stacks, spans, names) for at, column in enumerate(columns))
    agreement = float(np.mean([layer.agreement for layer in layers]))
    broken = sum(bool(layer.broken) for layer in layers)
    sentence = f"{len(stacks)} lines show {len(layers)} layers together; " + (
        "every line shows every layer that it reaches." if not broken else f"not in every line that reaches so far: {broken}."
    )
    said = dict.fromkeys(_against(stacks, order[0], names))
    said |= dict.fromkeys(caution for reading in readings for caution in reading.cautions if caution.startswith("Colours are"))
    return Reconciled(layers, round(agreement, 3), sentence, tuple(said))


def _depths(stack: Sequence[ProposedLayer]) -> Floats:
    low, high = stack[0].from_px, stack[-1].to_px
    return np.array([((layer.from_px + layer.to_px) / 2 - low) / (high - low) for layer in stack])


def _worth(column: Sequence[int | None], stacks: Sequence[Sequence[ProposedLayer]], number: int) -> Floats:
    """What it is worth to pair each layer of a line with a column: the mean over the layers that stand there."""
    own = stacks[number]
    rows = []
    for line, member in enumerate(column):
        if member is None:
            continue
        other = stacks[line][member]
        worth: Floats = _PAIR - 0.5 * (delta_e_2000([layer.lab for layer in own], other.lab) / _COLOUR) ** 2
        glows = [layer.uv_lab for layer in own if layer.uv_lab is not None]
        if other.uv_lab is not None and glows:
            worth = worth - 0.5 * (delta_e_2000(glows, other.uv_lab) / _UV) ** 2
        ratio = np.log([(layer.to_px - layer.from_px) / (other.to_px - other.from_px) for layer in own])
        if other.thickness_um is not None and own[0].thickness_um is not None:
            ratio = np.log([(layer.thickness_um or 1.0) / other.thickness_um for layer in own])
        worth = worth - 0.5 * (ratio / _THICKNESS) ** 2
        worth = worth - 0.5 * ((_depths(own) - _depths(stacks[line])[member]) / _DEPTH) ** 2
        # However unlike one thing is, another layer between is no more than so much likelier.
        rows.append(np.maximum(worth, -8.0))
    return np.asarray(np.mean(rows, axis=0))


def _against(stacks: Sequence[Sequence[ProposedLayer]], longest: int, names: Sequence[str]) -> list[str]:
    """Which lines seem to have been drawn the other way than that with most layers: turned round they agree plainly better with it."""
    columns: Columns = [[at] for at in range(len(stacks[longest]))]
    found = []
    for number, stack in enumerate(stacks):
        if number == longest or min(len(stack), len(stacks[longest])) < _TURNED_LAYERS:
            continue
        as_drawn, turned = (
            _aligned(np.array([_worth(column, (stacks[longest], way), 1) for column in columns]))[0] for way in (stack, turned_round(stack))
        )
        if turned > max(as_drawn, 0.0) + _TURNED_ODDS:
            found.append(
                f"Line {names[number]} seems to run against line {names[longest]}: turned round it shows the same layers. Both must lead "
                "from the substrate to the surface; draw the one that does not anew."
            )
    return found


def turned_round(stack: Sequence[ProposedLayer]) -> list[ProposedLayer]:
    """The layers as a line drawn from the other end shows them."""
    return [replace(layer, from_px=-layer.to_px, to_px=-layer.from_px) for layer in reversed(stack)]


def _joined(columns: Columns, stacks: Sequence[Sequence[ProposedLayer]], number: int) -> Columns:
    """The columns with a line's layers put in, in order."""
    _, came = _aligned(np.array([_worth(column, stacks, number) for column in columns]))
    joined: Columns = []
    a, b = len(came) - 1, len(came[0]) - 1
    while a or b:
        way = int(came[a, b])
        column: list[int | None] = list(columns[a - 1]) if way != 2 else [None] * len(stacks)
        if way != 1:
            column[number] = int(b) - 1
        joined.append(column)
        a, b = a - int(way != 2), b - int(way != 1)
    return joined[::-1]


def _aligned(worth: Floats) -> tuple[float, NDArray[np.int_]]:
    """What the best alignment is worth, and by which way each place of it is come to: 0 a pair, 1 and 2 one left out."""
    rows, own = worth.shape
    best = np.zeros((rows + 1, own + 1))
    # What lies below the first or above the last of either costs half: a line may begin or end inside the stack.
    best[1:, 0] = _LEFT_OUT / 2 * np.arange(1, rows + 1)
    best[0, 1:] = _LEFT_OUT / 2 * np.arange(1, own + 1)
    came = np.zeros((rows + 1, own + 1), dtype=int)
    came[1:, 0], came[0, 1:] = 1, 2
    for a in range(1, rows + 1):
        for b in range(1, own + 1):
            ways = (
                best[a - 1, b - 1] + worth[a - 1, b - 1],
                best[a - 1, b] + (_LEFT_OUT / 2 if b == own else _LEFT_OUT),
                best[a, b - 1] + (_LEFT_OUT / 2 if a == rows else _LEFT_OUT),
            )
            came[a, b] = int(np.argmax(ways))
            best[a, b] = ways[came[a, b]]
    return float(best[rows, own]), came


def _span(columns: Columns, number: int) -> tuple[int, int]:
    there = [at for at, column in enumerate(columns) if column[number] is not None]
    return there[0], there[-1]


def _consensus(
    at: int,
    column: Sequence[int | None],
    stacks: Sequence[Sequence[ProposedLayer]],
    spans: Sequence[tuple[int, int]],
    names: Sequence[str],
) -> ConsensusLayer:
    members = [stacks[line][member] for line, member in enumerate(column) if member is not None]
    broken = tuple(line for line, member in enumerate(column) if member is None and spans[line][0] < at < spans[line][1])
    labs = np.array([layer.lab for layer in members])
    apart = delta_e_2000(labs[:, None], labs[None, :])
    middle = int(np.argmin(apart.sum(axis=1)))
    thick = [layer.thickness_um for layer in members if layer.thickness_um is not None]
    odds = 1.0
    for layer in members:
        odds *= 1.0 / max(1.0 - layer.confidence, 0.01)
    sure = 1.0 - 1.0 / odds
    sure = sure * _ABSENT ** len(broken) / (sure * _ABSENT ** len(broken) + 1.0 - sure) if broken else sure
    sentence = f"Layer {at + 1}: in {len(members)} of {len(members) + len(broken)} lines that reach it"
    if thick:
        sentence += f", {min(thick):.0f} to {max(thick):.0f} µm" if max(thick) - min(thick) >= 1 else f", {np.median(thick):.0f} µm"
    if broken:
        sentence += f"; broken or missed in line {', '.join(names[line] for line in broken)}"
    return ConsensusLayer(
        number=at + 1,
        members=tuple(None if member is None else member + 1 for member in column),
        broken=broken,
        thickness_um=round(float(np.median(thick)), 2) if thick else None,
        thinnest_um=min(thick) if thick else None,
        thickest_um=max(thick) if thick else None,
        lab=members[middle].lab,
        spread=round(float(apart[middle].max()), 2),
        uv_colour=_commonest([layer.uv_colour for layer in members]),
        uv_strength=_commonest([layer.uv_strength for layer in members]),
        agreement=round(len(members) / (len(members) + len(broken)), 3),
        confidence=round(sure, 3),
        sentence=sentence + ".",
    )


def _commonest(words: Sequence[str]) -> str:
    said = [word for word in words if word]
    return max(dict.fromkeys(said), key=said.count) if said else ""

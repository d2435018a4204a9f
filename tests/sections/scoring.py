"""What was read of an invented section against what is there.

A boundary *counts* if its step is at least 2 ΔE00 in the visible or in the UV picture, the line crosses it, and none of the films that it
bounds is broken over a third to two thirds of the strip (what is there then is a matter of taste). It is *found* if a proposed one lies
within 2 px or 3 µm, whichever is more. A proposed boundary is *false* if no true one, counting or not, lies that near. A layer counts if
it is thicker than 8 px along the line and both its boundaries count; it is right if both are found.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from tests.sections.stacks import Crossing, Section

NEAR_PX: Final = 2.0
NEAR_UM: Final = 3.0
LEAST_STEP: Final = 2.0
THICK_PX: Final = 8.0


@dataclass(frozen=True)
class Score:
    """Of one reading: `found` and `missed` hold the true boundaries that count, `false` the places of proposed ones that are none."""

    found: tuple[Crossing, ...]
    missed: tuple[Crossing, ...]
    false: tuple[float, ...]
    proposed: int
    layers: int
    layers_right: int
    offs: tuple[float, ...]


def visible_truth(section: Section, truth: Sequence[Crossing]) -> list[bool]:
    """Which boundaries count."""
    doubtful = set()
    for number in range(len(section.films)):
        if 1 / 3 < section.shown(number) < 2 / 3:
            doubtful |= {number, number + 1}
    return [
        number not in doubtful and max(one.delta_e, one.uv_delta_e) >= LEAST_STEP and 0 <= one.at_px <= section.length_px
        for number, one in enumerate(truth)
    ]


def score(section: Section, truth: Sequence[Crossing], places: Sequence[float]) -> Score:
    """Match proposed places (px along the line) to true ones, nearest first, each once."""
    near = max(NEAR_PX, NEAR_UM / section.um_per_px)
    pairs = sorted((abs(place - one.at_px), a, b) for a, place in enumerate(places) for b, one in enumerate(truth))
    of_place: dict[int, int] = {}
    of_truth: dict[int, int] = {}
    for off, a, b in pairs:
        if off <= near and a not in of_place and b not in of_truth:
            of_place[a], of_truth[b] = b, a
    counts = visible_truth(section, truth)
    thick = [number for number in range(len(truth) - 1) if truth[number + 1].at_px - truth[number].at_px > THICK_PX]
    layers = [number for number in thick if counts[number] and counts[number + 1]]
    return Score(
        tuple(one for number, one in enumerate(truth) if counts[number] and number in of_truth),
        tuple(one for number, one in enumerate(truth) if counts[number] and number not in of_truth),
        tuple(place for number, place in enumerate(places) if number not in of_place),
        len(places),
        len(layers),
        sum(number in of_truth and number + 1 in of_truth for number in layers),
        tuple(places[a] - truth[b].at_px for b, a in of_truth.items() if counts[b]),
    )

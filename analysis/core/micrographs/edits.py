"""What a person does to a reading: boundaries moved, set and removed. Colours and thicknesses follow from the profile that it keeps."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

import numpy as np

from analysis.core.micrographs.boundaries import described, in_light, signal_of
from analysis.core.micrographs.edges import BREADTH, SPREADS, Edge, misfits, window_of
from analysis.core.micrographs.proposals import Boundary, Reading
from analysis.core.micrographs.stacking import assembled
from analysis.core.micrographs.values import MicrographRefused

SAME_PX: Final = 0.05
LEAST_PX: Final = 1.0
BY_HAND_ERROR_PX: Final = 1.0  # a hand places to about a pixel


def place_boundaries(reading: Reading, at_px: Sequence[float]) -> Reading:
    """The reading with its boundaries where a person put them, whatever was found.

    Parameters
    ----------
    reading : Reading
    at_px : sequence of float
        Along the line, rising, at least two, 1 px or more apart. One within 0.05 px of a boundary that was found is that boundary.

    Returns
    -------
    Reading
        What lies below the first and above the last boundary becomes an end where it is at least 3 px of the line.

    Raises
    ------
    MicrographRefused
        If they are fewer than two, do not rise, lie closer than 1 px, or where there is no picture.
    """
    places = [float(place) for place in at_px]
    if len(places) < 2 or not np.isfinite(places).all():
        raise MicrographRefused("A layer lies between two boundaries: set two or more.")
    if any(after - before < LEAST_PX for before, after in pairwise(places)):
        raise MicrographRefused("Boundaries follow each other from the substrate to the surface, 1 px or more apart.")
    profile = reading.profile
    first, last = profile.start_px + 1, profile.start_px + len(profile.lab) - 2
    if places[0] < first or places[-1] > last:
        raise MicrographRefused(f"A boundary lies where the line was not read: from {first:.0f} to {last:.0f} px along it.")
    standing = {place: _standing(reading, place) for place in places}
    edges = [Edge(place - profile.start_px, each.breadth_px / BREADTH if each else 1.0) for place, each in standing.items()]
    light, signal = in_light(profile), signal_of(profile)
    made = []
    for number, (place, each) in enumerate(standing.items()):
        if each is None:
            window = window_of(edges, number, len(profile.lab))
            here = np.full(len(SPREADS), edges[number].at)
            left = misfits(light, edges, number, here, SPREADS, window, edges[number].at)
            edges[number] = Edge(edges[number].at, float(SPREADS[int(np.argmin(left))]))
            found = described(signal, edges, number, profile.start_px, 1.0)
            each = replace(found, at_px=round(place, 3), error_px=BY_HAND_ERROR_PX, by_hand=True)
        made.append(each)
    return _rebuilt(reading, made)


def move_boundary(reading: Reading, boundary: int, to_px: float) -> Reading:
    """Move one boundary (counted from 0), refused where it would pass a neighbour.

    Parameters
    ----------
    reading : Reading
    boundary : int
    to_px : float

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
    """
    places = _places(reading)
    if not 0 <= boundary < len(places):
        raise MicrographRefused(f"There is no boundary {boundary + 1}; there are {len(places)}.")
    below = places[boundary - 1] if boundary else -np.inf
    above = places[boundary + 1] if boundary + 1 < len(places) else np.inf
    if not below + LEAST_PX <= to_px <= above - LEAST_PX:
        raise MicrographRefused("A boundary cannot pass its neighbour: take out the layer between them by merging.")
    return place_boundaries(reading, [*places[:boundary], to_px, *places[boundary + 1 :]])


def split_layer(reading: Reading, number: int, at_px: float) -> Reading:
    """Make two layers of one, with a boundary at a place in it.

    Parameters
    ----------
    reading : Reading
    number : int
        Of the layer, from 1.
    at_px : float

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
        If there is no such layer, or the place does not lie in it.
    """
    places = _places(reading)
    _known(reading, number)
    if not places[number - 1] + LEAST_PX <= at_px <= places[number] - LEAST_PX:
        raise MicrographRefused(f"Layer {number} cannot be split there: choose a place in it, 1 px or more from its boundaries.")
    return place_boundaries(reading, [*places[:number], at_px, *places[number:]])


def merge_layers(reading: Reading, number: int) -> Reading:
    """Make one layer of layer `number` and the one above it, refused where there is none above.

    Parameters
    ----------
    reading : Reading
    number : int

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
    """
    _known(reading, number)
    if number == len(reading.layers):
        raise MicrographRefused(f"Layer {number} is the uppermost: there is none above it to merge with.")
    return _rebuilt(reading, [*reading.boundaries[:number], *reading.boundaries[number + 1 :]])


def take_end(reading: Reading, which: str) -> Reading:
    """Make a layer of what was offered as an end, from the boundary to the end of the line.

    Parameters
    ----------
    reading : Reading
    which : str
        "below" or "above".

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
        If there is no such end.
    """
    end = next((each for each in reading.ends if each.which == which), None)
    if end is None:
        raise MicrographRefused(f"The line runs through nothing {which} the stack that could be a layer.")
    places = _places(reading)
    whole = [end.from_px, end.to_px] if not places else [end.from_px, *places] if which == "below" else [*places, end.to_px]
    return place_boundaries(reading, whole)


def drop_layer(reading: Reading, which: str) -> Reading:
    """Make an end (substrate, resin) of the lowest layer ("below") or the uppermost ("above"), refused where it is the only one.

    Parameters
    ----------
    reading : Reading
    which : str

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
    """
    if which not in ("below", "above"):
        raise MicrographRefused("Say whether the lowest layer ('below') or the uppermost ('above') is none.")
    if len(reading.layers) < 2:
        raise MicrographRefused("It is the only layer: a stack has one at least.")
    return _rebuilt(reading, reading.boundaries[1:] if which == "below" else reading.boundaries[:-1])


def _places(reading: Reading) -> list[float]:
    return [each.at_px for each in reading.boundaries]


def _known(reading: Reading, number: int) -> None:
    if not 1 <= number <= len(reading.layers):
        raise MicrographRefused(f"There is no layer {number}; there are {len(reading.layers)}.")


def _standing(reading: Reading, place: float) -> Boundary | None:
    return next((each for each in reading.boundaries if abs(each.at_px - place) <= SAME_PX), None)


def _rebuilt(reading: Reading, boundaries: Sequence[Boundary]) -> Reading:
    return assembled(reading.line, reading.scale, reading.profile, boundaries, reading.colour_status, reading.uv_status, reading.version)

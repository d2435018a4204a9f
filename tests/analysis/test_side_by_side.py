"""Which read layer is which standing one: against trying every way, and what is fixed."""

import itertools
import random

import pytest

from analysis.core.side_by_side import ALONE, Seen, match, runs_against, unlikeness


def every_way(read, standing, fixed):
    """The least cost of all ways that keep the order and what is fixed, by trying each."""
    best = None
    places = [None, *range(len(standing))]
    for way in itertools.product(places, repeat=len(read)):
        told = [one for one in way if one is not None]
        if told != sorted(set(told)) or any(way[place] != other for place, other in fixed.items()):
            continue
        cost = sum(unlikeness(read[place], standing[other]) for place, other in enumerate(way) if other is not None and place not in fixed)
        cost += ALONE * (len(read) + len(standing) - 2 * len(told))
        best = cost if best is None else min(best, cost)
    return best


def cost_of(read, standing, fixed, way):
    told = [one for one in way if one is not None]
    cost = sum(unlikeness(read[place], standing[other]) for place, other in enumerate(way) if other is not None and place not in fixed)
    return cost + ALONE * (len(read) + len(standing) - 2 * len(told))


@pytest.mark.parametrize("seed", range(40))
def test_no_other_way_costs_less(seed):
    rng = random.Random(seed)

    def some(many):
        return [
            Seen(
                rng.choice((None, rng.uniform(5, 80))),
                rng.choice((None, (rng.uniform(20, 95), rng.uniform(-30, 30), rng.uniform(-30, 40)))),
                rng.random() < 0.7,
            )
            for _ in range(many)
        ]

    read, standing = some(rng.randint(0, 4)), some(rng.randint(0, 4))
    fixed = {rng.randrange(len(read)): rng.randrange(len(standing))} if read and standing and rng.random() < 0.4 else {}
    found = match(read, standing, fixed)
    told = [one for one in found if one is not None]
    assert told == sorted(set(told))
    assert all(found[place] == other for place, other in fixed.items())
    assert cost_of(read, standing, fixed, found) == pytest.approx(every_way(read, standing, fixed))


def test_a_layer_that_nobody_entered_stands_alone():
    white, green, red = (Seen(20, lab) for lab in ((90.0, 0.0, 5.0), (50.0, -30.0, 20.0), (40.0, 50.0, 30.0)))
    assert match([white, green, red], [white, red], {}) == [0, None, 1]


def test_what_is_not_known_is_matched_in_order():
    nothing = Seen(None, None)
    assert match([nothing] * 3, [nothing] * 3, {}) == [0, 1, 2]


def test_what_contradicts_itself_is_refused():
    nothing = Seen(None, None)
    with pytest.raises(ValueError, match="does not rise"):
        match([nothing] * 3, [nothing] * 3, {0: 1, 1: 0})
    with pytest.raises(ValueError, match="there is not"):
        match([nothing], [nothing], {0: 1})


STACK = [(30.0, (60.0, 0.0, 5.0)), (12.0, (45.0, -12.0, 20.0)), (20.0, (85.0, 1.0, 12.0)), (40.0, (30.0, 20.0, 10.0))]


@pytest.mark.parametrize("known", [True, False])
def test_a_stack_read_from_the_surface_down_runs_against_that_which_stands(known):
    standing = [Seen(thickness if known else None, lab) for thickness, lab in STACK]
    read = [Seen(thickness * 1.1, lab) for thickness, lab in STACK]
    assert runs_against(read[::-1], standing)
    assert not runs_against(read, standing)


def test_two_layers_or_ones_of_which_nothing_is_known_tell_no_direction():
    read = [Seen(thickness, lab) for thickness, lab in STACK]
    assert not runs_against(read[1::-1], read[:2])
    assert not runs_against(read[::-1], [Seen(None, None)] * 4)

"""A correlation read back from a record says of every layer what the correlation said of it, rulings included."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.core.correlation import Parameters, Ruling, correlate
from analysis.core.correlation.standing import standing, weigh
from tests.analysis.correlation.building_blocks import BLUE, GREEN, RED, WHITE, sample
from tests.buildings import invent_space, true_ties

PARAMETERS = Parameters()
# The confidence on record without what the draws of the search say beside: forward-backward alone.
PLAIN = replace(PARAMETERS, draws_weight=0.0)


def places(found):
    return {key: one.generation for key, one in found.placements.items()}


def confidences(stands):
    """Of each layer, weighed anew from what is on record."""
    result = {}
    for number, one in enumerate(stands.samples):
        weighed = weigh(stands.problem, stands.arrangement, number)
        first = stands.problem.bounds[number][0]
        for position, layer in enumerate(one.layers):
            result[layer.key] = weighed.states[position, weighed.state_of(int(stands.arrangement.place[first + position]))]
    return result


@pytest.mark.parametrize("seed", [1002, 1004])
def test_without_a_search_the_same_confidence_comes_out_for_every_layer(seed):
    space = invent_space(seed)
    free = correlate(space.samples)
    rulings = [*true_ties(space, free.placements, 3)]
    held = next(key for key, one in free.placements.items() if not any(key in (rule.first, rule.second) for rule in rulings))
    rulings.append(Ruling("h", "hold", held, generation="00005"))
    found = correlate(space.samples, rulings, ["00005"], PLAIN)
    stands = standing(space.samples, rulings, ["00005"], places(found), PARAMETERS)
    assert stands.obeys
    weighed = confidences(stands)
    assert weighed == pytest.approx({key: one.confidence for key, one in found.placements.items()}, abs=1e-9)


def test_ordinals_on_record_may_have_holes_and_the_order_of_samples_makes_no_difference():
    samples = (sample("A", RED, BLUE, WHITE), sample("B", RED, BLUE, WHITE))
    record = {"A/1": 2, "A/2": 5, "A/3": 9, "B/1": 2, "B/2": 5, "B/3": 9}
    stands = standing(samples[::-1], (), (), record, PARAMETERS)
    assert stands.ordinals == (2, 5, 9)
    assert [one.key for one in stands.samples] == ["A", "B"]
    assert stands.arrangement.place.tolist() == [0, 1, 2, 0, 1, 2]
    assert confidences(stands) == confidences(standing(samples, (), (), record, PARAMETERS))


def test_layers_that_stand_nowhere_hold_no_place_and_are_weighed_all_the_same():
    samples = (sample("A", RED, BLUE), sample("B", RED, BLUE), sample("C", RED, BLUE))
    stands = standing(samples, (), (), {"A/1": 1, "A/2": 2, "B/1": 1, "B/2": 2}, PARAMETERS)
    assert stands.arrangement.place.tolist() == [0, 1, 0, 1, -1, -1]
    states = weigh(stands.problem, stands.arrangement, 2).states
    assert np.argmax(states, axis=1).tolist() == [1, 3]


@pytest.mark.parametrize(
    ("rulings", "order", "obeyed"),
    [
        ([Ruling("1", "tie", "A/1", "B/1")], [], True),
        ([Ruling("1", "tie", "A/1", "B/2")], [], False),
        ([Ruling("1", "bar", "A/1", "B/1")], [], False),
        ([Ruling("1", "bar", "A/1", "B/2")], [], True),
        ([Ruling("1", "bar", "A/1", "A/2")], [], True),
        ([Ruling("1", "hold", "A/1", generation="x"), Ruling("2", "hold", "B/2", generation="y")], ["x", "y"], True),
        ([Ruling("1", "hold", "A/1", generation="x"), Ruling("2", "hold", "B/1", generation="y")], ["x", "y"], False),
        ([Ruling("1", "hold", "A/2", generation="x"), Ruling("2", "hold", "B/1", generation="y")], ["x", "y"], False),
        ([Ruling("1", "tie", "A/1", "B/2"), Ruling("2", "tie", "A/2", "B/1")], [], False),
        ([Ruling("1", "tie", "A/1", "Z/9")], [], False),
    ],
)
def test_it_is_known_whether_the_record_obeys_the_rulings_and_if_not_they_are_left_out(rulings, order, obeyed):
    samples = (sample("A", RED, GREEN), sample("B", RED, GREEN))
    stands = standing(samples, rulings, order, {"A/1": 1, "A/2": 2, "B/1": 1, "B/2": 2}, PARAMETERS)
    assert stands.obeys is obeyed
    if not obeyed:
        assert (stands.problem.constraints.anchor == -1).all()
        assert stands.problem.constraints.barred == {}


def test_a_layer_that_is_not_there_is_told():
    stands = standing((sample("A", RED),), (), (), {"A/1": 1}, PARAMETERS)
    assert stands.owner_of("A/1") == (0, 0)
    with pytest.raises(KeyError):
        stands.owner_of("A/2")

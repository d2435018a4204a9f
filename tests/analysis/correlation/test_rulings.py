"""Ties, bars and holds are obeyed, or refused with the chain that makes them impossible."""

import numpy as np
import pytest

from analysis.core.correlation import ContradictoryRulings, Parameters, Ruling, correlate
from analysis.core.rulings import RulingError
from tests.analysis.correlation.building_blocks import BLUE, GREEN, RED, WHITE, YELLOW, sample
from tests.buildings import invent_space, order_violations

QUICK = Parameters(effort=0, fewest_chains=2, sweeps=4, burn_in=2)
THREE = [sample(key, RED, GREEN, BLUE) for key in "ABC"]


def places(*arguments: object, **named: object) -> dict[str, int]:
    found = correlate(*arguments, **named)  # type: ignore[arg-type]
    return {key: one.generation for key, one in found.placements.items()}


def test_a_tie_joins_layers_that_evidence_would_part() -> None:
    found = places(THREE, [Ruling("t", "tie", "A/1", "B/2")])
    assert found["A/1"] == found["B/2"]


def test_a_bar_parts_layers_that_evidence_would_join() -> None:
    assert places(THREE)["A/2"] == places(THREE)["B/2"]
    found = places(THREE, [Ruling("b", "bar", "A/2", "B/2")])
    assert found["A/2"] != found["B/2"]


def test_a_bar_within_a_sample_parts_coats_of_one_colour() -> None:
    coats = [sample(key, RED, WHITE, WHITE, WHITE, BLUE) for key in "AB"]
    found = places(coats, [Ruling("b", "bar", "A/2", "A/4")])
    assert found["A/2"] < found["A/4"]


def test_a_hold_puts_its_layer_in_the_generation_and_says_so() -> None:
    found = correlate(THREE, [Ruling("h", "hold", "A/2", generation="G2"), Ruling("i", "hold", "B/2", generation="G2")], ("G2",))
    keyed = {one.key: one.ordinal for one in found.generations if one.key}
    assert found.placements["A/2"].generation == found.placements["B/2"].generation == keyed["G2"]
    assert found.placements["A/2"].held
    assert not found.placements["A/1"].held


def test_held_generations_stand_apart_and_in_their_order() -> None:
    rulings = [Ruling("h", "hold", "A/1", generation="old"), Ruling("i", "hold", "B/1", generation="new")]
    found = places(THREE, rulings, ("old", "new"))
    assert found["A/1"] < found["B/1"]
    found = places(THREE, rulings, ("new", "old"))
    assert found["B/1"] < found["A/1"]


def test_a_held_generation_that_nobody_holds_a_layer_to_is_left_out() -> None:
    assert [one.key for one in correlate(THREE, (), ("empty",)).generations if one.key] == []


def test_ties_against_the_order_are_refused_with_the_chain() -> None:
    rulings = [Ruling("t1", "tie", "A/1", "B/2"), Ruling("t2", "tie", "A/2", "B/1"), Ruling("b", "bar", "A/1", "A/2")]
    with pytest.raises(ContradictoryRulings) as refused:
        correlate(THREE, rulings)
    assert {"t1", "t2", "b"} <= set(refused.value.chain)
    assert str(refused.value)


def test_ties_that_cross_force_what_lies_between_into_one_generation() -> None:
    found = places(THREE, [Ruling("t1", "tie", "A/1", "B/2"), Ruling("t2", "tie", "A/2", "B/1")])
    assert len({found[key] for key in ("A/1", "A/2", "B/1", "B/2")}) == 1


def test_two_holds_on_tied_layers_are_refused() -> None:
    rulings = [
        Ruling("t", "tie", "A/1", "B/1"),
        Ruling("h", "hold", "A/1", generation="G1"),
        Ruling("i", "hold", "B/1", generation="G2"),
    ]
    with pytest.raises(ContradictoryRulings) as refused:
        correlate(THREE, rulings, ("G1", "G2"))
    assert {"t", "h", "i"} <= set(refused.value.chain)


def test_a_hold_against_the_order_of_generations_is_refused() -> None:
    rulings = [Ruling("h", "hold", "A/1", generation="G2"), Ruling("i", "hold", "A/3", generation="G1")]
    with pytest.raises(ContradictoryRulings):
        correlate(THREE, rulings, ("G1", "G2"))


def test_a_ruling_on_an_unknown_layer_is_refused() -> None:
    with pytest.raises(RulingError, match="Z/9"):
        correlate(THREE, [Ruling("t", "tie", "A/1", "Z/9")])


@pytest.mark.parametrize("seed", range(12))
def test_any_rulings_that_do_not_contradict_are_obeyed(seed: int) -> None:
    """Random rulings, true or absurd, on random spaces: obeyed to the letter or refused."""
    random = np.random.default_rng(seed)
    space = invent_space(300 + seed, samples=5)
    layers = [layer.key for one in space.samples for layer in one.layers]
    rulings = []
    for number in range(int(random.integers(2, 12))):
        first, second = (layers[at] for at in random.choice(len(layers), 2, replace=False))
        kind = str(random.choice(["tie", "bar", "bar", "hold"]))
        generation = str(random.choice(["G1", "G2", "G3"])) if kind == "hold" else ""
        rulings.append(Ruling(f"r{number:02d}", kind, first, "" if kind == "hold" else second, generation))
    order = ("G1", "G2", "G3")
    while True:
        try:
            correlation = correlate(space.samples, rulings, order, QUICK)
            break
        except ContradictoryRulings as refused:
            blamed = [one for one in rulings if one.key in refused.chain]
            assert blamed
            rulings.remove(blamed[-1])
    found = {key: one.generation for key, one in correlation.placements.items()}
    held = {one.key: one.ordinal for one in correlation.generations if one.key}
    assert order_violations(space.samples, found) == 0
    for one in rulings:
        if one.kind == "tie":
            assert found[one.first] == found[one.second]
        elif one.kind == "bar":
            assert found[one.first] != found[one.second]
        else:
            assert found[one.first] == held[one.generation]
    assert [held[key] for key in order if key in held] == sorted(held.values())


def test_a_ruling_helps_where_colours_cannot() -> None:
    whites = [sample("A", WHITE, WHITE, YELLOW), sample("B", WHITE, YELLOW)]
    found = places(whites, [Ruling("t", "tie", "A/2", "B/1"), Ruling("b", "bar", "A/1", "A/2")])
    assert found["A/1"] < found["A/2"] == found["B/1"]

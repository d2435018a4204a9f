"""Several lines across one section made one stack."""

from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest

from analysis.core.micrographs import Line, MicrographRefused, drop_layer, merge_layers, read_line, reconcile, scale_as_stated
from analysis.core.micrographs.reconciling import _ABSENT, _LEFT_OUT, _joined, _worth
from tests.analysis.micrographs.drawings import drawn, upward


@pytest.fixture(scope="module")
def reading():
    return read_line(drawn(), upward(), scale_as_stated(0.5))


@pytest.fixture(scope="module")
def other():
    return read_line(drawn(at=(330.0, 284.0, 240.0, 150.0, 90.0), seed=3), upward(), scale_as_stated(0.5))


def members(found):
    return [layer.members for layer in found.layers]


def test_lines_that_show_the_same_layers_agree_and_give_the_range_of_thickness(reading, other):
    found = reconcile([reading, other])
    assert members(found) == [(1, 1), (2, 2), (3, 3), (4, 4)]
    assert found.agreement == 1.0
    assert (found.layers[0].thinnest_um, found.layers[0].thickest_um) == pytest.approx((20, 23), abs=0.5)
    assert "20 to 23 µm" in found.layers[0].sentence


def test_a_layer_broken_in_one_line_is_said_to_be_broken_there(reading, other):
    # A line on which layer 2 is missing: what lies above it comes down.
    two, above = reading.layers[1], reading.layers[2:]
    down = two.to_px - two.from_px
    kept = (
        reading.layers[0],
        *(replace(each, number=each.number - 1, from_px=each.from_px - down, to_px=each.to_px - down) for each in above),
    )
    found = reconcile([reading, replace(reading, layers=kept), other])
    assert members(found) == [(1, 1, 1), (2, None, 2), (3, 2, 3), (4, 3, 4)]
    assert found.layers[1].broken == (1,)
    assert found.layers[1].agreement == pytest.approx(2 / 3, abs=1e-3)
    assert "broken or missed in line 2" in found.layers[1].sentence
    assert _ABSENT < 1


def test_a_line_that_ends_early_says_nothing_of_what_lies_above(reading, other):
    found = reconcile([reading, drop_layer(other, "above")])
    assert members(found)[-1] == (4, None)
    assert found.layers[-1].broken == ()
    assert found.agreement == 1.0


def test_two_layers_that_one_line_takes_for_one_lower_the_agreement(reading, other):
    found = reconcile([reading, merge_layers(other, 2)])
    assert len(found.layers) == 4
    assert found.agreement < 1.0


def test_the_order_of_layers_is_kept_in_every_line(reading, other):
    found = reconcile([merge_layers(reading, 1), other, drop_layer(reading, "below")])
    for line in range(3):
        numbers = [each[line] for each in members(found) if each[line] is not None]
        assert numbers == sorted(numbers)
        assert numbers == list(range(1, len(numbers) + 1))


@pytest.mark.parametrize("seed", range(6))
def test_an_alignment_is_worth_what_the_best_of_all_alignments_is_worth(reading, seed):
    rng = np.random.default_rng(seed)
    shaken = [
        tuple(
            replace(layer, lab=tuple(np.array(layer.lab) + rng.normal(0, 12, 3)), to_px=layer.to_px + rng.uniform(-4, 4))
            for layer in reading.layers
            if rng.random() < 0.8
        )
        or reading.layers
        for _ in range(2)
    ]
    columns = [[at, None] for at in range(len(shaken[0]))]
    worth = np.array([_worth(column, shaken, 1) for column in columns])

    def value(pairs):
        """Pairs, and what is left out: at either end of the stack one of the two lines may begin or end inside it at half the price."""
        rows, own = worth.shape
        total = sum(worth[a, b] for a, b in pairs)
        if not pairs:
            return _LEFT_OUT / 2 * (rows + own)
        for one, other in ((pairs[0][0], pairs[0][1]), (rows - 1 - pairs[-1][0], own - 1 - pairs[-1][1])):
            total += _LEFT_OUT * (min(one, other) + max(one, other) / 2)
        inside = sum(b[0] - a[0] - 1 + b[1] - a[1] - 1 for a, b in pairwise(pairs))
        return total + _LEFT_OUT * inside

    count = range(min(worth.shape) + 1)
    every = [
        list(zip(a, b, strict=True))
        for many in count
        for a in combinations(range(worth.shape[0]), many)
        for b in combinations(range(worth.shape[1]), many)
    ]
    joined = _joined(columns, shaken, 1)
    chosen = [(column[0], column[1]) for column in joined if column[0] is not None and column[1] is not None]
    assert value(chosen) == pytest.approx(max(value(pairs) for pairs in every))


def test_a_line_drawn_from_the_surface_down_is_told_to_run_against_the_other(reading):
    down = read_line(drawn(at=(330.0, 284.0, 240.0, 150.0, 90.0), seed=3), Line(tuple(reversed(upward().points)), upward().width_px))
    said = [one for one in reconcile([reading, down], ["2", "5"]).cautions if "run against" in one]
    assert said == [
        "Line 5 seems to run against line 2: turned round it shows the same layers. Both must lead from the substrate to the surface; "
        "draw the one that does not anew."
    ]


def test_lines_that_run_one_way_are_not_told_to_run_against_each_other(reading, other):
    assert not [one for one in reconcile([reading, other, merge_layers(other, 2)]).cautions if "run against" in one]


def test_lines_are_named_as_people_name_them(reading, other):
    missing = replace(reading, layers=(reading.layers[0], *reading.layers[2:]))
    found = reconcile([reading, missing, other], ["1", "4", "7"])
    assert "broken or missed in line 4." in found.layers[1].sentence
    with pytest.raises(MicrographRefused, match="Line 7 has no layer"):
        reconcile([reading, replace(reading, layers=())], ["4", "7"])


def test_one_line_or_an_empty_one_is_refused(reading):
    with pytest.raises(MicrographRefused, match="One line"):
        reconcile([reading])
    with pytest.raises(MicrographRefused, match="Line 2 has no layer"):
        reconcile([reading, replace(reading, layers=())])

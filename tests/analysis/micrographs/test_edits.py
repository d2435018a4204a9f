"""What a person does to a reading, and what is refused him."""

import pytest

from analysis.core.micrographs import (
    MicrographRefused,
    drop_layer,
    merge_layers,
    move_boundary,
    place_boundaries,
    read_line,
    scale_as_stated,
    split_layer,
    take_end,
)
from tests.analysis.micrographs.drawings import drawn, upward


@pytest.fixture(scope="module")
def reading():
    return read_line(drawn(), upward(), scale_as_stated(0.5))


def places(reading):
    return [each.at_px for each in reading.boundaries]


def test_a_moved_boundary_changes_the_two_layers_that_it_parts_and_no_other(reading):
    moved = move_boundary(reading, 1, 85.0)
    assert moved.boundaries[1].at_px == 85.0
    assert moved.boundaries[1].by_hand
    assert moved.boundaries[1].confidence == 1.0
    assert moved.layers[0].thickness_um == pytest.approx(22.5, abs=0.4)
    assert moved.layers[1].thickness_um == pytest.approx(22.5, abs=0.4)
    assert moved.layers[2:] == reading.layers[2:]
    assert places(reading)[1] == pytest.approx(80, abs=0.5)  # the proposal itself stands as it was


def test_a_layer_split_and_merged_is_the_layer_that_it_was(reading):
    split = split_layer(reading, 3, 170.0)
    assert [layer.number for layer in split.layers] == [1, 2, 3, 4, 5]
    assert split.layers[2].lab == pytest.approx(split.layers[3].lab, abs=1.5)
    assert merge_layers(split, 3) == reading


def test_merged_layers_have_a_colour_that_one_of_them_has(reading):
    merged = merge_layers(reading, 2)
    assert len(merged.layers) == 3
    assert merged.layers[1].lab == pytest.approx(reading.layers[2].lab, abs=1.0)  # the thicker one


def test_an_end_taken_is_a_layer_and_dropped_is_an_end_again(reading):
    taken = take_end(reading, "below")
    assert taken.layers[0].from_px == 0.0
    assert [end.which for end in taken.ends] == ["above"]
    assert drop_layer(taken, "below") == reading
    assert len(drop_layer(reading, "above").layers) == 3


def test_boundaries_that_a_person_kept_are_those_that_were_found(reading):
    kept = place_boundaries(reading, places(reading))
    assert kept == reading
    some = place_boundaries(reading, [places(reading)[0], 100.0, places(reading)[-1]])
    assert [each.by_hand for each in some.boundaries] == [False, True, False]


def test_a_stack_can_be_set_by_hand_where_nothing_was_found():
    empty = read_line(drawn(colours=((120, 120, 120),) * 6, noise=1.0), upward(), scale_as_stated(0.5))
    assert empty.layers == ()
    by_hand = place_boundaries(empty, [20.0, 60.0, 100.0])
    assert [layer.thickness_um for layer in by_hand.layers] == pytest.approx([20.0, 20.0])


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (lambda one: move_boundary(one, 1, 500.0), "pass its neighbour"),
        (lambda one: move_boundary(one, 9, 50.0), "no boundary 10"),
        (lambda one: move_boundary(one, 0, float("nan")), "pass its neighbour"),
        (lambda one: split_layer(one, 9, 50.0), "no layer 9"),
        (lambda one: split_layer(one, 1, 200.0), "cannot be split there"),
        (lambda one: merge_layers(one, 4), "uppermost"),
        (lambda one: merge_layers(one, 0), "no layer 0"),
        (lambda one: place_boundaries(one, [50.0]), "two or more"),
        (lambda one: place_boundaries(one, [50.0, 40.0]), "follow each other"),
        (lambda one: place_boundaries(one, [50.0, 50.4]), "follow each other"),
        (lambda one: place_boundaries(one, [50.0, float("nan")]), "two or more"),
        (lambda one: place_boundaries(one, [-400.0, 50.0]), "was not read"),
        (lambda one: take_end(take_end(one, "below"), "below"), "nothing below"),
        (lambda one: drop_layer(one, "beside"), "'below'"),
        (lambda one: drop_layer(place_boundaries(one, [50.0, 80.0]), "below"), "only layer"),
    ],
)
def test_an_edit_that_makes_no_stack_is_refused_in_words(reading, edit, said):
    with pytest.raises(MicrographRefused, match=said):
        edit(reading)

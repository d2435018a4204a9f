"""Joining and splitting generations: what is carried over, what is refused, and that a later correlation keeps it."""

import pytest

from surveys import records
from surveys.errors import Conflict, Forbidden, Invalid, NotFound, Stale
from surveys.models import Change, Evidence, Generation, Layer, Phase, Ruling
from tests.surveys.test_computed import correlate, generations_of, store


@pytest.fixture
def rows(cast, project, paint):
    """Three generations, a layer of each sample in each."""
    store(cast, project, paint, (1, 2, 3), 3)
    return list(Generation.objects.filter(space=paint.space).order_by("ordinal"))


def say(cast, project, generation, **values):
    generation.refresh_from_db()
    return records.change(cast.conservator, project, Generation, generation.pk, generation.version, values)


def join(cast, project, keep, gone, who="conservator"):
    for one in (keep, gone):
        one.refresh_from_db()
    return records.join(cast[who], project, keep.pk, keep.version, gone.pk, gone.version)


def split(cast, project, generation, layers, place=None, who="conservator"):
    generation.refresh_from_db()
    return records.split(cast[who], project, generation.pk, generation.version, [layer.pk for layer in layers], place)


def test_joined_generations_are_one_and_the_numbers_close_up(cast, project, paint, rows):
    kept = join(cast, project, rows[1], rows[2])
    assert (kept.pk, kept.ordinal) == (rows[1].pk, 2)
    assert generations_of(paint.first) == [1, 2, 2]
    assert Generation.objects.filter(space=paint.space).count() == 2


def test_a_join_is_kept_by_the_next_correlation(cast, project, paint, rows):
    kept = join(cast, project, rows[1], rows[2])
    correlate(cast, project, paint)
    green, cream = Layer.objects.filter(sample=paint.first, position__in=(2, 3)).order_by("position")
    assert green.generation_id == cream.generation_id == kept.pk
    assert (green.placed_by, cream.placed_by) == ("by hand", "by hand")


def test_what_was_said_of_the_joined_one_stands_with_the_kept_one(cast, project, paint, rows):
    phase = records.create(cast.historian, project, Phase, {"label": "remodelling"})
    say(cast, project, rows[1], label="the green scheme", technique="two coats")
    say(cast, project, rows[2], label="the cream scheme", description="Seen on the doors too.", technique="stippled", phase=phase.pk)
    evidence = records.create(
        cast.historian, project, Evidence, {"reference": "E1", "statement": "x", "bears_on": "generation", "generation": rows[2].pk}
    )
    kept = join(cast, project, rows[1], rows[2])
    assert (kept.label, kept.technique, kept.phase) == ("the green scheme", "two coats", phase)
    for told in ("Joined from generation 3", "the cream scheme", "Seen on the doors too.", "stippled"):
        assert told in kept.description
    assert [one["ordinal"] for one in kept.earlier_ordinals] == [3]
    evidence.refresh_from_db()
    assert evidence.generation == kept


def test_the_kept_one_takes_the_words_of_the_other_where_it_has_none(cast, project, rows):
    say(cast, project, rows[0], label="the grey scheme", technique="one coat")
    kept = join(cast, project, rows[1], rows[0])
    assert (kept.ordinal, kept.label, kept.technique, kept.description) == (1, "the grey scheme", "one coat", "")


def test_holds_of_the_joined_one_hold_to_the_kept_one_with_their_reason(cast, project, paint, rows):
    cream = paint.layers["101-1"][2]
    records.create(
        cast.historian,
        project,
        Ruling,
        {"kind": "hold", "first_layer": cream.pk, "generation": rows[2].pk, "reason": "the bill says cream"},
    )
    kept = join(cast, project, rows[1], rows[2])
    hold = Ruling.objects.get(first_layer=cream)
    assert (hold.generation, hold.reason, hold.created_by) == (kept, "the bill says cream", cast.historian)
    assert Ruling.objects.filter(kind="hold", generation=kept).count() == 4


def test_a_layer_that_was_ruled_elsewhere_keeps_that_ruling(cast, project, paint, rows):
    cream = paint.layers["101-1"][2]
    four = records.create(cast.conservator, project, Generation, {"space": paint.space.pk})
    records.create(cast.historian, project, Ruling, {"kind": "hold", "first_layer": cream.pk, "generation": four.pk, "reason": "later"})
    join(cast, project, rows[1], rows[2])
    assert Ruling.objects.get(first_layer=cream).generation == four


def test_a_runner_up_that_was_joined_is_the_kept_one_and_never_the_layers_own(cast, project, paint, rows):
    Layer.objects.filter(pk=paint.layers["101-1"][0].pk).update(runner_up=rows[2], runner_up_confidence=0.2)
    Layer.objects.filter(pk=paint.layers["101-1"][1].pk).update(runner_up=rows[2], runner_up_confidence=0.2)
    kept = join(cast, project, rows[1], rows[2])
    first, second = Layer.objects.filter(sample=paint.first, position__in=(1, 2)).order_by("position")
    assert (first.runner_up, second.runner_up) == (kept, None)


def test_a_join_over_a_generation_between_is_refused_naming_the_layers(cast, project, paint, rows):
    with pytest.raises(Conflict, match=r"101-[12]/2 lies above 101-[12]/1"):
        join(cast, project, rows[2], rows[0])
    assert generations_of(paint.first) == [1, 2, 3]


def test_a_join_against_a_bar_is_refused_with_the_chain(cast, project, paint, rows):
    one, two = paint.layers["101-1"][1], paint.layers["101-2"][2]
    records.create(
        cast.historian, project, Ruling, {"kind": "bar", "first_layer": one.pk, "second_layer": two.pk, "reason": "soiled between"}
    )
    with pytest.raises(Conflict, match="cannot all be true") as refused:
        join(cast, project, rows[1], rows[2])
    assert refused.value.code == "contradiction"
    assert Generation.objects.filter(space=paint.space).count() == 3


def test_generations_of_different_phases_are_not_joined(cast, project, rows):
    for number, generation in ((1, rows[0]), (2, rows[1])):
        phase = records.create(cast.historian, project, Phase, {"ordinal": number})
        say(cast, project, generation, phase=phase.pk)
    with pytest.raises(Conflict, match="same phase first"):
        join(cast, project, rows[0], rows[1])


def test_a_join_with_itself_with_another_space_or_with_nothing_is_refused(cast, project, paint, rows):
    from tests.conftest import Paint

    other = Paint(cast, project, "102")
    theirs = records.create(cast.conservator, project, Generation, {"space": other.space.pk})
    with pytest.raises(Invalid, match="itself"):
        join(cast, project, rows[0], rows[0])
    with pytest.raises(Invalid, match="different spaces"):
        join(cast, project, rows[0], theirs)
    with pytest.raises(NotFound):
        records.join(cast.conservator, project, rows[0].pk, rows[0].version, paint.space.pk, 1)


def test_a_join_on_an_old_version_of_either_is_told(cast, project, rows):
    say(cast, project, rows[1], label="green")
    with pytest.raises(Stale):
        records.join(cast.conservator, project, rows[1].pk, 1, rows[2].pk, rows[2].version)
    with pytest.raises(Stale):
        records.join(cast.conservator, project, rows[2].pk, rows[2].version, rows[1].pk, 1)


def test_an_owner_cannot_join_or_split(cast, project, paint, rows):
    with pytest.raises(Forbidden):
        join(cast, project, rows[0], rows[1], "owner")
    with pytest.raises(Forbidden):
        split(cast, project, rows[0], [paint.layers["101-1"][0]], who="owner")


def test_a_join_is_one_act_in_the_history(cast, project, rows):
    before = Change.objects.count()
    join(cast, project, rows[1], rows[2])
    lines = Change.objects.order_by("sequence")[before:]
    assert len({line.act for line in lines}) == 1
    assert {line.reason for line in lines} == {"Generations joined."}


def test_split_layers_are_a_generation_above_where_their_samples_say_so(cast, project, paint):
    store(cast, project, paint, (1, 2, 2), 2)
    both = Generation.objects.get(space=paint.space, ordinal=2)
    old, new = split(cast, project, both, [paint.layers["101-1"][2], paint.layers["101-2"][2]])
    assert (old.pk, old.ordinal, new.ordinal) == (both.pk, 2, 3)
    assert generations_of(paint.first) == generations_of(paint.second) == [1, 2, 3]


def test_split_layers_are_a_generation_below_where_their_samples_say_so(cast, project, paint):
    store(cast, project, paint, (1, 2, 2), 2)
    both = Generation.objects.get(space=paint.space, ordinal=2)
    old, new = split(cast, project, both, [paint.layers["101-1"][1], paint.layers["101-2"][1]])
    assert (old.pk, old.ordinal, new.ordinal) == (both.pk, 3, 2)
    assert generations_of(paint.first) == [1, 2, 3]


def test_where_no_sample_says_the_side_it_is_as_asked(cast, project, paint, rows):
    old, new = split(cast, project, rows[1], [paint.layers["101-1"][1]], "below")
    assert (new.ordinal, old.ordinal) == (2, 3)
    assert generations_of(paint.first) == [1, 2, 4]
    assert generations_of(paint.second) == [1, 3, 4]


def test_a_split_is_kept_by_the_next_correlation(cast, project, paint, rows):
    old, new = split(cast, project, rows[1], [paint.layers["101-1"][1]])
    correlate(cast, project, paint)
    assert Layer.objects.get(pk=paint.layers["101-1"][1].pk).generation_id == new.pk
    assert Layer.objects.get(pk=paint.layers["101-2"][1].pk).generation_id == old.pk


def test_the_new_one_bears_no_name_and_the_old_one_keeps_its_own(cast, project, paint, rows):
    say(cast, project, rows[1], label="green")
    old, new = split(cast, project, rows[1], [paint.layers["101-1"][1]])
    old.refresh_from_db()
    assert (old.label, new.label) == ("green", "")


def test_a_split_whose_samples_disagree_about_the_side_is_refused(cast, project, paint):
    store(cast, project, paint, (1, 2, 2), 2)
    both = Generation.objects.get(space=paint.space, ordinal=2)
    with pytest.raises(Conflict, match="on one side"):
        split(cast, project, both, [paint.layers["101-1"][2], paint.layers["101-2"][1]])
    with pytest.raises(Conflict, match="cannot lie below"):
        split(cast, project, both, [paint.layers["101-1"][2]], "below")


def test_a_split_of_none_of_all_or_of_others_is_refused(cast, project, paint, rows):
    green = [paint.layers["101-1"][1], paint.layers["101-2"][1]]
    with pytest.raises(Invalid, match="at least one"):
        split(cast, project, rows[1], [])
    with pytest.raises(Invalid, match="nothing would be left"):
        split(cast, project, rows[1], green)
    with pytest.raises(Invalid, match="are not in generation 101/2"):
        split(cast, project, rows[1], [paint.layers["101-1"][0]])


def test_a_split_of_tied_layers_is_refused_with_the_chain(cast, project, paint, rows):
    one, two = paint.layers["101-1"][1], paint.layers["101-2"][1]
    records.create(cast.historian, project, Ruling, {"kind": "tie", "first_layer": one.pk, "second_layer": two.pk, "reason": "same glaze"})
    with pytest.raises(Conflict, match="one generation, but they are two"):
        split(cast, project, rows[1], [one])

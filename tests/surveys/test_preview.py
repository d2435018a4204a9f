"""What rulings would change is worked out and nothing of it is stored."""

import pytest

from analysis.kinds import KINDS, BadParameters
from surveys import jobs, records
from surveys.errors import Forbidden, Invalid
from surveys.models import Change, Generation, Job, Layer, Ruling, Sample
from surveys.work import table
from surveys.work.preview import preview
from tests.surveys.test_computed import correlate, store


def asked(cast, project, paint, *rulings, who="conservator"):
    checked = KINDS["preview"].check({"space": "101", "rulings": list(rulings)})["rulings"]
    paint.space.refresh_from_db()
    return preview(cast[who], project, paint.space, checked, lambda done, of: None)


def tie(first, second):
    return {"kind": "tie", "first": first, "second": second}


def bar(first, second):
    return {"kind": "bar", "first": first, "second": second}


def hold(first, generation):
    return {"kind": "hold", "first": first, "generation": generation}


def rule(cast, project, paint, kind, first, second):
    one, two = (paint.layers[name.split("/")[0]][int(name.split("/")[1]) - 1] for name in (first, second))
    records.create(cast.historian, project, Ruling, {"kind": kind, "first_layer": one.pk, "second_layer": two.pk, "reason": "x"})


def test_a_preview_foretells_what_the_correlation_then_does_and_stores_nothing(cast, project, paint):
    correlate(cast, project, paint)
    before = Change.objects.count()
    told = asked(cast, project, paint, bar("101-1/2", "101-2/2"))
    assert told["refused"] is None
    assert told["current"]
    assert told["approximate"] is False
    assert (Change.objects.count(), Ruling.objects.count()) == (before, 0)
    was = {str(layer): layer.generation_id for layer in Layer.objects.all()}
    ordinals = {one.pk: one.ordinal for one in Generation.objects.all()}

    rule(cast, project, paint, "bar", "101-1/2", "101-2/2")
    correlate(cast, project, paint)
    moved = {str(layer): layer for layer in Layer.objects.all() if layer.generation_id != was[str(layer)]}
    assert {one["layer"] for one in told["changes"]} == set(moved) != set()
    for one in told["changes"]:
        layer = moved[one["layer"]]
        assert one["from"] == ordinals[was[one["layer"]]]
        assert one["to"] == ordinals.get(layer.generation_id)
        assert (one["new"] is None) == (one["to"] is not None)
        assert one["confidence_to"] == layer.confidence
    assert told["generations"] == Generation.objects.count()
    assert told["counts"]["layers_changed"] == len(moved)


def test_a_preview_of_a_large_space_says_that_it_is_approximate(cast, project, paint, monkeypatch):
    monkeypatch.setattr("surveys.work.preview.ALL_DRAWS", 1)
    assert asked(cast, project, paint, bar("101-1/2", "101-2/2"))["approximate"] is True


def test_what_changes_nothing_is_told_as_that(cast, project, paint):
    correlate(cast, project, paint)
    told = asked(cast, project, paint, tie("101-1/2", " 101-2 / 02 "))
    assert (told["changes"], told["new_generations"], told["gone"]) == ([], [], [])


def test_a_hold_moves_its_layer_to_the_generation_named_by_its_number_of_today(cast, project, paint):
    store(cast, project, paint, (1, 2, 3), 3)
    told = asked(cast, project, paint, hold("101-1/3", 2))
    change = next(one for one in told["changes"] if one["layer"] == "101-1/3")
    assert (change["from"], change["to"]) == (3, 2)


def test_layers_that_were_never_placed_come_from_nowhere(cast, project, paint):
    told = asked(cast, project, paint, tie("101-1/2", "101-2/2"))
    assert {one["from"] for one in told["changes"]} == {None}
    assert len(told["changes"]) == 6
    assert not told["current"]
    assert {one["new"] for one in told["changes"]} == {one["new"] for one in told["new_generations"]}


def test_a_ruling_against_the_order_and_a_standing_one_is_refused_with_the_chain(cast, project, paint):
    rule(cast, project, paint, "tie", "101-1/3", "101-2/1")
    told = asked(cast, project, paint, tie("101-1/1", "101-2/2"), bar("101-1/2", "101-2/1"))
    assert told["refused"].startswith("These cannot all be true")
    assert "(proposed)" in told["refused"]
    assert "tie tie" not in told["refused"]
    assert "bar 101-1/2 – 101-2/1 (proposed)" in told["chain"]
    assert told["changes"] == []


def test_holds_against_the_order_of_generations_are_refused_by_their_numbers(cast, project, paint):
    store(cast, project, paint, (1, 2, 3), 3)
    told = asked(cast, project, paint, hold("101-1/1", 3), hold("101-1/3", 1))
    assert "generation 3" in told["refused"]
    assert "00003" not in told["refused"]


@pytest.mark.parametrize("again", [tie("101-2/1", "101-1/3"), bar("101-1/3", "101-2/1")])
def test_what_is_ruled_on_already_is_refused_naming_that_ruling(cast, project, paint, again):
    rule(cast, project, paint, "tie", "101-1/3", "101-2/1")
    assert "tie 101-1/3 – 101-2/1" in asked(cast, project, paint, again)["refused"]


def test_the_same_ruling_proposed_twice_is_refused(cast, project, paint):
    assert "proposed here" in asked(cast, project, paint, tie("101-1/2", "101-2/2"), tie("101-2/2", "101-1/2"))["refused"]


def test_a_proposed_hold_takes_the_place_of_the_standing_one(cast, project, paint):
    store(cast, project, paint, (1, 2, 3), 3)
    three = Generation.objects.get(space=paint.space, ordinal=3)
    cream = paint.layers["101-1"][2]
    records.create(cast.historian, project, Ruling, {"kind": "hold", "first_layer": cream.pk, "generation": three.pk})
    assert "ruled already" in asked(cast, project, paint, hold("101-1/3", 3))["refused"]
    told = asked(cast, project, paint, hold("101-1/3", 2))
    assert told["refused"] is None
    assert ("101-1/3", 2) in [(one["layer"], one["to"]) for one in told["changes"]]


def test_a_layer_or_generation_that_is_not_there_and_a_layer_with_itself_are_refused(cast, project, paint):
    with pytest.raises(Invalid, match="no layer 101-9/1"):
        asked(cast, project, paint, tie("101-1/1", "101-9/1"))
    with pytest.raises(Invalid, match="no generation 7"):
        asked(cast, project, paint, hold("101-1/1", 7))
    with pytest.raises(Invalid, match="named twice"):
        asked(cast, project, paint, tie("101-1/1", "101-1/1"))


def test_a_ruling_on_a_sample_that_was_set_aside_stops_neither_preview_nor_correlation(cast, project, paint):
    rule(cast, project, paint, "tie", "101-1/2", "101-2/2")
    records.change(cast.conservator, project, Sample, paint.second.pk, paint.second.version, {"status": "set aside"})
    correlate(cast, project, paint)
    assert asked(cast, project, paint, bar("101-1/2", "101-1/3"))["refused"] is None


def test_owner_cannot_ask_for_a_preview(cast, project, paint):
    with pytest.raises(Forbidden):
        asked(cast, project, paint, tie("101-1/1", "101-2/1"), who="owner")
    with pytest.raises(Forbidden):
        jobs.ask(cast.owner, project, "preview", {"space": "101", "rulings": [tie("101-1/1", "101-2/1")]})


def test_the_same_preview_is_answered_again_until_something_it_reads_changes(cast, project, paint):
    correlate(cast, project, paint)
    params = {"space": "101", "rulings": [bar("101-1/2", "101-2/2")]}
    job = jobs.ask(cast.conservator, project, "preview", params)
    jobs.run(str(job.pk), "test", table.do)
    done = Job.objects.get(pk=job.pk)
    assert (done.state, done.error) == ("done", "")
    assert done.result["changes"]
    assert jobs.ask(cast.historian, project, "preview", params).pk == job.pk
    rule(cast, project, paint, "tie", "101-1/1", "101-2/1")
    assert jobs.ask(cast.historian, project, "preview", params).pk != job.pk


@pytest.mark.parametrize(
    "rulings",
    [
        None,
        [],
        "tie",
        [None],
        [{"kind": "glue", "first": "a/1", "second": "b/1"}],
        [{"kind": "tie", "first": "a/1"}],
        [{"kind": "tie", "first": "a", "second": "b/1"}],
        [{"kind": "tie", "first": "a/1", "second": "b/1", "generation": 1}],
        [{"kind": "hold", "first": "a/1"}],
        [{"kind": "hold", "first": "a/1", "generation": "1"}],
        [{"kind": "hold", "first": "a/1", "generation": True}],
        [{"kind": "hold", "first": "a/1", "second": "b/1", "generation": 1}],
        [{"kind": "tie", "first": "a/1", "second": "b/1", "reason": "x"}],
        [{"kind": "tie", "first": "a/1", "second": "b/1"}] * 501,
    ],
)
def test_what_is_no_list_of_rulings_is_refused(rulings):
    with pytest.raises(BadParameters):
        KINDS["preview"].check({"space": "101", "rulings": rulings})

import pytest

from surveys import records
from surveys.errors import Conflict, Forbidden, Invalid, NotFound, Stale, VersionMissing
from surveys.models import Change, Element, Generation, Layer, Ruling, Sample, Space


def positions(sample):
    return list(Layer.objects.filter(sample=sample).order_by("position").values_list("position", "colour"))


def test_a_layer_put_in_below_moves_the_others_up(cast, project, paint):
    records.create(cast.conservator, project, Layer, {"sample": paint.first.pk, "position": 2, "kind": "paint", "colour": "blue"})
    assert positions(paint.first) == [(1, "grey"), (2, "blue"), (3, "green"), (4, "cream")]


def test_a_layer_taken_out_leaves_no_hole(cast, project, paint):
    green = paint.layers["101-1"][1]
    records.remove(cast.conservator, project, Layer, green.pk, green.version)
    assert positions(paint.first) == [(1, "grey"), (2, "cream")]


def test_a_layer_moved_down_renumbers_the_rest(cast, project, paint):
    cream = paint.layers["101-1"][2]
    records.change(cast.conservator, project, Layer, cream.pk, cream.version, {"position": 1})
    assert positions(paint.first) == [(1, "cream"), (2, "grey"), (3, "green")]


def test_layer_five_without_layer_four_is_refused(cast, project, paint):
    with pytest.raises(Invalid, match="layer 4 is missing"):
        records.create(cast.conservator, project, Layer, {"sample": paint.first.pk, "position": 5, "kind": "paint"})
    assert len(positions(paint.first)) == 3


def test_a_change_on_a_stale_version_is_told_and_loses_nothing(cast, project, paint):
    layer = paint.layers["101-1"][1]
    records.change(cast.conservator, project, Layer, layer.pk, layer.version, {"colour": "sage"})
    with pytest.raises(Stale) as told:
        records.change(cast.historian, project, Layer, layer.pk, layer.version, {"colour": "olive"})
    assert told.value.current.colour == "sage"
    assert Layer.objects.get(pk=layer.pk).colour == "sage"


def test_a_change_without_a_version_is_refused(cast, project, paint):
    with pytest.raises(VersionMissing):
        records.change(cast.conservator, project, Layer, paint.layers["101-1"][0].pk, None, {"colour": "sage"})


def test_owner_cannot_edit_a_layer(cast, project, paint):
    layer = paint.layers["101-1"][0]
    with pytest.raises(Forbidden, match="owner"):
        records.change(cast.owner, project, Layer, layer.pk, layer.version, {"colour": "sage"})


def test_a_stranger_is_told_that_there_is_no_such_project(cast, project, paint):
    with pytest.raises(NotFound):
        records.create(cast.stranger, project, Space, {"number": "9"})


def test_every_change_leaves_one_line_from_what_to_what(cast, project, paint):
    layer = paint.layers["101-1"][1]
    records.change(cast.conservator, project, Layer, layer.pk, layer.version, {"colour": "sage", "kind": "paint"})
    line = Change.objects.get(record_id=layer.pk, action="changed")
    assert (line.fields, line.actor, line.version) == ({"colour": ["green", "sage"]}, cast.conservator, 2)


def test_a_change_that_changes_nothing_leaves_version_and_history_alone(cast, project, paint):
    layer = paint.layers["101-1"][1]
    before = Change.objects.count()
    records.change(cast.conservator, project, Layer, layer.pk, layer.version, {"colour": "green"})
    assert (Layer.objects.get(pk=layer.pk).version, Change.objects.count()) == (1, before)


def test_history_is_numbered_without_holes(cast, project, paint):
    assert list(Change.objects.filter(project=project).order_by("sequence").values_list("sequence", flat=True)) == list(
        range(1, Change.objects.filter(project=project).count() + 1)
    )


def test_an_element_of_another_project_is_not_found(cast, project, paint):
    other = records.create_project(cast.stranger, {"code": "OTHER", "name": "Other"})
    theirs = records.create(cast.stranger, other, Space, {"number": "1"})
    with pytest.raises(Invalid, match="no such space"):
        records.create(cast.conservator, project, Element, {"code": "X", "space": theirs.pk, "element_class": "wall"})


def test_an_unknown_word_is_refused_with_the_nearest(cast, project, paint):
    with pytest.raises(Invalid, match="'primer'"):
        records.create(cast.conservator, project, Layer, {"sample": paint.first.pk, "kind": "primmer"})


def test_a_chip_that_does_not_exist_is_refused(cast, project, paint):
    with pytest.raises(Invalid) as refusal:
        records.create(cast.conservator, project, Layer, {"sample": paint.first.pk, "kind": "paint", "munsell": "11YR 7/4"})
    assert refusal.value.faults[0].field == "munsell"


def test_a_batch_with_one_fault_does_nothing_and_names_the_row(cast, project, paint):
    rows = [records.Operation("create", {"number": "202"}), records.Operation("create", {"number": "203", "kind": "rom"})]
    with pytest.raises(Invalid) as refusal:
        records.batch(cast.conservator, project, Space, rows)
    assert [(fault.row, fault.field) for fault in refusal.value.faults] == [(1, "kind")]
    assert Space.objects.count() == 1


def test_a_number_taken_is_refused_in_words(cast, project, paint):
    with pytest.raises(Conflict, match="already used"):
        records.create(cast.conservator, project, Sample, {"number": "101-1", "element": paint.door.pk})


def tie(cast, project, kind, first, second):
    return records.create(cast.conservator, project, Ruling, {"kind": kind, "first_layer": first.pk, "second_layer": second.pk})


def test_ties_that_cross_are_refused_with_the_chain_when_a_bar_forbids_one_campaign(cast, project, paint):
    one, two = paint.layers["101-1"], paint.layers["101-2"]
    tie(cast, project, "bar", one[0], one[2])
    tie(cast, project, "tie", one[0], two[2])
    with pytest.raises(Conflict) as refusal:
        tie(cast, project, "tie", one[2], two[0])
    assert refusal.value.code == "contradiction"
    assert "101-1/3" in refusal.value.detail
    assert "101-2/1" in refusal.value.detail
    assert Ruling.objects.count() == 2


def test_the_same_pair_cannot_be_tied_and_barred(cast, project, paint):
    one, two = paint.layers["101-1"], paint.layers["101-2"]
    tie(cast, project, "tie", one[0], two[0])
    with pytest.raises(Conflict):
        tie(cast, project, "bar", two[0], one[0])


def test_a_layer_placed_by_hand_is_held(cast, project, paint):
    generation = records.create(cast.conservator, project, Generation, {"space": paint.space.pk})
    layer = paint.layers["101-1"][1]
    records.change(cast.conservator, project, Layer, layer.pk, layer.version, {"generation": generation.pk})
    layer.refresh_from_db()
    assert (layer.generation, layer.placed_by, Ruling.objects.get().kind) == (generation, "by hand", "hold")


def test_generations_that_would_fall_are_refused_naming_the_layers(cast, project, paint):
    older, newer = (records.create(cast.conservator, project, Generation, {"space": paint.space.pk}) for _ in range(2))
    first, second, _ = paint.layers["101-1"]
    records.change(cast.conservator, project, Layer, first.pk, first.version, {"generation": newer.pk})
    with pytest.raises((Invalid, Conflict), match=r"101-1/2.*101-1/1|101-1/1.*101-1/2"):
        records.change(cast.conservator, project, Layer, second.pk, second.version, {"generation": older.pk})


def test_a_generation_put_in_below_keeps_the_identity_and_the_former_number_of_others(cast, project, paint):
    first = records.create(cast.conservator, project, Generation, {"space": paint.space.pk, "label": "green"})
    records.create(cast.conservator, project, Generation, {"space": paint.space.pk, "ordinal": 1})
    first.refresh_from_db()
    assert (first.ordinal, [former["ordinal"] for former in first.earlier_ordinals]) == (2, [1])


def test_what_others_cite_cannot_be_removed(cast, project, paint):
    one, two = paint.layers["101-1"], paint.layers["101-2"]
    tie(cast, project, "tie", one[0], two[0])
    with pytest.raises(Conflict, match="refers to it"):
        records.remove(cast.conservator, project, Sample, paint.first.pk, paint.first.version)


def test_a_removed_space_comes_back_with_all_that_hung_on_it(cast, project, paint):
    before = list(Layer.objects.order_by("pk").values("pk", "position", "colour", "sample_id", "created_by_id"))
    records.remove(cast.conservator, project, Space, paint.space.pk, paint.space.version)
    assert Layer.objects.count() == Sample.objects.count() == Space.objects.count() == 0
    act = Change.objects.filter(action="removed").values_list("act", flat=True).first()
    with pytest.raises(Forbidden):
        records.restore(cast.conservator, project, act)
    records.restore(cast.coordinator, project, act)
    assert list(Layer.objects.order_by("pk").values("pk", "position", "colour", "sample_id", "created_by_id")) == before


def test_the_last_coordinator_cannot_leave(cast, project):
    member = project.memberships.get(person=cast.coordinator)
    with pytest.raises(Forbidden, match="needs a coordinator"):
        records.remove_member(cast.coordinator, project, member.pk, member.version)

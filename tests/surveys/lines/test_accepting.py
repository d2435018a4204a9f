"""Taking over layers of a line into the stratigraphy: new, beside, in place of; and all that is refused."""

from dataclasses import replace

import pytest

from surveys import records
from surveys.errors import Conflict, Forbidden, Invalid, NotFound, Stale, VersionMissing
from surveys.models import Attachment, Change, Comment, Interpretation, Layer, Measurement, Sample, Traverse
from tests.surveys.api.conftest import problem
from tests.surveys.lines.conftest import FILMS, read, reading_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(draw):
    return draw(reading_of(uv=True))


@pytest.fixture
def bare(cast, project, paint):
    """A sample without layers, on the door."""
    return records.create(cast.conservator, project, Sample, {"number": "101-9", "element": paint.door.pk})


@pytest.fixture
def accept(cast, project, paint):
    def done(line, *rows, who="conservator", sample=None, version=None, kind=None, standing=None):
        line.refresh_from_db()
        sample = sample or line.sample
        return records.accept_layers(cast[who], project, sample.pk, line.pk, version or line.version, rows, kind, standing)

    return done


def new(index, **more):
    return records.Row(index, "new", **more)


def stack(sample):
    return [(one.position, one.kind, one.thickness_um) for one in Layer.objects.filter(sample=sample).order_by("position")]


# -- new layers -------------------------------------------------------------------------------------------------------------------


@pytest.fixture
def bare_line(draw, pictures, bare, visible):
    picture = pictures(bare, um_per_pixel=0.5, scale_by="stated", correction=visible.correction)
    return draw(reading_of(uv=True), picture)


def test_all_layers_of_a_line_become_the_stack_of_a_bare_sample_as_one_act(accept, bare_line, bare):
    done = accept(bare_line, new(1), new(2), new(3))
    assert stack(bare) == [(number, "unknown", thickness) for number, (thickness, _) in enumerate(FILMS, start=1)]
    middle = done.layers[1]
    assert (middle.lab_l, middle.lab_a, middle.lab_b) == (45.0, -12.0, 20.0)
    assert (middle.munsell, middle.munsell_by) == ("5GY 4.5/3.2", "measured")
    assert (middle.uv_colour, middle.uv_strength, middle.lower_boundary) == ("blue-white", "weak", "")
    made = Change.objects.filter(
        record_type__in=("layer", "measurement"), record_id__in=[one.pk for one in (*done.layers, *done.measurements)]
    )
    assert made.count() == 6
    assert len(set(made.values_list("act", flat=True))) == 1


def test_of_two_who_saw_a_bare_sample_the_second_is_told_of_the_firsts_layers_and_none_is_made_twice(accept, bare_line, bare, draw):
    other = draw(reading_of(uv=True), bare_line.attachment)
    done = accept(bare_line, new(1), new(2), standing=[])
    with pytest.raises(Conflict, match="Somebody else changed the layers of this sample meanwhile") as refused:
        accept(other, new(1), new(2), standing=[])
    assert refused.value.code == "layers-changed"
    assert len(stack(bare)) == 2
    first, second = (str(one.pk).upper() for one in done.layers)
    with pytest.raises(Conflict):
        accept(other, new(3), standing=[second, first])
    accept(other, new(3), standing=[first, second])
    assert len(stack(bare)) == 3


def test_an_accepted_layer_points_back_to_its_picture_and_line(accept, bare_line):
    done = accept(bare_line, new(2))
    measured = Measurement.objects.get()
    assert (measured.layer, measured.traverse, measured.traverse.attachment) == (done.layers[0], bare_line, bare_line.attachment)
    assert (measured.from_px, measured.to_px) == (70.0, 95.0)
    assert (measured.thickness_um, measured.thickness_error_um, measured.boundary_um) == (12.5, 0.4, 1.0)
    assert (measured.lab_l, measured.lab_a, measured.lab_b, measured.lab_spread) == (45.0, -12.0, 20.0, 0.8)
    assert (measured.colour_calibrated, measured.uv_colour, measured.uv_strength, measured.confidence) == (True, "blue-white", "weak", 0.95)


def test_the_rows_may_come_in_any_order(accept, bare_line, bare):
    accept(bare_line, new(3), new(1), new(2))
    assert [thickness for _, _, thickness in stack(bare)] == [30.0, 12.5, 20.0]


def test_new_layers_are_of_the_kind_that_is_named(accept, bare_line, bare):
    accept(bare_line, new(1, kind="primer"), new(2), kind="paint")
    assert [kind for _, kind, _ in stack(bare)] == ["primer", "paint"]


def test_a_new_layer_takes_over_only_the_fields_that_are_named(accept, bare_line):
    (layer,) = accept(bare_line, new(2, fields=("thickness_um", "lower_boundary"))).layers
    assert (layer.thickness_um, layer.lower_boundary) == (12.5, "sharp")
    assert (layer.lab_l, layer.munsell, layer.uv_colour) == (None, "", "")


def test_a_new_layer_goes_right_above_what_lies_below_it_on_the_line(accept, line, paint):
    first, second, third = (str(one.pk) for one in paint.layers["101-1"])
    accept(line, records.Row(1, "beside", layer=first), new(2), records.Row(3, "beside", layer=second))
    assert [str(one.pk) for one in Layer.objects.filter(sample=paint.first, position__in=(1, 3, 4)).order_by("position")] == [
        first,
        second,
        third,
    ]
    assert [kind for _, kind, _ in stack(paint.first)] == ["primer", "unknown", "paint", "paint"]


def test_new_layers_below_all_go_below_the_next_standing_one(accept, line, paint):
    accept(line, new(1), new(2), records.Row(3, "beside", layer=str(paint.layers["101-1"][0].pk)))
    assert [kind for _, kind, _ in stack(paint.first)] == ["unknown", "unknown", "primer", "paint", "paint"]
    assert [thickness for _, _, thickness in stack(paint.first)][:2] == [30.0, 12.5]


def test_a_new_layer_goes_where_its_position_says(accept, line, paint):
    accept(line, new(2, position=2))
    assert [kind for _, kind, _ in stack(paint.first)] == ["primer", "unknown", "paint", "paint"]


def test_a_position_that_would_leave_a_hole_is_refused_and_nothing_is_done(accept, line, paint):
    with pytest.raises(Invalid, match="layer 5 is missing"):
        accept(line, new(1), new(2, position=9))
    assert len(stack(paint.first)) == 3


def test_a_layer_that_was_taken_over_is_not_made_a_second_time(accept, bare_line, bare):
    """As by a second press, or by two people who saw the same reading."""
    accept(bare_line, new(1), new(2), new(3))
    with pytest.raises(Invalid) as refused:
        accept(bare_line, new(1), new(2), new(3))
    assert [fault.detail for fault in refused.value.faults] == [
        f"Layer {index} of the line was taken over already, as layer 101-9/{index}. Let it stand beside that one, or take its place."
        for index in (1, 2, 3)
    ]
    assert len(stack(bare)) == 3


def test_a_layer_whose_copy_in_the_stratigraphy_was_removed_may_be_taken_over_anew(cast, project, accept, bare_line, bare):
    (layer,) = accept(bare_line, new(2)).layers
    records.remove(cast.conservator, project, Layer, layer.pk, layer.version)
    accept(bare_line, new(2))
    assert [thickness for _, _, thickness in stack(bare)] == [12.5]


# -- beside -----------------------------------------------------------------------------------------------------------------------


def test_beside_a_layer_a_measurement_stands_and_the_layer_stays_as_a_person_entered_it(accept, line, paint):
    layer = paint.layers["101-1"][1]
    accept(line, records.Row(2, "beside", layer=str(layer.pk)))
    layer.refresh_from_db()
    assert (layer.version, layer.thickness_um, layer.munsell, layer.lab_l) == (1, None, "5GY 6/4", None)
    assert Measurement.objects.get().layer == layer


def test_accepted_again_the_measurement_says_both_in_its_history(cast, project, accept, line, paint):
    row = records.Row(2, "beside", layer=str(paint.layers["101-1"][1].pk))
    accept(line, row)
    read(cast, project, line, reading_of(((30.0, FILMS[0][1]), (14.0, FILMS[1][1]), (20.0, FILMS[2][1])), uv=True))
    assert Measurement.objects.get().thickness_um == 12.5
    accept(line, row)
    told = Change.objects.filter(record_type="measurement", action="changed").get()
    assert told.fields["thickness_um"] == [12.5, 14.0]


def test_what_turns_out_to_be_another_layer_is_measured_of_that_one_only(accept, line, paint):
    first, second, third = paint.layers["101-1"]
    accept(line, records.Row(1, "beside", layer=str(first.pk)), records.Row(2, "beside", layer=str(second.pk)))
    accept(line, records.Row(2, "beside", layer=str(third.pk)))
    measured = Measurement.objects.order_by("from_px")
    assert [(one.layer.position, one.from_px) for one in measured] == [(1, 10.0), (3, 70.0)]
    gone = Change.objects.get(record_type="measurement", action="removed")
    assert gone.fields["layer"] == [str(second.pk), None]


def test_two_layers_of_a_line_that_turn_out_to_be_one_higher_each_are_measured_there(accept, line, paint):
    first, second, third = (str(one.pk) for one in paint.layers["101-1"])
    accept(line, records.Row(1, "beside", layer=first), records.Row(2, "beside", layer=second))
    accept(line, records.Row(1, "beside", layer=second), records.Row(2, "beside", layer=third))
    measured = Measurement.objects.order_by("from_px")
    assert [(one.layer.position, one.from_px) for one in measured] == [(2, 10.0), (3, 70.0)]


def test_a_proposal_that_was_moved_since_leaves_layer_and_measurement_as_they_were_accepted(api, cast, project, accept, line, paint):
    layer = paint.layers["101-1"][1]
    accept(line, records.Row(2, "replace", layer=str(layer.pk), layer_version=1, fields=("thickness_um",)))
    shown = lambda: api("owner").get(f"traverses/{line.pk}").json()["layers"][1]  # noqa: E731
    assert (shown()["accepted"], shown()["accepted_differs"]) == (str(layer.pk), False)
    read(cast, project, line, reading_of(((30.0, FILMS[0][1]), (14.0, FILMS[1][1]), (20.0, FILMS[2][1])), uv=True))
    assert (shown()["accepted"], shown()["accepted_differs"], shown()["thickness_um"]) == (str(layer.pk), True, 14.0)
    layer.refresh_from_db()
    assert (layer.thickness_um, Measurement.objects.get().thickness_um) == (12.5, 12.5)


# -- in place of ------------------------------------------------------------------------------------------------------------------


def test_only_the_named_fields_of_a_standing_layer_are_replaced(accept, line, paint):
    layer = paint.layers["101-1"][1]
    accept(line, records.Row(2, "replace", layer=str(layer.pk), layer_version=1, fields=("thickness_um", "lab")))
    layer.refresh_from_db()
    assert (layer.thickness_um, layer.lab_l, layer.version) == (12.5, 45.0, 2)
    assert (layer.munsell, layer.colour, layer.uv_colour) == ("5GY 6/4", "green", "")
    told = Change.objects.filter(record_id=layer.pk, action="changed").get()
    assert told.fields["lab_l"] == [None, 45.0]
    assert told.reason == "Taken over from a line on a picture."


def test_a_layer_that_was_changed_since_it_was_seen_is_not_overwritten(cast, project, accept, line, paint):
    layer = paint.layers["101-1"][1]
    records.change(cast.historian, project, Layer, layer.pk, 1, {"thickness_um": 40.0})
    with pytest.raises(Stale) as refusal:
        accept(line, new(1), records.Row(2, "replace", layer=str(layer.pk), layer_version=1, fields=("thickness_um",)))
    assert refusal.value.current == layer
    assert not Measurement.objects.exists()
    assert len(stack(paint.first)) == 3


def test_the_version_that_was_seen_must_be_named(accept, line, paint):
    with pytest.raises(VersionMissing, match="which version of layer 101-1/2 you saw"):
        accept(line, records.Row(2, "replace", layer=str(paint.layers["101-1"][1].pk), fields=("thickness_um",)))


def test_a_line_that_was_moved_or_read_anew_since_it_was_seen_is_not_accepted(cast, project, accept, line):
    before = line.version
    read(cast, project, line, reading_of(FILMS[:2]))
    with pytest.raises(Stale):
        accept(line, new(1), version=before)


def test_a_line_that_is_being_read_is_not_accepted(cast, project, accept, line):
    records.change(cast.conservator, project, Traverse, line.pk, line.version, {"width_px": 20})
    with pytest.raises(Conflict, match="is being read just now"):
        accept(line, new(1))


def test_a_line_that_could_not_be_read_is_not_accepted(cast, project, accept, line):
    read(cast, project, line, None, "It doubles back.")
    with pytest.raises(Conflict, match="could not be read: It doubles back"):
        accept(line, new(1))


def test_a_reading_that_says_nothing_clears_nothing(accept, draw, paint):
    line = draw(reading_of(scale=False))
    with pytest.raises(Invalid, match="reads no thickness of layer 2"):
        accept(line, records.Row(2, "replace", layer=str(paint.layers["101-1"][1].pk), layer_version=1, fields=("thickness_um",)))


# -- without scale, without target ---------------------------------------------------------------------------------------------------


def test_without_a_scale_no_thickness_is_taken_over(accept, draw, pictures, bare):
    line = draw(reading_of(scale=False), pictures(bare))
    (layer,) = accept(line, new(1)).layers
    assert layer.thickness_um is None
    assert Measurement.objects.get().thickness_um is None


def test_without_a_target_the_colour_stands_beside_the_layer_marked_and_not_in_it(api, accept, draw, pictures, bare):
    line = draw(reading_of(calibrated=False), pictures(bare, um_per_pixel=0.5, scale_by="stated"))
    (layer,) = accept(line, new(2)).layers
    assert (layer.lab_l, layer.munsell, layer.thickness_um) == (None, "", 12.5)
    (told,) = api("owner").get(f"measurements/?layer={layer.pk}").json()["results"]
    assert (told["lab_l"], told["colour_calibrated"], told["attachment_number"]) == (45.0, False, line.attachment.number)


@pytest.mark.parametrize("field", ["lab", "munsell"])
def test_an_uncalibrated_colour_replaces_none_that_a_person_entered(accept, draw, paint, field):
    line = draw(reading_of(calibrated=False))
    row = records.Row(2, "replace", layer=str(paint.layers["101-1"][1].pk), layer_version=1, fields=(field,))
    with pytest.raises(Invalid, match="no colour target"):
        accept(line, row)


# -- what is refused ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (lambda layers: new(4), "shows no layer 4; it shows 3"),
        (lambda layers: new(0), "shows no layer 0"),
        (lambda layers: records.Row(1, "beside"), "Say beside which layer"),
        (lambda layers: records.Row(1, "replace", layer=layers[0], layer_version=1), "Say which fields"),
        (lambda layers: records.Row(1, "beside", layer=layers[0], fields=("lab",)), "replaces no fields"),
        (lambda layers: records.Row(1, "beside", layer=layers[0], position=2), "has its position"),
        (lambda layers: records.Row(1, "beside", layer="6f9619ff-8b86-4d01-b42d-00cf4fc964ff"), "has no such layer"),
        (lambda layers: new(1, layer=layers[0]), "names no standing one"),
        (lambda layers: records.Row(1, "guess"), "is no way to take over"),
        (lambda layers: new(1, fields=("binder",)), "nothing that a line reads"),
    ],
)
def test_a_row_that_cannot_be_is_refused_in_words(accept, line, paint, row, words):
    with pytest.raises(Invalid, match=words):
        accept(line, row([str(one.pk) for one in paint.layers["101-1"]]))
    assert not Measurement.objects.exists()


def test_one_layer_is_taken_over_once(accept, line, paint):
    with pytest.raises(Invalid, match="is named twice"):
        accept(line, new(1), new(1))
    layer = str(paint.layers["101-1"][1].pk)
    with pytest.raises(Invalid, match="Two layers of the line are told to be layer 101-1/2"):
        accept(line, records.Row(1, "beside", layer=layer), records.Row(2, "beside", layer=layer))


def test_the_order_on_the_line_is_the_order_of_the_layers(accept, line, paint):
    first, second, _ = (str(one.pk) for one in paint.layers["101-1"])
    with pytest.raises(Invalid, match="would not lie above"):
        accept(line, records.Row(1, "beside", layer=second), records.Row(2, "beside", layer=first))
    with pytest.raises(Invalid, match="would not lie above"):
        accept(line, records.Row(1, "beside", layer=second), new(2, position=1))
    assert len(stack(paint.first)) == 3


def test_a_layer_of_another_sample_is_not_the_one_on_the_line(accept, line, paint):
    with pytest.raises(Invalid, match="has no such layer"):
        accept(line, records.Row(1, "beside", layer=str(paint.layers["101-2"][0].pk)))


def test_a_line_of_another_sample_is_not_found(accept, line, paint):
    with pytest.raises(NotFound, match="is not of sample 101-2"):
        accept(line, new(1), sample=paint.second)


def test_a_line_of_another_project_is_not_found(cast, accept, line, paint):
    other = records.create_project(cast.coordinator, {"code": "MILL", "name": "The mill"})
    Traverse.objects.filter(pk=line.pk).update(project=other)
    with pytest.raises(NotFound):
        accept(line, new(1), sample=paint.first)


def test_an_owner_and_a_contractor_take_nothing_over(accept, line):
    with pytest.raises(Forbidden):
        accept(line, new(1), who="owner")
    with pytest.raises(NotFound):
        accept(line, new(1), who="contractor")


# -- what rests on layers -------------------------------------------------------------------------------------------------------------


@pytest.fixture
def agreed(cast, project, paint):
    """An interpretation that cites the middle layer, and to which the owner agreed."""
    layer = paint.layers["101-1"][1]
    values = {
        "discipline": "paint conservation", "subject": "space", "space": str(paint.space.pk), "statement": "Green was the first scheme.",
        "citations": [{"type": "layer", "id": str(layer.pk)}],
    }  # fmt: skip
    found = records.create(cast.historian, project, Interpretation, values)
    found = records.transition(cast.historian, project, found.pk, found.version, "for comment")
    return records.transition(cast.owner, project, found.pk, found.version, "agreed")


def test_an_agreed_interpretation_is_for_comment_again_when_a_reading_replaces_what_it_rests_on(accept, line, paint, agreed):
    layer = paint.layers["101-1"][1]
    accept(line, records.Row(2, "replace", layer=str(layer.pk), layer_version=1, fields=("thickness_um",)))
    agreed.refresh_from_db()
    assert agreed.state == "for comment"
    assert "thickness um from blank to '12.5'" in Comment.objects.filter(about_id=agreed.pk).latest("created_at").text


def test_an_agreed_interpretation_stays_agreed_when_a_measurement_only_stands_beside_its_layer(accept, line, paint, agreed):
    accept(line, records.Row(2, "beside", layer=str(paint.layers["101-1"][1].pk)))
    agreed.refresh_from_db()
    assert agreed.state == "agreed"


# -- the interface ----------------------------------------------------------------------------------------------------------------------


def body(line, *rows, **more):
    return {"traverse": str(line.pk), "version": line.version, "rows": list(rows), **more}


def test_layers_are_taken_over_by_the_interface(api, line, paint):
    layer = paint.layers["101-1"][1]
    rows = [{"index": 1, "deed": "new", "position": 1, "kind": "size"}, {"index": 2, "deed": "beside", "layer": str(layer.pk)}]
    answer = api("conservator").post(f"samples/{paint.first.pk}/lines/accept", body(line, *rows))
    assert answer.status_code == 200, answer.content
    told = answer.json()
    assert [(one["name"], one["kind"]) for one in told["layers"]] == [("101-1/1", "size"), ("101-1/3", "paint")]
    assert [one["layer"] for one in told["measurements"]] == [one["id"] for one in told["layers"]]
    assert {one["traverse_number"] for one in told["measurements"]} == {1}


def test_who_saw_a_former_layer_is_answered_the_present_one(api, cast, project, line, paint):
    layer = paint.layers["101-1"][1]
    records.change(cast.historian, project, Layer, layer.pk, 1, {"thickness_um": 40.0})
    row = {"index": 2, "deed": "replace", "layer": str(layer.pk), "layer_version": 1, "fields": ["thickness_um"]}
    told = problem(api("conservator").post(f"samples/{paint.first.pk}/lines/accept", body(line, row)), 412)
    assert (told["current"]["name"], told["current"]["thickness_um"]) == ("101-1/2", 40.0)


def test_who_saw_another_stack_is_told_so_and_nothing_is_taken_over(api, line, paint):
    path, row = f"samples/{paint.first.pk}/lines/accept", {"index": 1, "deed": "new"}
    there = [str(layer.pk) for layer in paint.layers["101-1"]]
    told = problem(api("conservator").post(path, body(line, row, standing=there[:2])), 409)
    assert told["code"] == "layers-changed"
    for wrong in (["x"], "all", [1]):
        problem(api("conservator").post(path, body(line, row, standing=wrong)), 422)
    assert api("conservator").post(path, body(line, row, standing=there)).status_code == 200
    assert Layer.objects.filter(sample=paint.first).count() == 4


def test_who_saw_a_former_reading_is_answered_the_present_line(api, line, paint):
    row = {"index": 1, "deed": "new"}
    told = problem(api("conservator").post(f"samples/{paint.first.pk}/lines/accept", {**body(line, row), "version": 1}), 412)
    assert told["current"]["number"] == line.number


@pytest.mark.parametrize(
    "row",
    [
        {"index": 1},
        {"index": True, "deed": "new"},
        {"index": 1, "deed": "guess"},
        {"index": 1, "deed": "new", "colour": "red"},
        {"index": 1, "deed": "new", "fields": ["lab", "lab"]},
        {"index": 1, "deed": "new", "layer": "x"},
        "new",
    ],
)
def test_a_row_of_another_form_is_refused(api, line, paint, row):
    told = problem(api("conservator").post(f"samples/{paint.first.pk}/lines/accept", body(line, row)), 422)
    assert told["errors"][0]["pointer"] == "/rows"


def test_a_batch_of_layers_with_the_same_key_is_taken_over_once(api, line, paint):
    for _ in range(2):
        answer = api("conservator").post(
            f"samples/{paint.first.pk}/lines/accept", body(line, {"index": 1, "deed": "new"}), Idempotency_Key="take-1"
        )
        assert answer.status_code == 200
    assert len(stack(paint.first)) == 4


# -- side by side -----------------------------------------------------------------------------------------------------------------------


def together(api, sample):
    answer = api("owner").get(f"samples/{sample.pk}/lines")
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_a_sample_without_lines_says_what_to_do(api, paint):
    told = together(api, paint.first)
    assert (told["traverses"], told["layers"]) == ([], [])
    assert told["sentence"].startswith("No line of this sample has been read yet")


def test_one_line_stands_beside_the_layers_that_it_most_likely_shows(api, line, paint):
    told = together(api, paint.first)
    assert told["traverses"] == [str(line.pk)]
    assert [one["by_traverse"] for one in told["layers"]] == [{str(line.pk): number} for number in (1, 2, 3)]
    assert [one["standing"] for one in told["layers"]] == [str(one.pk) for one in paint.layers["101-1"]]
    middle = told["layers"][1]
    assert middle["thickness_um"] == {"median": 12.5, "least": 12.5, "most": 12.5}
    assert {one["field"]: one["standing"] for one in middle["differences"]} == {
        "thickness_um": None, "lab": "5GY 6/4", "uv_colour": None, "uv_strength": None,
    }  # fmt: skip


def test_what_was_accepted_stands_where_it_was_accepted(api, accept, line, paint):
    top = paint.layers["101-1"][2]
    accept(line, records.Row(1, "beside", layer=str(top.pk)))
    told = together(api, paint.first)
    assert [one["standing"] for one in told["layers"]] == [str(top.pk), None, None]


def test_a_line_drawn_from_the_surface_down_is_told_beside_the_layers_that_stand(cast, project, api, draw, bare, pictures, visible):
    films = (*FILMS, (40.0, (30.0, 20.0, 10.0)))
    for position, (thickness, (lightness, a, b)) in enumerate(films, start=1):
        values = {"sample": bare.pk, "position": position, "kind": "paint", "thickness_um": thickness}
        records.create(cast.conservator, project, Layer, {**values, "lab_l": lightness, "lab_a": a, "lab_b": b})
    picture = pictures(bare, um_per_pixel=0.5, scale_by="stated", correction=visible.correction)
    line = draw(reading_of(films[::-1]), picture)
    assert together(api, bare)["cautions"][0].startswith("What was read fits the layers that stand plainly better from the surface down.")
    read(cast, project, line, reading_of(films))
    assert not any("surface down" in one for one in together(api, bare)["cautions"])


def test_what_is_to_be_known_of_one_line_only_names_it(api, draw, paint):
    draw(reading_of())
    draw(replace(reading_of(), cautions=("A proposal: look at it.", "Part of the line lies outside the picture.")))
    cautions = together(api, paint.first)["cautions"]
    assert "A proposal: look at it." in cautions
    assert "Line 2: Part of the line lies outside the picture." in cautions


def test_colours_of_a_picture_without_target_are_told_and_compared_with_none(api, draw, paint):
    draw(reading_of(calibrated=False))
    told = together(api, paint.first)
    assert {one["colour_calibrated"] for one in told["layers"]} == {False}
    assert "lab" not in {one["field"] for layer in told["layers"] for one in layer["differences"]}
    assert any("Uncalibrated" in one for one in told["cautions"])


def test_a_picture_of_another_project_shows_no_lines(api, cast, line, paint):
    other = records.create_project(cast.coordinator, {"code": "MILL", "name": "The mill"})
    Attachment.objects.update(project=other)
    Traverse.objects.update(project=other)
    problem(api("owner").get(f"/api/v1/projects/MILL/samples/{paint.first.pk}/lines"), 404)
    problem(api("coordinator").get(f"/api/v1/projects/MILL/samples/{paint.first.pk}/lines"), 404)

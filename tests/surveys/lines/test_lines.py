"""Lines across sections: drawn, moved, read; what they rest on; what goes and comes back with them."""

import datetime as dt
from dataclasses import replace

import pytest

from analysis.core import versions
from surveys import jobs, records
from surveys.errors import Conflict, Invalid, NotFound, Stale
from surveys.models import Attachment, Change, Job, Layer, Measurement, Registration, Sample, Traverse
from surveys.records import lines as writing
from surveys.records.computed import InputChanged
from surveys.records.writing import writing as act
from surveys.selectors import lines
from tests.surveys.api.conftest import problem, rows
from tests.surveys.lines.conftest import FILMS, read, reading_of

pytestmark = pytest.mark.django_db


def wanted():
    return [job.params["traverse"] for job in Job.objects.filter(kind="read-line", state="queued").order_by("created_at")]


def shown(api, line):
    return api("owner").get(f"traverses/{line.pk}").json()


# -- drawing --------------------------------------------------------------------------------------------------------------------


def test_a_line_takes_its_sample_from_its_picture_and_is_read_when_the_act_is_over(draw, paint, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        line = draw()
    assert (line.sample_id, line.number) == (paint.first.pk, 1)
    assert wanted() == [str(line.pk)]


def test_the_picture_may_be_of_a_layer(draw, pictures, paint):
    picture = pictures(paint.first)
    Attachment.objects.filter(pk=picture.pk).update(about_type="layer", about_id=paint.layers["101-1"][1].pk)
    picture.refresh_from_db()
    assert draw(picture=picture).sample_id == paint.first.pk


def test_the_number_of_a_line_that_was_removed_is_not_used_again(cast, project, draw):
    draw()
    second = draw()
    records.remove(cast.conservator, project, Traverse, second.pk, second.version)
    assert draw().number == 3


def test_lines_are_numbered_within_their_sample(draw, pictures, paint):
    draw()
    assert draw(picture=pictures(paint.second)).number == 1


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"path": [[100, 250]]}, "path", "list of 2"),
        ({"path": [[100, 250], [100, 250]]}, "path", "in one place"),
        ({"path": [[100, 250], [105, 250]]}, "path", "only 5 px long"),
        ({"path": [[100, 250], [500, 250]]}, "path", "leaves the picture, which is 400 × 300 px"),
        ({"path": [[100, 250], [100, -1]]}, "path", "leaves the picture"),
        ({"path": [[100, float("nan")], [100, 50]]}, "path", "number"),
        ({"width_px": 0}, "width_px", "1 to 4,000 px wide"),
        ({"width_px": 5000}, "width_px", "1 to 4,000 px wide"),
        ({"boundaries": [3.0, 2.0]}, "boundaries", "from the substrate on"),
        ({"boundaries": [3.0]}, "boundaries", "at least two boundaries"),
    ],
)
def test_a_line_that_cannot_be_is_refused_in_words(draw, values, field, words):
    with pytest.raises(Invalid, match=words) as refusal:
        draw(**values)
    assert refusal.value.faults[0].field == field


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"kind": "UV micrograph"}, "is a UV micrograph. Draw the line on the visible micrograph"),
        ({"kind": "document"}, "is a document"),
        ({"about_type": "space"}, "is about a space"),
        ({"prepared": "refused", "refusal": "It is cut short."}, "could not be opened: It is cut short"),
    ],
)
def test_a_line_is_drawn_on_a_visible_micrograph_of_a_sample_only(draw, pictures, paint, values, words):
    with pytest.raises(Invalid, match=words):
        draw(picture=pictures(paint.first, **values))


def test_a_picture_of_a_sample_that_is_gone_takes_no_line(draw, pictures, paint):
    picture = pictures(paint.first)
    Attachment.objects.filter(pk=picture.pk).update(about_id=picture.pk)
    picture.refresh_from_db()
    with pytest.raises(Invalid, match="is gone"):
        draw(picture=picture)


def test_a_line_stays_on_its_picture(cast, project, draw, pictures, paint):
    line, other = draw(), pictures(paint.first)
    with pytest.raises(Invalid, match="stays on its picture"):
        records.change(cast.conservator, project, Traverse, line.pk, line.version, {"attachment": other.pk})


def test_two_who_move_one_line_are_told_apart_by_its_version(cast, project, draw):
    line = draw()
    records.change(cast.conservator, project, Traverse, line.pk, line.version, {"width_px": 20})
    with pytest.raises(Stale):
        records.change(cast.historian, project, Traverse, line.pk, line.version, {"width_px": 30})


# -- reading --------------------------------------------------------------------------------------------------------------------


def test_what_was_read_is_shown_with_its_units_and_its_state(api, draw):
    line = draw()
    assert (shown(api, line)["state"], shown(api, line)["layers"]) == ("waiting", [])
    found = shown(api, draw(reading_of()))
    assert (found["state"], found["calibrated"], found["colour_calibrated"], found["colour_state"]) == ("read", True, True, "calibrated")
    assert [layer["thickness_um"] for layer in found["layers"]] == [thickness for thickness, _ in FILMS]
    assert [layer["index"] for layer in found["layers"]] == [1, 2, 3]
    assert [layer["lab"] for layer in found["layers"]] == [list(lab) for _, lab in FILMS]
    assert {layer["boundary"] for layer in found["layers"]} == {"sharp"}
    assert found["cautions"] == ["A proposal: look at it."]


def test_without_a_scale_there_is_no_thickness_and_that_is_said(api, draw):
    found = shown(api, draw(reading_of(scale=False)))
    assert not found["calibrated"]
    assert [layer["thickness_um"] for layer in found["layers"]] == [None, None, None]
    assert "The picture has no scale, so no thickness is told." in found["cautions"]


def test_without_a_target_the_colours_are_told_to_be_uncalibrated(api, draw):
    found = shown(api, draw(reading_of(calibrated=False)))
    assert (found["colour_state"], found["colour_calibrated"]) == ("uncalibrated", False)


def test_a_line_that_cannot_be_read_says_why(api, cast, project, draw):
    line = read(cast, project, draw(), None, "The line doubles back: draw it without turning round.")
    found = shown(api, line)
    assert (found["state"], found["layers"]) == ("refused", [])
    assert found["refusal"].startswith("The line doubles back")


def test_a_reading_of_what_has_changed_meanwhile_is_not_kept(cast, project, draw):
    line = draw()
    with pytest.raises(InputChanged):
        records.store_reading(cast.conservator, project, line.pk, "another digest", reading_of())
    assert Traverse.objects.get(pk=line.pk).reading is None


def test_a_reading_of_a_line_that_was_removed_is_not_kept(cast, project, draw):
    line = draw()
    records.remove(cast.conservator, project, Traverse, line.pk, line.version)
    with pytest.raises(NotFound, match="was removed"):
        records.store_reading(cast.conservator, project, line.pk, "x", reading_of())


def test_a_reading_that_says_something_else_is_another_version_and_the_same_is_not(cast, project, draw):
    line = draw(reading_of())
    assert line.version == 2
    assert read(cast, project, line, reading_of()).version == 2
    assert read(cast, project, line, reading_of(FILMS[:2])).version == 3


def test_what_was_read_is_no_part_of_the_history(draw):
    line = draw(reading_of())
    assert all("reading" not in change.fields for change in Change.objects.filter(record_id=line.pk))


def test_a_line_that_is_moved_is_read_again(cast, project, api, draw, django_capture_on_commit_callbacks):
    line = draw(reading_of())
    with django_capture_on_commit_callbacks(execute=True):
        records.change(cast.conservator, project, Traverse, line.pk, line.version, {"path": [[90, 250], [90, 50]]})
    found = shown(api, line)
    assert (found["state"], found["boundaries"]) == ("waiting", None)
    assert wanted() == [str(line.pk)]


def test_boundaries_that_a_person_placed_are_never_lost_by_another_path_unasked(api, draw):
    line = draw(reading_of())
    here, elsewhere = f"traverses/{line.pk}", [[90, 250], [90, 50]]
    placed = api("conservator").patch(here, {"boundaries": [12.0, 80.0]}, If_Match=f'"{line.version}"')
    refused = api("conservator").patch(here, {"path": elsewhere, "notes": "x"}, If_Match=placed.headers["ETag"])
    told = problem(refused, 422)
    assert told["errors"][0] == {"pointer": "/path", "code": "boundaries-placed", "detail": told["detail"]}
    assert "as they were found first" in told["detail"]
    now = api("owner").get(here).json()
    assert (now["boundaries"], now["path"], now["notes"]) == ([12.0, 80.0], [[100, 250], [100, 50]], "")
    moved = api("conservator").patch(here, {"path": elsewhere, "boundaries": None}, If_Match=placed.headers["ETag"])
    assert (moved.json()["path"], moved.json()["boundaries"]) == (elsewhere, None)


def test_a_line_from_which_layers_were_taken_over_stays_where_they_were_seen(api, accepted, paint):
    line = Traverse.objects.get(pk=accepted.pk)
    body = {"path": [[90, 250], [90, 50]], "boundaries": None}
    told = problem(api("conservator").patch(f"traverses/{line.pk}", body, If_Match=f'"{line.version}"'), 422)
    assert told["errors"][0]["code"] == "accepted"
    assert "Draw another line" in told["detail"]
    one = api("owner").get(f"traverses/{line.pk}").json()
    assert [layer["accepted"] for layer in one["layers"]] == [None, str(paint.layers["101-1"][1].pk), None]
    # Another width leaves the places along it where they are.
    assert api("conservator").patch(f"traverses/{line.pk}", {"width_px": 20}, If_Match=f'"{line.version}"').status_code == 200


def test_of_many_lines_led_elsewhere_at_once_each_that_may_not_is_named_and_none_is(api, accepted, draw, django_assert_num_queries):
    free, placed = draw(reading_of()), draw(reading_of())
    Traverse.objects.filter(pk=placed.pk).update(boundaries=[12.0, 80.0])
    elsewhere = {"path": [[90, 250], [90, 50]]}
    rows_ = [{"op": "change", "id": str(one.pk), "version": one.version, "values": elsewhere} for one in (free, placed, accepted)]
    told = problem(api("conservator").post("traverses/batch", {"operations": rows_}), 422)
    assert [(one["pointer"], one["code"]) for one in told["errors"]] == [
        ("/operations/1/values/path", "boundaries-placed"),
        ("/operations/2/values/path", "accepted"),
    ]
    assert Traverse.objects.get(pk=free.pk).path == [[100, 250], [100, 50]]


def test_boundaries_that_fit_no_new_reading_are_set_aside_and_it_is_said_where_they_were(api, cast, project, draw):
    line = draw(reading_of())
    Traverse.objects.filter(pk=line.pk).update(boundaries=[12.0, 139.5])
    # The line was read as far as 155 px; now only as far as 100 px.
    shorter = reading_of((FILMS[0], (10.0, FILMS[1][1])))
    assert len(shorter.profile.lab) == 100
    found = shown(api, read(cast, project, line, shorter))
    assert (found["state"], found["boundaries"], len(found["layers"])) == ("read", None, 2)
    assert "Boundaries that a person had placed, at 12, 139.5 px, do not fit what was read now" in found["cautions"][0]
    assert Change.objects.filter(record_id=line.pk).latest("sequence").fields["boundaries"] == [[12.0, 139.5], None]


def test_the_same_path_sent_again_leaves_the_boundaries_where_a_person_put_them(cast, project, draw, django_capture_on_commit_callbacks):
    line = draw(reading_of())
    Traverse.objects.filter(pk=line.pk).update(boundaries=[12.0, 80.0])
    with django_capture_on_commit_callbacks(execute=True):
        records.change(cast.conservator, project, Traverse, line.pk, line.version, {"path": [[100, 250], [100, 50]], "notes": "x"})
    line.refresh_from_db()
    assert (line.boundaries, line.read_digest != "", wanted()) == ([12.0, 80.0], True, [])


def test_a_note_on_a_line_does_not_make_it_read_again(cast, project, api, draw, django_capture_on_commit_callbacks):
    line = draw(reading_of())
    with django_capture_on_commit_callbacks(execute=True):
        records.change(cast.conservator, project, Traverse, line.pk, line.version, {"notes": "through the crack"})
    assert (shown(api, line)["state"], wanted()) == ("read", [])


def test_boundaries_are_not_moved_before_the_line_is_read(cast, project, draw):
    line = draw()
    with pytest.raises(Invalid, match="not read yet"):
        records.change(cast.conservator, project, Traverse, line.pk, line.version, {"boundaries": [12.0, 80.0]})


@pytest.mark.parametrize("way", ["failed", "cancelled", "none"])
def test_a_line_for_whose_reading_nothing_is_under_way_says_so(api, cast, project, draw, django_capture_on_commit_callbacks, way):
    with django_capture_on_commit_callbacks(execute=True):
        line = draw()
    assert shown(api, line)["trouble"] == ""
    if way == "none":
        Job.objects.all().delete()
        # A line that was drawn just now may be told in the act that asks for its reading.
        assert shown(api, line)["trouble"] == ""
        Traverse.objects.update(created_at=line.created_at - dt.timedelta(minutes=5))
    else:
        Job.objects.update(state=way, error="The disk is full.")
    told = "It is not read, and nothing is under way. Ask for it again." if way == "none" else "It is not read. The disk is full."
    assert (shown(api, line)["state"], shown(api, line)["trouble"]) == ("waiting", told)
    jobs.ask(cast.conservator, project, "read-line", {"traverse": str(line.pk)})
    assert shown(api, line)["trouble"] == ""
    read(cast, project, line, reading_of())
    Job.objects.all().delete()
    assert (shown(api, line)["state"], shown(api, line)["trouble"]) == ("read", "")


# -- what a reading follows from -------------------------------------------------------------------------------------------------


def digest(project, line):
    now = lines.line(project, line.pk)
    return lines.line_digest(now, lines.registered_uv(now.attachment))


def register(cast, project, fixed, moving):
    return Registration.objects.create(
        project=project, created_by=cast.conservator, fixed=fixed, moving=moving, method="features",
        matrix=[[1, 0, 3], [0, 1, -2], [0, 0, 1]], residual_px=0.4, inliers=120,
    )  # fmt: skip


def test_a_reading_follows_from_picture_path_scale_colours_and_registration_and_from_nothing_else(
    cast, project, draw, visible, pictures, paint
):
    line = draw()
    met = {digest(project, line)}
    Traverse.objects.filter(pk=line.pk).update(notes="x", boundaries=[1.0, 2.0])
    Attachment.objects.filter(pk=visible.pk).update(caption="x", magnification="200×")
    assert digest(project, line) in met
    for change in (
        lambda: Traverse.objects.filter(pk=line.pk).update(width_px=10),
        lambda: Traverse.objects.filter(pk=line.pk).update(path=[[1, 200], [1, 10]]),
        lambda: Attachment.objects.filter(pk=visible.pk).update(um_per_pixel=0.25),
        lambda: Attachment.objects.filter(pk=visible.pk).update(correction=None),
        lambda: register(cast, project, visible, pictures(paint.first, "UV micrograph")),
        lambda: Registration.objects.update(matrix=[[1, 0, 4], [0, 1, -2], [0, 0, 1]]),
        lambda: Registration.objects.all().delete(),
    ):
        before = digest(project, line)
        change()
        assert digest(project, line) != before


def test_only_a_uv_picture_is_read_along_with_the_visible_one(cast, project, visible, pictures, paint):
    register(cast, project, visible, pictures(paint.first))
    assert lines.registered_uv(visible) is None
    found = register(cast, project, visible, pictures(paint.first, "UV micrograph"))
    assert lines.registered_uv(visible) == found
    Attachment.objects.filter(pk=found.moving_id).update(prepared="refused")
    assert lines.registered_uv(visible) is None


def test_lines_rest_on_their_picture_on_that_which_lends_its_colours_and_on_the_uv_picture(cast, project, draw, visible, pictures, paint):
    uv, target = pictures(paint.first, "UV micrograph"), pictures(paint.first, "photograph", correction={"status": "calibrated"})
    line, other = draw(), draw(picture=pictures(paint.second))
    register(cast, project, visible, uv)
    Attachment.objects.filter(pk=visible.pk).update(colour_from=target)
    for picture in (visible, uv, target):
        assert lines.lines_resting_on([picture.pk]) == [line]
    assert lines.lines_resting_on([other.attachment_id]) == [other]


def test_lines_are_read_again_when_a_registration_goes(
    cast, project, api, draw, visible, pictures, paint, django_capture_on_commit_callbacks
):
    registration = register(cast, project, visible, pictures(paint.first, "UV micrograph"))
    line = draw(reading_of())
    with django_capture_on_commit_callbacks(execute=True):
        records.remove(cast.conservator, project, Registration, registration.pk, 1)
    assert (shown(api, line)["state"], wanted()) == ("waiting", [str(line.pk)])


# -- going and coming back -------------------------------------------------------------------------------------------------------


@pytest.fixture
def accepted(cast, project, draw, paint):
    line = draw(reading_of())
    row = records.Row(2, "beside", layer=str(paint.layers["101-1"][1].pk))
    records.accept_layers(cast.conservator, project, paint.first.pk, line.pk, line.version, [row])
    return line


def test_a_line_takes_its_measurements_along_and_the_layers_stay(cast, project, accepted, paint):
    records.remove(cast.conservator, project, Traverse, accepted.pk, accepted.version)
    assert not Measurement.objects.exists()
    assert Layer.objects.filter(sample=paint.first).count() == 3


def test_a_layer_takes_its_measurements_along_and_the_line_stays(cast, project, accepted, paint):
    layer = paint.layers["101-1"][1]
    records.remove(cast.conservator, project, Layer, layer.pk, layer.version)
    assert (Measurement.objects.count(), Traverse.objects.count()) == (0, 1)


def test_a_picture_takes_registrations_lines_and_measurements_along_and_all_come_back(
    cast, project, accepted, visible, pictures, paint, django_capture_on_commit_callbacks
):
    register(cast, project, visible, pictures(paint.first, "UV micrograph"))
    with act(cast.conservator, project) as pen:
        from surveys.records import removal

        removal.remove(pen, Attachment, [visible])
    assert not any(model.objects.exists() for model in (Registration, Traverse, Measurement))
    gone = Change.objects.filter(record_id=visible.pk, action="removed").get().act
    assert Change.objects.filter(act=gone, action="removed").count() == 4
    with django_capture_on_commit_callbacks(execute=True):
        records.restore(cast.coordinator, project, gone)
    assert [model.objects.count() for model in (Registration, Traverse, Measurement)] == [1, 1, 1]
    assert wanted() == [str(accepted.pk)]


def test_a_sample_takes_its_lines_and_their_measurements_along_once(cast, project, accepted, paint):
    records.remove(cast.conservator, project, Sample, paint.first.pk, paint.first.version)
    assert not Traverse.objects.exists()
    lines_of = Change.objects.filter(action="removed").values_list("record_id", flat=True)
    assert len(lines_of) == len(set(lines_of))


def test_a_picture_with_lines_stays_a_visible_micrograph_of_its_sample(draw, visible, paint):
    draw()
    assert writing.refuse_leaving([(0, visible)]) == []
    visible.about_id = paint.second.pk
    assert "stays a visible micrograph of that sample" in writing.refuse_leaving([(0, visible)])[0].detail
    visible.about_id, visible.kind = paint.first.pk, "photograph"
    assert writing.refuse_leaving([(0, visible)])[0].field == "kind"


@pytest.mark.parametrize("which", ["fixed", "moving"])
def test_a_picture_that_is_laid_on_another_stays_of_its_light_and_sample(api, cast, project, visible, pictures, paint, which):
    uv = pictures(paint.first, "UV micrograph")
    register(cast, project, visible, uv)
    one, kind = (visible, "UV micrograph") if which == "fixed" else (uv, "photograph")
    here = f"attachments/{one.pk}"
    told = problem(api("conservator").patch(here, {"about_id": str(paint.second.pk)}, If_Match='"1"'), 422)
    assert (told["errors"][0]["pointer"], "are laid on each other" in told["detail"]) == ("/about_id", True)
    told = problem(api("conservator").patch(here, {"kind": kind}, If_Match='"1"'), 422)
    assert (told["errors"][0]["pointer"], "are laid on each other" in told["detail"]) == ("/kind", True)
    # To a layer of its own sample it may go.
    layer = {"about_type": "layer", "about_id": str(paint.layers["101-1"][0].pk)}
    assert api("conservator").patch(here, layer, If_Match='"1"').status_code == 200


# -- the interface ---------------------------------------------------------------------------------------------------------------


def test_a_list_of_lines_costs_the_same_however_long_it_is(api, draw, django_assert_num_queries):
    owner = api("owner")
    for many in (1, 4):
        while Traverse.objects.count() < many:
            draw(reading_of())
        # Session, person, project with role, lines, measurements, jobs.
        with django_assert_num_queries(6):
            assert len(rows(owner.get("traverses/"))) == many


def test_lists_of_measurements_and_registrations_and_the_stack_of_a_sample_cost_the_same_however_much_there_is(
    api, cast, project, draw, paint, visible, pictures, django_assert_num_queries
):
    owner = api("owner")
    for many in (1, 3):
        while Measurement.objects.count() < many:
            line, row = draw(reading_of()), records.Row(1, "beside", layer=str(paint.layers["101-1"][0].pk))
            records.accept_layers(cast.conservator, project, paint.first.pk, line.pk, line.version, [row])
            register(cast, project, visible, pictures(paint.first, "UV micrograph"))
        for path in ("measurements/", f"measurements/?layer={paint.layers['101-1'][0].pk}", f"measurements/?sample={paint.first.pk}"):
            # Session, person, project with role, the records.
            with django_assert_num_queries(4):
                assert len(rows(owner.get(path))) == many
        with django_assert_num_queries(4):
            assert len(rows(owner.get(f"registrations/?fixed={visible.pk}"))) == many
        # Session, person, project with role, role and sample, lines, layers, measurements.
        with django_assert_num_queries(8):
            assert len(owner.get(f"samples/{paint.first.pk}/lines").json()["layers"]) == 3


def test_lines_are_found_by_picture_by_sample_and_by_state(api, draw, visible, paint):
    line, waiting = draw(reading_of()), draw()
    for query in (f"attachment={visible.pk}", "sample=101-1", f"sample={paint.first.pk}"):
        assert [row["id"] for row in rows(api("owner").get(f"traverses/?{query}"))] == [str(line.pk), str(waiting.pk)]
    assert [row["id"] for row in rows(api("owner").get("traverses/?state=waiting"))] == [str(waiting.pk)]
    assert rows(api("owner").get("traverses/?state=refused")) == []


def test_lines_are_drawn_moved_and_removed_over_the_interface(api, visible):
    made = api("conservator").post("traverses/", {"attachment": str(visible.pk), "path": [[100, 250], [100, 50]], "width_px": 40})
    assert made.status_code == 201, made.content
    told = made.json()
    assert (told["attachment_number"], told["sample_number"], told["number"], told["state"]) == (1, "101-1", 1, "waiting")
    here = f"traverses/{told['id']}"
    assert api("conservator").patch(here, {"width_px": 60}).status_code == 428
    moved = api("conservator").patch(here, {"width_px": 60}, If_Match=made.headers["ETag"])
    assert moved.json()["width_px"] == 60
    late = problem(api("historian").patch(here, {"width_px": 50}, If_Match=made.headers["ETag"]), 412)
    assert late["current"]["width_px"] == 60
    assert api("conservator").delete(here, If_Match=moved.headers["ETag"]).status_code == 204


def test_many_lines_may_be_drawn_at_once(api, visible):
    values = {"attachment": str(visible.pk), "path": [[100, 250], [100, 50]], "width_px": 40}
    operations = [{"op": "create", "values": values}, {"op": "create", "values": {**values, "width_px": 10}}]
    answer = api("conservator").post("traverses/batch", {"operations": operations})
    assert [one["record"]["number"] for one in answer.json()["outcomes"]] == [1, 2]


def test_a_line_on_a_picture_of_another_project_is_not_found(api, cast, pictures, paint):
    other = records.create_project(cast.coordinator, {"code": "MILL", "name": "The mill"})
    picture = pictures(paint.first)
    Attachment.objects.filter(pk=picture.pk).update(project=other)
    told = problem(api("conservator").post("traverses/", {"attachment": str(picture.pk), "path": [[1, 2], [1, 90]], "width_px": 4}), 422)
    assert told["errors"][0]["pointer"] == "/attachment"


def test_the_profile_of_a_line_has_at_most_two_thousand_steps(api, draw):
    line = draw(reading_of(((30_000 * 0.5, (60.0, 0.0, 5.0)), (100.0, (40.0, 3.0, 8.0)))))
    told = api("owner").get(f"traverses/{line.pk}/profile").json()
    assert len(told["lab"]) <= 2_000
    assert told["lab"][0] == [60.0, 0.0, 5.0]
    assert told["step_px"] == 16
    assert [one["at_px"] for one in told["boundaries"]] == told["found"] == [10.0, 30_010.0, 30_210.0]


def test_a_line_that_a_program_of_another_version_read_is_told_to_be_read_again_and_breaks_nothing(api, cast, project, draw, paint):
    line = draw(reading_of())
    reading = Traverse.objects.get(pk=line.pk).reading
    Traverse.objects.filter(pk=line.pk).update(reading={**reading, "found": {"layers": "otherwise"}})
    assert api("owner").get(f"traverses/{line.pk}/profile").json()["lab"] == []
    told = api("owner").get(f"samples/{paint.first.pk}/lines").json()
    assert told["layers"] == []
    assert "was read by an earlier version" in told["cautions"][0]
    problem(api("conservator").patch(f"traverses/{line.pk}", {"boundaries": [10, 70]}, If_Match=f'"{line.version}"'), 409)


def test_a_line_that_another_version_read_says_so_and_keeps_its_boundaries_by_hand_when_it_is_read_again(api, cast, project, draw):
    line = draw(replace(reading_of(), version="0.9"), boundaries=None)
    answer = api("conservator").patch(f"traverses/{line.pk}", {"boundaries": [10, 60, 130]}, If_Match=f'"{line.version}"')
    assert (answer.status_code, answer.json()["read_by_older"]) == (200, True)
    read(cast, project, line, replace(reading_of(), version=versions.MICROGRAPHS))
    told = shown(api, line)
    assert (told["read_by_older"], told["boundaries"]) == (False, [10, 60, 130])


def test_a_line_that_waits_was_read_by_no_version(api, draw):
    assert shown(api, draw())["read_by_older"] is False


def test_the_profile_of_a_line_that_waits_is_empty(api, draw):
    told = api("owner").get(f"traverses/{draw().pk}/profile").json()
    assert (told["lab"], told["boundaries"]) == ([], [])


@pytest.mark.parametrize("path", ["traverses/{}", "traverses/{}/profile"])
def test_who_may_not_see_the_project_sees_no_line(api, draw, path):
    line = draw(reading_of())
    for who in ("contractor", "stranger"):
        problem(api(who).get(path.format(line.pk)), 404)


def test_who_has_lost_his_place_asks_for_no_reading(cast, project, draw):
    line = draw()
    with pytest.raises(NotFound):
        jobs.ask(cast.contractor, project, "read-line", {"traverse": str(line.pk)})
    with pytest.raises(Conflict, match="being read just now"):
        writing.require_read(line)


# -- the history ------------------------------------------------------------------------------------------------------------------


def test_what_befell_a_line_and_a_picture_is_told_in_words(api, cast, project, draw, visible):
    line = draw(reading_of())
    records.change(cast.conservator, project, Traverse, line.pk, line.version, {"path": [[100, 250], [100, 150]], "width_px": 20})
    told = api("owner").get(f"history/{line.pk}").json()["changes"][0]["fields"]
    assert [(one["label"], one["before"], one["after"]) for one in told] == [
        ("path", "2 points, 200 px long", "2 points, 100 px long"),
        ("width of the strip", "40 px", "20 px"),
    ]
    target = {"target": "grey card", "patches": [{"box": [10, 10, 20, 20]}]}
    changed = records.change(cast.conservator, project, Attachment, visible.pk, 1, {"colour_target": target})
    line_of = {"points": [[10, 10], [10, 210]], "length_um": 100}
    records.change(cast.conservator, project, Attachment, visible.pk, changed.version, {"scale_line": line_of})
    latest, before = api("owner").get(f"history/{visible.pk}").json()["changes"][:2]
    assert {one["label"]: one["after"] for one in before["fields"]}["colour target"] == "grey card, 1 patch"
    assert {one["label"]: one["after"] for one in latest["fields"]} == {
        "how the scale is known": "stage micrometer", "line of known length": "100 µm over 200 px",
    }  # fmt: skip

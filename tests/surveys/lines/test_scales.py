"""Scale and colour target of pictures: what follows from what is drawn, named or stated, and what is read again by it."""

import pytest

from surveys import records
from surveys.errors import Invalid
from surveys.models import Attachment, Change, Job, Microscope
from surveys.records import pictures as writing
from surveys.records import scales
from surveys.records.computed import InputChanged
from tests.surveys.api.conftest import problem
from tests.surveys.lines.conftest import correction, reading_of

pytestmark = pytest.mark.django_db
PATCH = {"box": [10, 10, 20, 20]}


@pytest.fixture
def change(cast, project):
    def done(picture, **values):
        picture.refresh_from_db()
        return records.change(cast.conservator, project, Attachment, picture.pk, picture.version, values)

    return done


@pytest.fixture
def bare(pictures, paint):
    return pictures(paint.first)


@pytest.fixture
def microscope(cast, project):
    values = {"name": "Lab", "magnification": "200×", "um_per_pixel": 0.4, "picture_width": 800}
    return records.create(cast.conservator, project, Microscope, values)


def scale(picture):
    return (picture.um_per_pixel, picture.scale_by, picture.scale_line, picture.microscope_id)


def wanted(kind):
    return [job.params for job in Job.objects.filter(kind=kind, state="queued")]


# -- scale ----------------------------------------------------------------------------------------------------------------------------


def test_a_line_of_known_length_gives_the_scale(change, bare):
    line = {"points": [[10, 10], [10, 210]], "length_um": 100}
    assert scale(change(bare, scale_line=line)) == (0.5, "stage micrometer", line, None)


def test_a_microscope_gives_the_scale_for_pictures_of_any_width_and_the_magnification_where_none_is_told(change, bare, microscope):
    # The picture is 400 px wide, half of that for which 0.4 µm was measured.
    found = change(bare, microscope=str(microscope.pk))
    assert scale(found) == (0.8, "microscope", None, microscope.pk)
    assert found.magnification == "200×"


def test_a_magnification_that_a_person_told_stays(change, bare, microscope):
    change(bare, magnification="500×")
    assert change(bare, microscope=str(microscope.pk)).magnification == "500×"


def test_a_stated_scale_is_said_to_be_stated_and_takes_the_place_of_others(change, bare, microscope):
    change(bare, microscope=str(microscope.pk))
    assert scale(change(bare, um_per_pixel=0.3)) == (0.3, "stated", None, None)
    change(bare, scale_line={"points": [[10, 10], [10, 210]], "length_um": 100})
    assert scale(change(bare, um_per_pixel=0.3)) == (0.3, "stated", None, None)


@pytest.mark.parametrize("way", ["um_per_pixel", "scale_line"])
def test_a_cleared_scale_is_gone_whole(change, bare, way):
    change(bare, scale_line={"points": [[10, 10], [10, 210]], "length_um": 100})
    assert scale(change(bare, **{way: None})) == (None, "", None, None)


def test_to_clear_what_does_not_give_the_scale_leaves_it(change, bare):
    change(bare, um_per_pixel=0.3)
    assert scale(change(bare, microscope=None)) == (0.3, "stated", None, None)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"um_per_pixel": 500}, "not what a light microscope gives"),
        ({"um_per_pixel": 0.0001}, "not what a light microscope gives"),
        ({"scale_line": {"points": [[10, 10], [10, 30]], "length_um": 10}}, "only 20 px long"),
        ({"scale_line": {"points": [[10, 10], [10, 310]], "length_um": 100}}, "leaves the picture, which is 400 × 300 px"),
        ({"scale_line": {"points": [[10, 10], [10, 210]], "length_um": 100}, "um_per_pixel": 0.7}, "gives 0.5 µm a pixel, not 0.7"),
    ],
)
def test_a_scale_that_cannot_be_is_refused_in_words(change, bare, values, words):
    with pytest.raises(Invalid, match=words):
        change(bare, **values)
    bare.refresh_from_db()
    assert bare.um_per_pixel is None


def test_a_scale_is_told_in_one_way(change, bare, microscope):
    with pytest.raises(Invalid, match="in one way"):
        change(bare, scale_line={"points": [[10, 10], [10, 210]], "length_um": 100}, microscope=str(microscope.pk))


def test_a_microscope_of_another_project_is_not_found(cast, change, bare, microscope):
    Microscope.objects.update(project=records.create_project(cast.coordinator, {"code": "MILL", "name": "The mill"}))
    with pytest.raises(Invalid, match="no such microscope"):
        change(bare, microscope=str(microscope.pk))


def test_a_document_has_neither_scale_nor_colours(change, pictures, paint):
    document = pictures(paint.first, "document")
    for values in ({"um_per_pixel": 0.5}, {"colour_target": {"target": "grey card", "patches": [PATCH]}}):
        with pytest.raises(Invalid, match="A document has no scale"):
            change(document, **values)


def test_the_scale_of_a_microscope_is_made_to_the_width_once_it_is_known(cast, project, change, bare, microscope):
    Attachment.objects.update(width=None, height=None)
    assert change(bare, microscope=str(microscope.pk)).um_per_pixel == 0.4
    writing.ready(cast.conservator, project, bare, {"width": 1600, "height": 900})
    bare.refresh_from_db()
    assert (bare.um_per_pixel, bare.scale_by) == (0.2, "microscope")


def test_a_microscope_that_cannot_be_costs_a_picture_its_scale_and_not_that_it_is_shown(api, cast, project, change, bare, microscope):
    Attachment.objects.update(width=None, height=None)
    records.change(cast.conservator, project, Microscope, microscope.pk, 1, {"picture_width": 8})
    change(bare, microscope=str(microscope.pk))
    writing.ready(cast.conservator, project, bare, {"width": 1600, "height": 900, "shown": {"remarks": ["One."]}})
    bare.refresh_from_db()
    assert scale(bare) == (None, "", None, None)
    told = api("owner").get(f"attachments/{bare.pk}").json()
    assert (told["prepared"], told["remarks"][0]) == ("ready", "One.")
    # 0.4 µm · 8 px / 1,600 px.
    assert told["remarks"][1].startswith(
        "Lab, 200× gave it no scale when it was made ready. 0.002 µm a pixel is not what a light microscope"
    )


def test_a_picture_says_that_its_microscope_was_put_right_and_takes_it_over_when_asked(api, cast, project, change, bare, microscope):
    change(bare, microscope=str(microscope.pk))
    here = f"attachments/{bare.pk}"
    assert api("owner").get(here).json()["remarks"] == []
    records.change(cast.conservator, project, Microscope, microscope.pk, 1, {"um_per_pixel": 0.5})
    told = api("owner").get(here).json()
    assert told["um_per_pixel"] == 0.8
    # Half as wide as that for which it was measured.
    assert told["remarks"] == [
        "Its microscope is now said to give 1 µm a pixel; this picture was scaled by 0.8. Name the microscope again to take that over."
    ]
    change(bare, microscope=str(microscope.pk))
    told = api("owner").get(here).json()
    assert (told["um_per_pixel"], told["remarks"]) == (1.0, [])


def test_lines_are_read_again_at_another_scale_and_not_at_another_caption(change, draw, visible, django_capture_on_commit_callbacks):
    line = draw(reading_of())
    with django_capture_on_commit_callbacks(execute=True):
        change(visible, caption="x")
    assert wanted("read-line") == []
    with django_capture_on_commit_callbacks(execute=True):
        change(visible, um_per_pixel=0.25)
    assert wanted("read-line") == [{"traverse": str(line.pk)}]


# -- colour ---------------------------------------------------------------------------------------------------------------------------


def test_a_marked_target_is_measured_when_the_act_is_over(change, bare, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        change(bare, colour_target={"target": "grey card", "patches": [PATCH]})
    assert wanted("picture-colour") == [{"attachment": str(bare.pk)}]


def test_another_target_takes_the_correction_of_the_former_one_away(change, visible):
    assert visible.correction is not None
    change(visible, colour_target={"target": "grey card", "patches": [PATCH]})
    visible.refresh_from_db()
    assert visible.correction is None


def test_a_cleared_target_leaves_the_colours_uncalibrated(api, change, visible):
    Attachment.objects.filter(pk=visible.pk).update(colour_target={"target": "grey card", "patches": [PATCH]})
    assert api("owner").get(f"attachments/{visible.pk}").json()["colour_state"] == "calibrated"
    change(visible, colour_target=None)
    assert api("owner").get(f"attachments/{visible.pk}").json()["colour_state"] == "uncalibrated"


def test_a_picture_may_take_the_colours_of_another_on_which_the_target_is(api, change, bare, pictures, paint):
    target = pictures(
        paint.second, "photograph", colour_target={"target": "grey card", "patches": [PATCH]}, correction=correction("white-balanced")
    )
    change(bare, colour_from=str(target.pk))
    told = api("owner").get(f"attachments/{bare.pk}").json()
    assert told["colour_state"] == "white-balanced"
    assert told["colour_residual"] == {"mean": 0.8, "max": 1.9, "left_out_mean": 1.1, "left_out_max": 2.4}


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"target": "grey card", "patches": [PATCH, PATCH]}, "has no 'patch 2'"),
        ({"target": "grey card", "patches": [{**PATCH, "name": "purple"}]}, "has no 'purple'"),
        ({"target": "our own", "patches": [PATCH]}, "needs its L"),
        ({"target": "grey card", "patches": [{"box": [390, 10, 20, 20]}]}, "partly outside the picture"),
    ],
)
def test_a_target_that_cannot_be_measured_is_refused_in_words(change, bare, values, words):
    with pytest.raises(Invalid, match=words):
        change(bare, colour_target=values)


def test_patches_with_their_own_colours_may_be_of_any_target(change, bare):
    target = {"target": "our own", "patches": [{**PATCH, "lab": [70, 0, 0], "name": "tile"}]}
    assert change(bare, colour_target=target).colour_target["patches"][0]["name"] == "tile"


def test_colours_come_from_a_picture_that_has_a_target_itself(change, bare, pictures, paint):
    plain = pictures(paint.second)
    with pytest.raises(Invalid, match="has no colour target of its own"):
        change(bare, colour_from=str(plain.pk))
    with pytest.raises(Invalid, match="from itself"):
        change(bare, colour_from=str(bare.pk))


def test_a_correction_of_what_has_changed_meanwhile_is_not_kept(cast, project, bare):
    with pytest.raises(InputChanged):
        scales.store_correction(cast.conservator, project, bare.pk, bare.upload.sha256, {"target": "grey card"}, correction())


def test_a_correction_is_part_of_the_history_and_lines_are_read_again_by_it(
    cast, project, draw, visible, django_capture_on_commit_callbacks
):
    line = draw(reading_of())
    with django_capture_on_commit_callbacks(execute=True):
        scales.store_correction(cast.conservator, project, visible.pk, visible.upload.sha256, None, correction("white-balanced"))
    assert "correction" in Change.objects.filter(record_id=visible.pk).latest("sequence").fields
    assert wanted("read-line") == [{"traverse": str(line.pk)}]


# -- the interface ----------------------------------------------------------------------------------------------------------------------


def test_the_scale_is_set_over_the_interface_and_how_it_is_known_is_not(api, bare):
    here = f"attachments/{bare.pk}"
    answer = api("conservator").patch(here, {"um_per_pixel": 0.5}, If_Match='"1"')
    assert (answer.json()["um_per_pixel"], answer.json()["scale_by"]) == (0.5, "stated")
    problem(api("conservator").patch(here, {"scale_by": "stage micrometer"}, If_Match='"2"'), 400)
    told = problem(api("conservator").patch(here, {"um_per_pixel": 5_000}, If_Match='"2"'), 422)
    assert told["errors"][0]["pointer"] == "/um_per_pixel"


def test_the_targets_that_are_known_are_told_with_their_sources(api):
    answer = api("owner").get("targets/")
    assert answer.status_code == 200
    told = {one["name"]: one for one in answer.json()["results"]}
    assert len(told["24-patch chart"]["patches"]) == 24
    assert all(one["source"] for one in told.values())
    problem(api("contractor").get("targets/"), 404)

"""From the file of a picture to layers on record: what is known of an invented section comes out of its pictures again.

The section with its thicknesses and geometry is told here and drawn by `tests.sections`; file, decoder, kernels and record are real.
"""

import io

import numpy as np
import pytest
from PIL import Image

from analysis.core.colour import delta_e_2000
from surveys import jobs, records
from surveys.models import Attachment, Job, Layer, Measurement, Registration, Sample, Traverse
from surveys.selectors import plates as record
from surveys.work import plates, table
from tests.sections import Film, Section, render
from tests.surveys.api.conftest import problem
from tests.surveys.lines.conftest import Pictures

pytestmark = pytest.mark.django_db(transaction=True)

UM_PER_PX = 0.5
# From the substrate up: µm and L*a*b* (D65, 2°).
STACK = ((40.0, (60, 8, 24)), (22.0, (30, 10, 8)), (35.0, (86, 0, 8)), (18.0, (48, -14, 10)), (28.0, (70, 2, 20)))
GLOWS = ((24, 10, -26), (14, 4, -8), (58, -2, 8), (14, 4, -8), (62, -4, -12))


def film(thickness, lab, uv=(24, 2, -6)):
    return Film(float(thickness), tuple(map(float, lab)), tuple(map(float, uv)), 1.2, 4.0)


def section(lean=25.0, tilt=0.0, uv_shift=(6.0, -4.0, 0.6, 1.0), **values):
    """A clean section, its layers leaning in the picture by `lean`, the line off their perpendicular by `tilt` degrees."""
    told = {
        "seed": 7, "um_per_px": UM_PER_PX, "base": film(500, (55, 12, 30)), "resin": film(500, (20, 0, 0), (10, 0, -6)), "lean_deg": lean,
        "tilt_deg": tilt, "waves": (), "own_waves": ((0.0, 80.0, 0.0),) * (len(STACK) + 1), "width_px": 60.0, "before_px": 50.0,
        "beyond_px": 40.0, "blur_px": 1.0, "noise": 0.006, "light": (0.0, 0.0, 0.0), "jpeg": None, "cracks": 0, "bubbles": 0,
        "uv_shift": uv_shift, "films": tuple(film(um, lab, uv) for (um, lab), uv in zip(STACK, GLOWS, strict=True)),
    }  # fmt: skip
    return Section(**{**told, **values})


def png(array):
    kept = io.BytesIO()
    Image.fromarray(array).save(kept, "PNG")
    return kept.getvalue()


def do(job):
    """Do a job as a worker would."""
    jobs.run(str(job.pk), "test", table.do)
    job.refresh_from_db()
    return job


def all_done(kind):
    for job in Job.objects.filter(kind=kind, state="queued").order_by("created_at"):
        assert do(job).state == "done", job.error


@pytest.fixture
def bare(cast, project, paint):
    return records.create(cast.conservator, project, Sample, {"number": "101-9", "element": paint.door.pk})


@pytest.fixture
def bring(cast, project, bare):
    """Attach a picture to the bare sample."""
    made = Pictures(cast, project)

    def done(array, kind="visible micrograph", **values):
        told = {"width": array.shape[1], "height": array.shape[0], **values}
        return made(bare, kind, png(array), **told)

    return done


def draw(cast, project, picture, line, width=40):
    values = {"attachment": picture.pk, "path": [[x + 0.5, y + 0.5] for x, y in line], "width_px": width}
    return records.create(cast.conservator, project, Traverse, values)


def read(cast, project, line):
    """The line, read by the job that its drawing asked for."""
    all_done("read-line")
    line.refresh_from_db()
    assert line.reading is not None
    assert not line.reading["refusal"], line.reading["refusal"]
    return line


def take_all(cast, project, sample, line):
    rows = [records.Row(layer["index"], "new", kind="paint") for layer in line.reading["layers"] if not layer["end"]]
    return records.accept_layers(cast.conservator, project, sample.pk, line.pk, line.version, rows)


@pytest.mark.parametrize(("lean", "tilt"), [(0.0, 0.0), (25.0, 0.0), (-40.0, 12.0)])
def test_the_layers_of_a_section_come_to_the_record_as_thick_as_they_are(cast, project, bare, bring, lean, tilt):
    """The micrometer's line of 200 px for 100 µm gives the scale; the boundaries the thickness, to 3 µm or to 5 %."""
    pictured = render(section(lean, tilt))
    picture = bring(pictured.visible)
    scale = {"scale_line": {"points": [[20, 20], [20, 220]], "length_um": 200 * UM_PER_PX}}
    picture = records.change(cast.conservator, project, Attachment, picture.pk, 1, scale)
    assert picture.um_per_pixel == UM_PER_PX
    line = read(cast, project, draw(cast, project, picture, pictured.line))
    take_all(cast, project, bare, line)
    layers = list(Layer.objects.filter(sample=bare).order_by("position"))
    assert len(layers) == len(STACK)
    for layer, (thickness, _) in zip(layers, STACK, strict=True):
        assert layer.thickness_um == pytest.approx(thickness, abs=max(3.0, 0.05 * thickness))
    assert Measurement.objects.filter(traverse=line, traverse__attachment=picture).count() == len(STACK)


def test_without_a_scale_the_layers_are_told_in_px_and_without_thickness(cast, project, api, bare, bring):
    pictured = render(section())
    line = read(cast, project, draw(cast, project, bring(pictured.visible), pictured.line))
    told = api("owner").get(f"traverses/{line.pk}").json()
    spans = [one["to_px"] - one["from_px"] for one in told["layers"] if not one["end"]]
    assert spans == pytest.approx([um / UM_PER_PX for um, _ in STACK], abs=6)
    assert {one["thickness_um"] for one in told["layers"]} == {None}
    assert any("no scale" in one for one in told["cautions"])
    take_all(cast, project, bare, line)
    assert set(Layer.objects.filter(sample=bare).values_list("thickness_um", flat=True)) == {None}


def test_colours_read_by_a_target_are_those_that_were_drawn_and_without_it_none_are_taken_over(cast, project, bare, bring):
    """Three greys are photographed in the section's own, reddish light: the camera's numbers are off, the corrected ones are not."""
    tint = np.array((1.0, 0.86, 0.72))
    pictured = render(section())
    seen = _tinted(pictured.visible, tint)
    picture = bring(seen)
    line = read(cast, project, draw(cast, project, picture, pictured.line))
    off = [delta_e_2000(layer["lab"], lab) for layer, (_, lab) in zip(_layers(line), STACK, strict=True)]
    assert max(off) > 6
    assert line.reading["told"]["colour_state"] == "uncalibrated"

    chart, target = _greys(tint)
    card = bring(chart, "photograph")
    records.change(cast.conservator, project, Attachment, card.pk, 1, {"colour_target": target})
    all_done("picture-colour")
    picture.refresh_from_db()
    records.change(cast.conservator, project, Attachment, picture.pk, picture.version, {"colour_from": str(card.pk)})
    line = read(cast, project, line)
    assert line.reading["told"]["colour_state"] == "white-balanced"
    for layer, (_, lab) in zip(_layers(line), STACK, strict=True):
        assert delta_e_2000(layer["lab"], lab) < 3
    take_all(cast, project, bare, line)
    assert Layer.objects.filter(sample=bare, lab_l__isnull=False).count() == len(STACK)


def _layers(line):
    return [one for one in line.reading["layers"] if not one["end"]]


def _linear(numbers):
    return np.where(numbers <= 0.04045, numbers / 12.92, ((numbers + 0.055) / 1.055) ** 2.4)


def _coded(light):
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)


def _tinted(array, tint):
    """The picture in another light (sRGB curve of IEC 61966-2-1, written out here as a second witness)."""
    return np.round(_coded(np.clip(_linear(array / 255.0) * tint, 0, 1)) * 255).astype(np.uint8)


def _greys(tint):
    """Three grey patches of 60, 30 and 12 % of the light, with their L*: 116 · Y^(1/3) − 16."""
    chart, patches = np.full((120, 320, 3), 20, np.uint8), []
    for number, share in enumerate((0.60, 0.30, 0.12)):
        left = 20 + number * 100
        chart[20:100, left : left + 80] = np.round(_coded(share * tint) * 255)
        patches.append({"box": [left + 10, 30, 60, 60], "lab": [116 * share ** (1 / 3) - 16, 0, 0], "name": f"grey {number + 1}"})
    return chart, {"target": "own greys", "patches": patches}


def test_the_uv_picture_is_laid_on_the_visible_one_and_read_along_with_it(cast, project, bare, bring):
    pictured = render(section())
    visible, uv = bring(pictured.visible), bring(pictured.uv, "UV micrograph")
    asked = {"fixed": str(visible.pk), "moving": str(uv.pk)}
    job = do(jobs.ask(cast.conservator, project, "register-pictures", asked))
    assert job.state == "done", job.error
    found = np.array(Registration.objects.get().matrix)
    corners = np.array([[0, 0, 1], [pictured.uv.shape[1], 0, 1], [0, pictured.uv.shape[0], 1]], float)
    off = corners @ found.T - corners @ pictured.uv_to_visible.T
    assert np.hypot(*off[:, :2].T).max() < 3
    line = read(cast, project, draw(cast, project, visible, pictured.line))
    told = line.reading["told"]
    assert (told["uv_attachment"], told["uv_state"]) == (uv.number, "uncalibrated")
    assert all(layer["uv_colour"] or layer["uv_strength"] == "none" for layer in _layers(line))


def test_places_that_a_person_named_lay_one_picture_on_the_other(cast, project, bring):
    pictured = render(section())
    visible, uv = bring(pictured.visible), bring(pictured.uv, "UV micrograph")
    turned = lambda x, y: [float(one) for one in (pictured.uv_to_visible @ (x, y, 1.0))[:2]]  # noqa: E731
    points = [[[x, y], turned(x, y)] for x, y in ((20.0, 20.0), (120.0, 40.0), (40.0, 200.0), (130.0, 260.0))]
    asked = {"fixed": str(visible.pk), "moving": str(uv.pk), "points": points}
    job = do(jobs.ask(cast.conservator, project, "register-pictures", asked))
    assert job.state == "done", job.error
    kept = Registration.objects.get()
    assert kept.method == "points"
    assert kept.points == points
    assert np.allclose(np.array(kept.matrix) @ (77.0, 99.0, 1.0), pictured.uv_to_visible @ (77.0, 99.0, 1.0), atol=0.6)


def test_places_outside_a_picture_are_refused_with_the_pair_and_the_picture(cast, project, bring):
    """As where a script names the fixed picture's place first."""
    pictured = render(section())
    visible, uv = bring(pictured.visible), bring(pictured.uv, "UV micrograph")
    high, wide = pictured.uv.shape[:2]
    points = [[[20.0, 20.0], [24.0, 22.0]], [[wide + 5.0, 40.0], [120.0, 44.0]], [[40.0, 200.0], [44.0, 202.0]]]
    job = lay(cast, project, visible, uv, points=points)
    assert job.state == "failed"
    size = f"{wide:,} × {high:,} px"
    assert job.error.startswith(f"Pair 2 has a place outside attachment {uv.number}, which is {size}.")
    assert not Registration.objects.exists()


NONSENSE = [[[20.0, 20.0], [150.0, 240.0]], [[140.0, 30.0], [30.0, 150.0]], [[60.0, 250.0], [120.0, 20.0]]]


def lay(cast, project, visible, uv, **points):
    return do(jobs.ask(cast.conservator, project, "register-pictures", {"fixed": str(visible.pk), "moving": str(uv.pk), **points}))


def test_places_that_contradict_each_other_are_told_wherever_they_count_and_no_line_is_read_by_them(cast, project, api, bare, bring):
    pictured = render(section())
    visible, uv = bring(pictured.visible), bring(pictured.uv, "UV micrograph")
    job = lay(cast, project, visible, uv, points=NONSENSE)
    assert (job.state, job.result["reliable"]) == ("done", False), job.error
    doubt = job.result["sentence"]
    assert doubt.startswith("The named places contradict each other by ")
    (row,) = api("owner").get("registrations/").json()["results"]
    assert (row["reliable"], row["caution"]) == (False, doubt)
    line = read(cast, project, draw(cast, project, visible, pictured.line))
    told = api("owner").get(f"traverses/{line.pk}").json()
    assert (told["state"], told["uv_attachment"]) == ("read", None)
    caution = f"UV picture {uv.number} was not read along, for how it lies cannot be relied on. {doubt}"
    assert caution in told["cautions"]
    assert {one["uv_colour"] for one in told["layers"]} == {""}
    # It stays said when a person moves a boundary.
    found = [one["from_px"] for one in _layers(line)] + [_layers(line)[-1]["to_px"]]
    moved = api("conservator").patch(f"traverses/{line.pk}", {"boundaries": [found[0] + 2, *found[1:]]}, If_Match=f'"{line.version}"')
    assert caution in moved.json()["cautions"]
    shown = plates.made_of(record.shown(bare), 300)
    assert f"Not to be relied on. {doubt}" in shown.panels[1].words
    # Laid well, it is read along.
    assert lay(cast, project, visible, uv).state == "done"
    told = read(cast, project, line).reading["told"]
    assert (told["uv_attachment"], told["uv_caution"]) == (uv.number, "")
    (row,) = api("owner").get("registrations/?fields=reliable,caution").json()["results"]
    assert row == {"reliable": True, "caution": ""}
    assert "Not to be relied on" not in " ".join(plates.made_of(record.shown(bare), 300).panels[1].words)


def test_what_lies_well_is_not_overwritten_by_places_that_cannot_be_relied_on(cast, project, bring):
    pictured = render(section())
    visible, uv = bring(pictured.visible), bring(pictured.uv, "UV micrograph")
    assert lay(cast, project, visible, uv).state == "done"
    stands = Registration.objects.get()
    for points, words in ((NONSENSE, "contradict each other"), (NONSENSE[:1], "nothing checks them")):
        job = lay(cast, project, visible, uv, points=points)
        assert job.state == "failed"
        assert words in job.error
        assert f"stay as they lie, by {stands.method}" in job.error
    assert Registration.objects.get().matrix == stands.matrix


def test_pictures_of_different_places_are_not_laid_on_each_other_and_the_person_is_told_what_to_do(cast, project, bring):
    rng = np.random.default_rng(3)
    visible = bring(rng.integers(0, 255, (240, 320, 3), np.uint8))
    uv = bring(rng.integers(0, 255, (240, 320, 3), np.uint8), "UV micrograph")
    job = do(jobs.ask(cast.conservator, project, "register-pictures", {"fixed": str(visible.pk), "moving": str(uv.pk)}))
    assert job.state == "failed"
    assert job.error.count("three or more places") == 1
    assert not Registration.objects.exists()


@pytest.mark.parametrize("kind", ["photograph", "document"])
def test_only_micrographs_of_one_sample_are_laid_on_each_other(cast, project, paint, bring, kind):
    array = np.zeros((64, 64, 3), np.uint8)
    visible, other = bring(array), bring(array, kind)
    job = do(jobs.ask(cast.conservator, project, "register-pictures", {"fixed": str(visible.pk), "moving": str(other.pk)}))
    assert (job.state, "only micrographs" in job.error) == ("failed", True)
    elsewhere = bring(array, "UV micrograph")
    Attachment.objects.filter(pk=elsewhere.pk).update(about_id=paint.first.pk)
    job = do(jobs.ask(cast.conservator, project, "register-pictures", {"fixed": str(visible.pk), "moving": str(elsewhere.pk)}))
    assert "do not show the same sample" in job.error


def test_a_line_that_was_read_is_not_read_again_and_another_picture_in_its_place_is(cast, project, bring):
    pictured = render(section())
    line = read(cast, project, draw(cast, project, bring(pictured.visible), pictured.line))
    job = do(jobs.ask(cast.conservator, project, "read-line", {"traverse": str(line.pk)}))
    assert job.result["again"] is False
    records.change(cast.conservator, project, Traverse, line.pk, line.version, {"width_px": 20})
    (job,) = Job.objects.filter(kind="read-line", state="queued")
    assert do(job).result["again"] is True


def test_a_reading_that_was_kept_without_its_version_is_read_again_when_that_is_asked_for(cast, project, api, bring):
    pictured = render(section())
    line = read(cast, project, draw(cast, project, bring(pictured.visible), pictured.line))
    told = {name: value for name, value in line.reading["told"].items() if name != "version"}
    Traverse.objects.filter(pk=line.pk).update(reading={**line.reading, "told": told})
    assert api("owner").get(f"traverses/{line.pk}").json()["read_by_older"] is True
    job = do(jobs.ask(cast.conservator, project, "read-line", {"traverse": str(line.pk)}))
    assert job.result["again"] is True
    assert api("owner").get(f"traverses/{line.pk}").json()["read_by_older"] is False


def test_a_line_across_nothing_says_so_and_does_not_fail_in_the_program(cast, project, api, bring):
    flat = np.full((240, 320, 3), 128, np.uint8)
    line = draw(cast, project, bring(flat), ((100, 200), (100, 40)))
    all_done("read-line")
    told = api("owner").get(f"traverses/{line.pk}").json()
    assert told["state"] in ("read", "refused")
    assert [one for one in told["layers"] if not one["end"]] == []


def test_a_person_moves_splits_and_merges_and_the_layers_follow_at_once(cast, project, api, bring):
    pictured = render(section())
    picture = bring(pictured.visible, um_per_pixel=UM_PER_PX, scale_by="stated")
    line = read(cast, project, draw(cast, project, picture, pictured.line))
    found = api("owner").get(f"traverses/{line.pk}/profile").json()["found"]
    here = f"traverses/{line.pk}"

    def put(boundaries):
        version = api("conservator").get(here).headers["ETag"]
        answer = api("conservator").patch(here, {"boundaries": boundaries}, If_Match=version)
        assert answer.status_code == 200, answer.content
        return [one for one in answer.json()["layers"] if not one["end"]]

    moved = put([found[0], found[1] + 10, *found[2:]])
    assert moved[0]["thickness_um"] == pytest.approx((found[1] + 10 - found[0]) * UM_PER_PX, rel=0.03)
    split = put([found[0], (found[0] + found[1]) / 2, *found[1:]])
    assert len(split) == len(STACK) + 1
    merged = put([found[0], *found[2:]])
    assert len(merged) == len(STACK) - 1
    assert len(put(None)) == len(STACK)
    version = api("conservator").get(here).headers["ETag"]
    told = problem(api("conservator").patch(here, {"boundaries": [10.0, 10.4]}, If_Match=version), 422)
    assert told["errors"][0]["pointer"] == "/boundaries"


def test_two_lines_are_reconciled_to_one_stack(cast, project, api, bare, bring):
    pictured = render(section(0.0))
    picture = bring(pictured.visible, um_per_pixel=UM_PER_PX, scale_by="stated")
    (x1, y1), (x2, y2) = pictured.line
    first = read(cast, project, draw(cast, project, picture, ((x1 - 15, y1), (x2 - 15, y2)), 24))
    second = read(cast, project, draw(cast, project, picture, ((x1 + 15, y1), (x2 + 15, y2)), 24))
    told = api("owner").get(f"samples/{bare.pk}/lines").json()
    assert told["traverses"] == [str(first.pk), str(second.pk)]
    assert [layer["by_traverse"] for layer in told["layers"]] == [{str(first.pk): n, str(second.pk): n} for n in range(1, len(STACK) + 1)]
    assert {layer["agreement"] for layer in told["layers"]} == {1.0}
    medians = [layer["thickness_um"]["median"] for layer in told["layers"]]
    assert medians == pytest.approx([um for um, _ in STACK], abs=3)

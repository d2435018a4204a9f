"""Plates: both lights of a section brought onto each other, its scale bar, its brackets, and what must be said beside them."""

import io

import numpy as np
import pytest
from django.core.files.storage import default_storage
from PIL import Image
from pypdf import PdfReader

from surveys import jobs, records
from surveys.errors import Invalid, NotFound
from surveys.models import Attachment, Generation, Job, Layer, Sample, Traverse
from surveys.selectors import plates as record
from surveys.work import plates
from tests.sections import render
from tests.surveys.lines.conftest import Pictures, correction, reading_of
from tests.surveys.lines.conftest import read as keep
from tests.surveys.lines.test_end_to_end import STACK, UM_PER_PX, all_done, do, png, section, take_all
from tests.surveys.test_chapter import DRAWING, Opened

pytestmark = pytest.mark.django_db(transaction=True)


def file_of(job):
    with default_storage.open(job.files[0]["path"]) as kept:
        return kept.read()


def text_of(content):
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages).replace("\n", " ")


@pytest.fixture
def sectioned(cast, project, paint):
    """A sample with a stack that was read from its pictures and taken over; its second layer is of a generation."""
    bare = records.create(cast.conservator, project, Sample, {"number": "101-9", "element": paint.door.pk})
    pictures, pictured = Pictures(cast, project), render(section())
    shape = {"width": pictured.visible.shape[1], "height": pictured.visible.shape[0]}
    visible = pictures(bare, content=png(pictured.visible), um_per_pixel=UM_PER_PX, scale_by="stated", magnification="200×", **shape)
    uv = pictures(bare, "UV micrograph", content=png(pictured.uv), magnification="200×", **shape)
    assert do(jobs.ask(cast.conservator, project, "register-pictures", {"fixed": str(visible.pk), "moving": str(uv.pk)})).state == "done"
    path = [[x + 0.5, y + 0.5] for x, y in pictured.line]
    line = records.create(cast.conservator, project, Traverse, {"attachment": visible.pk, "path": path, "width_px": 40})
    all_done("read-line")
    line.refresh_from_db()
    take_all(cast, project, bare, line)
    generation = records.create(cast.conservator, project, Generation, {"space": paint.space.pk})
    second = Layer.objects.get(sample=bare, position=2)
    records.change(cast.conservator, project, Layer, second.pk, second.version, {"generation": generation.pk})
    return bare


def test_a_plate_is_set_as_png_and_pdf_and_found_again_while_nothing_changes(cast, project, sectioned):
    for form, kind in (("png", b"\x89PNG"), ("pdf", b"%PDF")):
        asked = {"sample": str(sectioned.pk), "format": form}
        job = do(jobs.ask(cast.owner, project, "plate", asked))
        assert job.state == "done", job.error
        assert (job.result["layers"], job.result["accepted"]) == (len(STACK), len(STACK))
        assert file_of(job).startswith(kind)
        assert jobs.ask(cast.owner, project, "plate", asked) == job
    Attachment.objects.filter(kind="visible micrograph").update(correction=correction())
    assert jobs.ask(cast.owner, project, "plate", asked) != job


def test_a_plate_names_its_pictures_its_layers_and_what_to_beware_of(cast, project, sectioned):
    told = text_of(file_of(do(jobs.ask(cast.owner, project, "plate", {"sample": str(sectioned.pk), "format": "pdf"}))))
    for words in (
        "Sample 101-9: cross-section", "door leaf 101-DL", "Visible light", "attachment 1, 200×", "0.5 µm a pixel, as stated",
        "Under ultraviolet", "Laid on the visible picture by", "Colours uncalibrated: there is no colour target", "gen. 1", "µm",
        "a UV response suggests materials; it proves none", "never a paint match", "take it to hold lead until it has been tested",
        "Do not look into the lamp",
    ):  # fmt: skip
        assert words in told, words


def test_the_brackets_are_as_long_as_the_layers_are_thick(sectioned):
    made = plates.made_of(record.shown(sectioned), 800)
    assert [bracket.name for bracket in made.brackets] == ["5", "4", "3", "2", "1"]
    assert [bracket.told for bracket in made.brackets] == ["paint", "paint", "paint", "gen. 1", "paint"]
    for bracket, (thickness, _) in zip(made.brackets, STACK[::-1], strict=True):
        assert (bracket.foot_px - bracket.top_px) * made.panels[0].um_per_px == pytest.approx(thickness, abs=3)
    # The substrate lies at the foot, and the line runs straight up.
    (x1, y1), (x2, y2) = made.line
    assert (y1 > y2, abs(x1 - x2) < 1e-6) == (True, True)


def test_both_pictures_show_the_same_spot_in_the_same_place(cast, project, sectioned):
    """A green square painted into both files at corresponding places comes out at one place of the plate, to 2 px."""
    shown = record.shown(sectioned)
    spot, matrix = np.array((95.0, 210.0)), np.array(shown.registration.matrix)
    moving = (np.linalg.inv(matrix) @ (*spot, 1.0))[:2]
    for picture, (x, y) in ((shown.visible, spot), (shown.registration.moving, moving)):
        with picture.upload.file.open("rb") as kept:
            array = np.array(Image.open(kept)) // 4
        array[round(y) - 5 : round(y) + 5, round(x) - 5 : round(x) + 5] = (0, 255, 0)
        picture.upload.file.save("marked.bin", io.BytesIO(png(array)), save=True)
    made = plates.made_of(record.shown(sectioned), 800)
    middles = []
    for panel in made.panels:
        with Image.open(io.BytesIO(panel.content)) as opened:
            numbers = np.asarray(opened).astype(int)
        green = np.argwhere(numbers[..., 1] - np.maximum(numbers[..., 0], numbers[..., 2]) > 120)
        assert len(green) > 100
        middles.append(green.mean(axis=0))
    scale = made.panels[0].um_per_px / UM_PER_PX
    assert np.hypot(*(middles[0] - middles[1])) * scale < 2


def test_the_scale_bar_is_as_long_as_it_says(sectioned):
    from analysis.drawing.plate import bar_length, plate_sheet
    from analysis.drawing.shapes import Box, Text, flat

    made = plates.made_of(record.shown(sectioned), 800)
    shapes = list(flat(plate_sheet(made, 700, 500).shapes))
    bars = [one for one in shapes if isinstance(one, Box) and one.fill == "#1a1a1a"]
    texts = [one.text for one in shapes if isinstance(one, Text) and one.text.endswith("µm")]
    panel = next(one for one in shapes if type(one).__name__ == "Raster")
    assert len(bars) == len(texts) == 2
    um_per_pt = made.panels[0].um_per_px * made.panels[0].width_px / panel.width
    assert bars[0].width * um_per_pt == pytest.approx(float(texts[0].removesuffix(" µm")))
    assert bar_length(1.0, 99.0) == 50
    assert bar_length(1.0, 100.0) == 100


@pytest.fixture
def plain(cast, project, pictures, paint):
    """A sample with a visible micrograph that has neither scale nor target."""
    array = np.full((300, 400, 3), 120, np.uint8)
    return pictures(paint.first, content=png(array))


def test_without_scale_and_target_the_plate_says_so_and_has_no_bar(cast, project, paint, plain):
    job = do(jobs.ask(cast.owner, project, "plate", {"sample": str(paint.first.pk), "format": "pdf"}))
    told = text_of(file_of(job))
    assert "No scale: the picture has none" in told
    assert "Colours uncalibrated" in told
    assert "Under ultraviolet" not in told
    assert job.result == {"sample": "101-1", "layers": 0, "accepted": 0}


def test_what_nobody_has_taken_over_is_told_to_be_a_proposal(cast, project, paint, plain, draw):
    draw(reading_of(), plain)
    told = text_of(file_of(do(jobs.ask(cast.owner, project, "plate", {"sample": str(paint.first.pk), "format": "pdf"}))))
    assert "read 2" in told
    assert "3 of 3 are read only and not taken over by anybody" in told


def test_a_target_is_told_with_what_it_leaves_of_error(cast, project, paint, plain):
    Attachment.objects.filter(pk=plain.pk).update(correction=correction(), um_per_pixel=0.5, scale_by="microscope")
    made = plates.made_of(record.shown(paint.first), 400)
    assert "Colours calibrated by a target, mean ΔE00 1.1." in made.panels[0].words
    assert "0.5 µm a pixel, by the microscope's scale." in made.panels[0].words


def test_a_grey_card_alone_is_told_to_be_checked_by_nothing(cast, project, api, paint, plain):
    told = correction("white-balanced") | dict.fromkeys(("mean_delta_e", "max_delta_e", "mean_left_out", "max_left_out"))
    Attachment.objects.filter(pk=plain.pk).update(correction=told)
    made = plates.made_of(record.shown(paint.first), 400)
    assert "White-balanced by grey patches only, hues are the camera's; no other patch checks it." in made.panels[0].words
    row = api("owner").get(f"attachments/{plain.pk}").json()
    assert (row["colour_state"], row["colour_residual"]) == ("white-balanced", {})


def test_the_line_with_most_accepted_layers_is_shown_unless_one_is_named(cast, project, paint, plain, draw):
    first, second = draw(reading_of(), plain), draw(reading_of(), plain)
    row = records.Row(1, "beside", layer=str(paint.layers["101-1"][0].pk))
    records.accept_layers(cast.conservator, project, paint.first.pk, second.pk, second.version, [row])
    assert record.shown(paint.first).line == second
    assert record.shown(paint.first, traverse=str(first.pk)).line == first
    keep(cast, project, first, None, "It doubles back.")
    with pytest.raises(Invalid, match="has not been read"):
        record.shown(paint.first, traverse=str(first.pk))


def test_pictures_and_lines_of_others_are_not_found(cast, project, paint, plain, draw):
    line = draw(reading_of(), plain)
    for named in ({"visible": str(plain.pk)}, {"traverse": str(line.pk)}):
        with pytest.raises(NotFound):
            record.shown(paint.second, **named)
    with pytest.raises(NotFound, match="not laid on the visible one"):
        record.shown(paint.first, uv=str(plain.pk))
    with pytest.raises(NotFound, match="no such sample"):
        record.sample_named(records.create_project(cast.coordinator, {"code": "MILL", "name": "The mill"}), str(paint.first.pk))


def test_a_sample_without_pictures_has_no_plate_and_a_contractor_asks_for_none(cast, project, paint):
    job = do(jobs.ask(cast.owner, project, "plate", {"sample": str(paint.first.pk), "format": "png"}))
    assert (job.state, "Bring one first" in job.error) == ("failed", True)
    with pytest.raises(NotFound):
        jobs.ask(cast.contractor, project, "plate", {"sample": str(paint.first.pk), "format": "png"})
    assert not Job.objects.filter(kind="plate", created_by=cast.contractor).exists()


# -- the chapter ----------------------------------------------------------------------------------------------------------------------


def chapter(cast, project):
    job = do(jobs.ask(cast.owner, project, "chapter", {}))
    assert job.state == "done", job.error
    return [default_storage.open(file["path"]).read() for file in sorted(job.files, key=lambda one: one["name"])]


def test_the_chapter_has_a_plate_of_each_section_with_what_was_measured_on_it(cast, project, sectioned):
    document, printed = chapter(cast, project)
    told = text_of(printed)
    for words in (
        "Plates of sections", "Sample 101-9, door leaf 101-DL; space 101: section in visible light and under ultraviolet",
        "What was measured on the section of sample 101-9", "101-9/2 (line 1)", "(uncalibrated)", "Colours uncalibrated: there is no",
        "A UV response suggests materials; it proves none",
    ):  # fmt: skip
        assert words in told, words
    opened = Opened(document)
    (rows,) = [opened.rows(one) for one in opened.tables if opened.text(one).startswith("LayerGenerationThickness")]
    assert [row[0] for row in rows[1:]] == [f"101-9/{number} (line 1)" for number in range(1, len(STACK) + 1)]
    for row, (thickness, _) in zip(rows[1:], STACK, strict=True):
        assert float(row[2].split(" ± ")[0]) == pytest.approx(thickness, abs=3)
    figures = [one.get("descr") for one in opened.body.iter(f"{DRAWING}docPr")]
    assert any("Layers from the surface down: 5 paint; 4 paint" in one for one in figures)


def test_a_chapter_without_pictures_says_nothing_of_plates(cast, project, paint):
    _, printed = chapter(cast, project)
    assert "Plates of sections" not in text_of(printed)


def test_a_picture_that_is_lost_costs_its_plate_and_not_the_chapter(cast, project, paint, plain):
    default_storage.delete(plain.upload.file.name)
    _, printed = chapter(cast, project)
    assert "There is no plate of sample 101-1: The file 1.png is missing" in text_of(printed)


def test_another_picture_makes_another_chapter(cast, project, paint, plain):
    first = do(jobs.ask(cast.owner, project, "chapter", {}))
    assert jobs.ask(cast.owner, project, "chapter", {}) == first
    Attachment.objects.filter(pk=plain.pk).update(prepared="refused")
    assert jobs.ask(cast.owner, project, "chapter", {}) != first

"""The three files, each opened by a reader that is not ours."""

import io
import re
from xml.etree import ElementTree

import pypdf
import pypdfium2
import pytest
from PIL import Image

from analysis.drawing import PictureTooLarge, chart_pdf, chart_png, chart_svg
from analysis.drawing.shapes import Box, Text, flat
from analysis.drawing.sheets import page_sheets, whole_sheet
from analysis.drawing.text import width
from tests.analysis.drawing.charts import cell, every_mark, generation, large, sample

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "<script>alert(1)</script>\"'&]]>\x00\x07\ud800\ufffe</text>"


def hostile():
    return {
        "project": HOSTILE, "project_name": HOSTILE, "space": HOSTILE, "space_name": HOSTILE,
        "generations": [generation(1, label=HOSTILE, phase=HOSTILE, technique=HOSTILE)],
        "samples": [sample(HOSTILE, HOSTILE, HOSTILE, position=HOSTILE, base_state=HOSTILE, top_state=HOSTILE)],
        "cells": [
            cell(HOSTILE, 1, 1, kind=HOSTILE, completeness=HOSTILE, colour=HOSTILE, munsell="", srgb='#fff"/><script/>',
                 uv_colour=HOSTILE, uv_strength=HOSTILE),
        ],
        "cautions": [HOSTILE], "notes": [HOSTILE],
    }  # fmt: skip


def svg_texts(chart):
    return ["".join(node.itertext()) for node in ElementTree.fromstring(chart_svg(chart)).iter(f"{SVG}text")]


def pdf_text(data):
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)


@pytest.fixture(scope="module")
def large_chart():
    return large(60, 30)


@pytest.fixture(scope="module")
def large_pdf(large_chart):
    return chart_pdf(large_chart)


def test_the_svg_is_an_image_with_a_title_and_a_description():
    root = ElementTree.fromstring(chart_svg(every_mark()))
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    named = {node.get("id"): "".join(node.itertext()) for node in root if node.get("id")}
    title, description = (named[name] for name in root.get("aria-labelledby").split())
    assert title == "Generation chart · QUAY Harbour Office · space 103 Long Room"
    assert "4 samples, 5 generations, 15 layers" in description
    assert "oldest at the foot" in description


def test_the_svg_names_every_sample_generation_and_layer_as_text():
    chart = every_mark()
    shown = svg_texts(chart)
    assert {one["sample"] for one in chart["samples"]} <= set(shown)
    assert {str(one["ordinal"]) for one in chart["generations"]} <= set(shown)
    assert {"Белила – blanc d’œuf, µ-thin, ΔE 3", "1790–1812", "after 1824", "before 1850", "not dated", "First remodelling"} <= set(shown)
    titles = ["".join(node.itertext()) for node in ElementTree.fromstring(chart_svg(chart)).iter(f"{SVG}title")]
    for one in chart["cells"]:
        assert any(title.startswith(f"{one['sample']} layer {one['position']};") for title in titles)
    assert any("UV weak dull violet, lemon sparks; generation 1, 88 % sure; held" in title for title in titles)


def test_the_svg_draws_the_oldest_generation_lowest():
    root = ElementTree.fromstring(chart_svg(every_mark()))
    heights = {node.text: float(node.get("y")) for node in root.iter(f"{SVG}text") if node.get("font-size") == "12"}
    assert heights["1"] > heights["2"] > heights["3"] > heights["4"] > heights["5"]


def test_the_svg_keeps_its_texts_to_their_measured_length_in_any_family():
    for node in ElementTree.fromstring(chart_svg(every_mark())).iter(f"{SVG}text"):
        assert float(node.get("textLength")) > 0
        assert float(node.get("font-size")) >= 6


def test_the_svg_carries_no_style_script_link_or_foreign_matter():
    for chart in (every_mark(), hostile()):
        root = ElementTree.fromstring(chart_svg(chart))
        assert {node.tag.removeprefix(SVG) for node in root.iter()} <= {"svg", "title", "desc", "g", "rect", "line", "polygon", "text"}
        assert not [name for node in root.iter() for name in node.attrib if name == "style" or name.startswith("on") or "href" in name]


def test_hostile_text_stays_text_in_every_file():
    source = chart_svg(hostile())
    assert "<script" not in source
    assert not re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe]", source)
    assert any(text.startswith("<script>alert") for text in svg_texts(hostile()))
    assert "<script>alert" in pdf_text(chart_pdf(hostile()))
    assert Image.open(io.BytesIO(chart_png(hostile()))).format == "PNG"


def test_the_same_chart_gives_the_same_bytes():
    for draw in (chart_svg, chart_pdf, chart_png):
        assert draw(every_mark()) == draw(every_mark())


def test_the_order_of_the_cells_does_not_matter():
    turned = every_mark()
    turned["cells"].reverse()
    turned["generations"].reverse()
    assert chart_svg(turned) == chart_svg(every_mark())


@pytest.mark.parametrize(("paper", "wide", "high"), [("A3", 420, 297), ("A4", 297, 210), ("tabloid", 431.8, 279.4)])
def test_the_pdf_has_the_size_of_the_paper_lying(paper, wide, high):
    # Sources: ISO 216 (A3, A4 in mm); tabloid 17 × 11 inches of 25.4 mm.
    page = pypdfium2.PdfDocument(chart_pdf(every_mark(), paper))[0]
    assert (page.get_width() / 72 * 25.4, page.get_height() / 72 * 25.4) == pytest.approx((wide, high), abs=0.1)


def test_the_pdf_tells_its_title_and_no_time():
    told = pypdf.PdfReader(io.BytesIO(chart_pdf(every_mark()))).metadata
    assert told.title == "Generation chart · QUAY Harbour Office · space 103 Long Room"
    assert told.creation_date is None or told.creation_date.year == 2000


def test_the_pdf_embeds_its_lettering():
    fonts = pypdf.PdfReader(io.BytesIO(chart_pdf(every_mark()))).pages[0]["/Resources"]["/Font"]
    used = [font.get_object() for font in fonts.values()]
    assert any("FiraSansCondensed" in font["/BaseFont"] for font in used)
    for font in used:
        if "FiraSansCondensed" in font["/BaseFont"]:
            assert "/FontFile2" in font["/FontDescriptor"]


def test_the_pdf_can_be_searched_in_every_script():
    text = pdf_text(chart_pdf(every_mark()))
    for words in (
        "Белила – blanc d’œuf, µ-thin, ΔE 3",
        "10YR 8/2",
        "2nd: gen 4 (31 %)",
        "no colour",
        "held 88 %",
        "base stripped",
        "never a paint match",
    ):
        assert words in text, words
    assert "Белила" in pypdfium2.PdfDocument(chart_pdf(every_mark()))[0].get_textpage().get_text_bounded()


def test_the_pdf_puts_every_text_where_the_draw_list_has_it():
    (sheet,) = page_sheets(every_mark())
    wanted = {shape.text: (shape.x, sheet.height - shape.y) for shape in flat(sheet.shapes) if isinstance(shape, Text)}
    found = {}

    def note(text, user_matrix, text_matrix, font, size):
        x, y = text_matrix[4], text_matrix[5]
        found[text.strip()] = (x * user_matrix[0] + user_matrix[4], y * user_matrix[3] + user_matrix[5])

    pypdf.PdfReader(io.BytesIO(chart_pdf(every_mark()))).pages[0].extract_text(visitor_text=note)
    for words in ("Stone-coloured trim", "Green distemper", "not placed", "lost in cutting", "base stripped", "K-022"):
        assert found[words] == pytest.approx(wanted[words], abs=0.02), words
    assert found["Stone-coloured trim"][1] < found["Green distemper"][1] < found["not placed"][1]


def test_a_large_pdf_shows_every_sample_with_every_generation(large_chart, large_pdf):
    document = pypdfium2.PdfDocument(large_pdf)
    pages = [page.get_textpage().get_text_bounded() for page in document]
    seen = set()
    for number, text in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in text
        lines = [line.strip() for line in text.splitlines()]
        samples = [line for line in lines if re.fullmatch(r"K-\d{3}", line)]
        ordinals = [int(label.removeprefix("Campaign in words ")) for label in re.findall(r"Campaign in words \d+", text)]
        seen |= {(one, ordinal) for one in samples for ordinal in ordinals}
    assert seen == {(one["sample"], row["ordinal"]) for one in large_chart["samples"] for row in large_chart["generations"]}


def test_a_large_pdf_has_every_notation_as_often_as_the_chart(large_chart, large_pdf):
    text = pdf_text(large_pdf)
    for notation in ("10YR 7/4", "2.5PB 4/6", "5R 3/4"):
        wanted = sum(one["munsell"] == notation for one in large_chart["cells"])
        assert len(re.findall(rf"(?<![\d.]){re.escape(notation)}(?!\d)", text)) == wanted


def test_no_letter_of_the_pdf_is_below_six_points():
    sizes = []

    def note(text, user_matrix, text_matrix, font, size):
        if text.strip():
            sizes.append(size * abs(text_matrix[3]) * abs(user_matrix[3]))

    pypdf.PdfReader(io.BytesIO(chart_pdf(large(12, 8), "A4"))).pages[0].extract_text(visitor_text=note)
    assert len(sizes) > 50
    assert min(sizes) >= 6


def test_the_png_has_the_pixels_of_its_scale_and_the_paint_in_its_place():
    sheet = whole_sheet(every_mark())
    picture = Image.open(io.BytesIO(chart_png(every_mark(), scale=3)))
    assert picture.mode == "RGB"
    assert picture.size == (-(-sheet.width * 3 // 1), -(-sheet.height * 3 // 1))
    assert picture.info["dpi"] == pytest.approx((216, 216), abs=0.1)
    painted = {one["srgb"] for one in every_mark()["cells"] if one["srgb"]}
    counted = {"#{:02x}{:02x}{:02x}".format(*colour): count for count, colour in picture.getcolors(1 << 24)}
    for colour in painted:
        assert counted.get(colour, 0) > 1000, colour
    for shape in flat(sheet.shapes):
        if isinstance(shape, Box) and shape.fill in painted:
            middle_right = (int((shape.x + shape.width - 1) * 3), int((shape.y + shape.height / 2) * 3))
            assert "#{:02x}{:02x}{:02x}".format(*picture.getpixel(middle_right)) == shape.fill


def test_the_lettering_of_the_png_keeps_to_its_measured_width():
    chart = {"notes": ["mmmm xxxx llll " * 12]}
    (note,) = [shape for shape in flat(whole_sheet(chart).shapes) if isinstance(shape, Text) and shape.text.startswith("mmmm")]
    for scale in (1.0, 1.6, 2.0):
        picture = Image.open(io.BytesIO(chart_png(chart, scale=scale))).convert("L")
        line = picture.crop((0, round((note.y - 5) * scale), picture.width, round((note.y + 1) * scale)))
        left, _, right, _ = line.point(lambda level: 255 if level < 200 else 0).getbbox()
        assert right - left == pytest.approx(width(note.text, note.size) * scale, rel=0.01)


def test_a_picture_with_too_many_pixels_is_refused_with_the_scale_that_fits(large_chart):
    with pytest.raises(PictureTooLarge) as refusal:
        chart_png(large_chart, scale=4)
    told = re.search(r"Ask for a scale of at most ([\d.]+), or for the PDF or SVG", str(refusal.value))
    sheet = whole_sheet(large_chart)
    largest = float(told[1])
    assert sheet.width * sheet.height * largest**2 <= 100e6 < sheet.width * sheet.height * (largest + 0.02) ** 2


@pytest.mark.parametrize("scale", [0, -1, float("nan"), float("inf")])
def test_a_scale_that_is_none_is_refused(scale):
    with pytest.raises(ValueError, match="scale above 0"):
        chart_png(every_mark(), scale=scale)


def test_the_large_svg_is_one_drawing_of_everything(large_chart):
    shown = svg_texts(large_chart)
    assert {one["sample"] for one in large_chart["samples"]} <= set(shown)
    assert {f"Campaign in words {number}" for number in range(1, 31)} <= set(shown)
    assert sum(text == "10YR 7/4" for text in shown) == sum(one["munsell"] == "10YR 7/4" for one in large_chart["cells"])

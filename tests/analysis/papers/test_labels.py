"""Labels as they come from the printer: what can be read on them, by a reader of text and a reader of codes that are not ours."""

import io

import pypdf
import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from analysis.core.label_sheets import PRESETS, LabelSheet, sheet_of
from analysis.papers.codes import LEAST_MODULE, POINT, code, code_size
from analysis.papers.labels import HAZARD, Label, labels_pdf

LINK = "https://paint.example.org/projects/HALL/bench/"
DOTS = 300  # to the inch, as an office printer has them


def label(number: str) -> Label:
    return Label(
        number, ("101 · 101-BB-N", "visit 2 · 2026-05-14", "bag 17", "baseboard · north wall", "Front room", HAZARD), LINK + number
    )


def printed(pdf: bytes, page: int = 0) -> Image.Image:
    """A page as an office printer makes it."""
    return pypdfium2.PdfDocument(pdf)[page].render(scale=DOTS / 72).to_pil()


def codes(paper: Image.Image, sheet: LabelSheet) -> dict[int, list[str]]:
    """What an independent reader reads that is held over each label in turn."""
    dots = DOTS / 25.4
    found = {}
    for index in range(sheet.labels):
        left, top = sheet.place(index)
        held = paper.crop([round(edge * dots) for edge in (left, top, left + sheet.label_width, top + sheet.label_height)])
        if read := zxingcpp.read_barcodes(held, formats=zxingcpp.BarcodeFormat.QRCode):
            found[index] = [one.text for one in read]
    return found


def words(pdf: bytes, page: int = 0) -> str:
    return " ".join(pypdf.PdfReader(io.BytesIO(pdf)).pages[page].extract_text().split())


@pytest.mark.parametrize("name", PRESETS)
def test_every_code_of_a_full_sheet_is_read_back_and_lies_on_its_own_label(name):
    sheet = PRESETS[name]
    numbers = [f"WH{number:03}" for number in range(sheet.labels)]
    made = labels_pdf([label(number) for number in numbers], sheet)
    assert (made.pages, made.without_code) == (1, ())
    assert codes(printed(made.pdf), sheet) == {index: [LINK + number] for index, number in enumerate(numbers)}


def test_a_label_says_the_number_and_as_many_lines_as_it_has_room_for():
    large = words(labels_pdf([label("K-014")], PRESETS["A4, 3 × 7 of 63.5 × 38.1 mm"]).pdf)
    for line in ("K-014", *label("K-014").lines):
        assert line in large
    small = words(labels_pdf([label("K-014")], PRESETS["A4, 7 × 27 of 25.4 × 10 mm"]).pdf)
    assert "K-014" in small
    assert "101-BB-N" in small
    assert "Front room" not in small


def test_a_number_that_is_too_long_is_set_smaller_before_it_is_cut():
    long = "WEIGH-HOUSE-101-BB-N-014"
    text = words(labels_pdf([label(long)], PRESETS["A4, 3 × 7 of 63.5 × 38.1 mm"]).pdf)
    assert long in text


def test_printing_begins_at_the_first_free_label_and_goes_on_over_pages():
    sheet = PRESETS["A4, 3 × 7 of 63.5 × 38.1 mm"]
    made = labels_pdf([label("A"), label("B"), label("C")], sheet, first=20)
    assert made.pages == 2
    assert codes(printed(made.pdf, 0), sheet) == {19: [LINK + "A"], 20: [LINK + "B"]}
    assert codes(printed(made.pdf, 1), sheet) == {0: [LINK + "C"]}


def test_cut_marks_are_drawn_when_they_are_asked_for():
    sheet = PRESETS["A4, 3 × 7 of 63.5 × 38.1 mm"]
    plain, marked = (
        pypdfium2.PdfDocument(labels_pdf([label("A")], sheet, cut_marks=marks).pdf)[0].render(scale=4).to_pil() for marks in (False, True)
    )
    left, top = (round(edge * POINT * 4) for edge in sheet.place(0))
    assert plain.getpixel((left - 8, top)) == (255, 255, 255)
    assert marked.getpixel((left - 8, top)) != (255, 255, 255)


def test_a_code_that_could_not_be_read_is_left_out_and_told():
    tiny = sheet_of(
        {
            "page_width": 210, "page_height": 297, "label_width": 30, "label_height": 8, "columns": 1, "rows": 2, "left": 0, "top": 0,
            "gap_x": 0, "gap_y": 0,
        }
    )  # fmt: skip
    made = labels_pdf([label("A")], tiny)
    assert made.without_code == ("A",)
    assert codes(printed(made.pdf), tiny) == {}
    assert "101-BB-N" in words(made.pdf)


def test_no_module_of_a_code_is_smaller_than_a_printer_can_print():
    side = code_size(LINK + "A") * LEAST_MODULE * POINT
    assert code(LINK + "A", 0, 0, side) is not None
    assert code(LINK + "A", 0, 0, side * 0.99) is None


def test_the_same_labels_give_the_same_bytes():
    sheet = PRESETS["letter, 3 × 10 of 66.7 × 25.4 mm"]
    assert labels_pdf([label("A")], sheet).pdf == labels_pdf([label("A")], sheet).pdf


def test_markup_and_characters_without_a_glyph_are_text():
    text = words(labels_pdf([Label("<b>&", ("a\x00b\u202ec",), LINK)], PRESETS["A4, 3 × 7 of 63.5 × 38.1 mm"]).pdf)
    assert "<b>&" in text
    assert "a·bc" in text


def test_nothing_to_print_and_a_place_that_is_not_there_are_refused():
    sheet = PRESETS["A4, 3 × 7 of 63.5 × 38.1 mm"]
    with pytest.raises(ValueError, match="nothing to print"):
        labels_pdf([], sheet)
    for first in (0, 22):
        with pytest.raises(ValueError, match="1 to 21"):
            labels_pdf([label("A")], sheet, first=first)

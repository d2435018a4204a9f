"""Sheets of labels: where each label lies, and what no sheet can be made of."""

import pytest

from analysis.core.label_sheets import PAGES, PRESETS, BadSheet, LabelSheet, sheet_of

GOOD = {
    "page_width": 210, "page_height": 297, "label_width": 60, "label_height": 30, "columns": 3, "rows": 9, "left": 10, "top": 12,
    "gap_x": 2.5, "gap_y": 1,
}  # fmt: skip


def test_the_labels_lie_where_their_measures_say():
    """By hand: the fifth label is the second of the second row: 10 + 60 + 2.5 = 72.5 and 12 + 30 + 1 = 43."""
    sheet = sheet_of(GOOD)
    assert (sheet.labels, sheet.place(0), sheet.place(4)) == (27, (10, 12), (72.5, 43))


@pytest.mark.parametrize("name", PRESETS)
def test_a_preset_is_what_its_name_says_and_lies_within_its_page(name):
    sheet = PRESETS[name]
    page, rest = name.split(", ")
    columns, _, rows, _, wide, _, high, _ = rest.split(" ")
    assert (sheet.columns, sheet.rows, sheet.label_width, sheet.label_height) == (int(columns), int(rows), float(wide), float(high))
    assert (sheet.page_width, sheet.page_height) == PAGES[page]
    left, top = sheet.place(sheet.labels - 1)
    assert sheet.left <= left <= sheet.page_width - sheet.label_width
    assert sheet.top <= top <= sheet.page_height - sheet.label_height
    assert sheet_of(name) == sheet


def test_no_two_labels_of_a_sheet_overlap():
    sheet = sheet_of(GOOD)
    places = [sheet.place(index) for index in range(sheet.labels)]
    for at, (left, top) in enumerate(places):
        for other_left, other_top in places[at + 1 :]:
            assert abs(left - other_left) >= sheet.label_width or abs(top - other_top) >= sheet.label_height


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"columns": 4}, "need a page 257.5 mm wide, and the page is 210 mm"),  # 10 + 4 × 60 + 3 × 2.5
        ({"rows": 10}, "need a page 321 mm high"),  # 12 + 10 × 30 + 9 × 1
        ({"label_height": 7.9}, "at least 8 mm"),
        ({"page_height": 451}, "at most 450 mm"),
        ({"left": -1}, "left must be a number of mm"),
        ({"left": True}, "left must be"),
        ({"gap_x": float("nan")}, "gap x must be"),
        ({"columns": 2.0}, "columns must be a whole number"),
        ({"rows": 0}, "rows must be a whole number from 1"),
    ],
)
def test_measures_that_make_no_sheet_are_refused_in_words(change, words):
    with pytest.raises(BadSheet, match=words):
        sheet_of({**GOOD, **change})


def test_a_sheet_that_is_not_offered_and_measures_that_lack_one_are_refused():
    with pytest.raises(BadSheet, match="There is no sheet “A9”"):
        sheet_of("A9")
    with pytest.raises(BadSheet, match="Give a sheet's measures"):
        sheet_of({"label_width": 60})
    with pytest.raises(IndexError, match="27 labels"):
        sheet_of(GOOD).place(27)


def test_a_page_with_more_labels_than_anybody_prints_is_refused():
    many = {**GOOD, "page_width": 440, "page_height": 440, "label_width": 8, "label_height": 8, "left": 0, "top": 0, "gap_x": 0, "gap_y": 0}
    with pytest.raises(BadSheet, match="at most 1,000 labels"):
        sheet_of({**many, "columns": 50, "rows": 50})
    assert isinstance(sheet_of({**many, "columns": 20, "rows": 50}), LabelSheet)

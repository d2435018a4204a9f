"""The draw list itself: where things stand, that they are legible, and what each mark is."""

import itertools

import numpy as np
import pytest
from PIL import ImageFont

from analysis.drawing import UnknownPaper
from analysis.drawing.shapes import Box, Group, Line, Polygon, Text, flat
from analysis.drawing.sheets import PAPERS, page_sheets, sized_sheets, whole_sheet
from analysis.drawing.style import legible_on, outline, percent
from analysis.drawing.text import font_file, shorten, width, wrap
from tests.analysis.drawing.charts import cell, every_mark, generation, large, sample


def texts(sheet):
    return [shape for shape in flat(sheet.shapes) if isinstance(shape, Text)]


def groups(shapes):
    for shape in shapes:
        if isinstance(shape, Group):
            yield shape
            yield from groups(shape.shapes)


def group(sheet, beginning):
    (found,) = [one for one in groups(sheet.shapes) if one.label.startswith(beginning)]
    return found


def one_layer(**other):
    """The sheet of a chart of one layer, and that layer's group."""
    sheet = whole_sheet({"samples": [sample("A", "E", "wall")], "generations": [generation(4)], "cells": [cell("A", 1, 4, **other)]})
    return group(sheet, "A layer 1")


def written(found):
    return [shape.text for shape in found.shapes if isinstance(shape, Text)]


def frame(text):
    """Left, top, right and foot of a text; capitals and descenders of this family lie within 0.75 and 0.2 of the size."""
    wide = width(text.text, text.size, text.bold)
    left = text.x - {"start": 0, "middle": wide / 2, "end": wide}[text.anchor]
    return left, text.y - 0.75 * text.size, left + wide, text.y + 0.2 * text.size


def overlapping(sheet):
    found = texts(sheet)
    left, top, right, foot = np.array([frame(text) for text in found]).T
    slack = 0.05
    meet = (left[:, None] < right[None] - slack) & (left[None] < right[:, None] - slack)
    meet &= (top[:, None] < foot[None] - slack) & (top[None] < foot[:, None] - slack)
    return [(found[a].text, found[b].text) for a, b in zip(*np.nonzero(np.triu(meet, 1)), strict=True)]


def long_names():
    """Every free text far longer than its place."""
    words = "Hochfürstlich-Šťastná Белила beyond measure " * 6
    chart = every_mark()
    for one in chart["generations"]:
        one |= {"label": words, "phase": words, "technique": words, "distinctness": 0.1, "earliest": 1900, "latest": 1800}
    for one in chart["samples"]:
        one |= {
            "sample": one["sample"] + "x" * 90,
            "element": words,
            "class": "W" * 90,
            "position": words,
            "base_state": words,
            "top_state": words,
        }
    for one in chart["cells"]:
        one |= {
            "sample": one["sample"] + "x" * 90, "kind": words, "completeness": words, "colour": words, "uv_colour": words,
            "uv_strength": "strong", "held": True, "confidence": 0.123, "runner_up": 123456789, "runner_up_confidence": 0.1,
        }  # fmt: skip
    chart |= {"project_name": words, "space_name": words, "cautions": [words * 3] * 3, "notes": ["x" * 2000]}
    return chart


def all_sheets():
    for name, chart in (("every mark", every_mark()), ("long names", long_names()), ("empty", {}), ("large", large(25, 12))):
        yield f"{name}, whole", whole_sheet(chart)
        for paper in PAPERS:
            for number, sheet in enumerate(page_sheets(chart, paper), 1):
                yield f"{name}, {paper}, page {number}", sheet


def test_no_text_overlaps_another_leaves_the_sheet_its_room_or_is_below_six_points():
    count = 0
    for name, sheet in all_sheets():
        assert overlapping(sheet) == [], name
        for text in texts(sheet):
            left, top, right, foot = frame(text)
            assert left >= 0, (name, text)
            assert top >= 0, (name, text)
            assert right <= sheet.width, (name, text)
            assert foot <= sheet.height, (name, text)
            assert right - left <= text.room + 0.01, (name, text)
            assert text.size >= 6, (name, text)
            count += 1
    assert count > 3000


def test_the_overlap_check_itself_sees_an_overlap():
    sheet = whole_sheet(every_mark())
    first = texts(sheet)[0]
    doubled = type(sheet)(sheet.width, sheet.height, "", "", (*sheet.shapes, Text(first.x + 5, first.y + 2, "over it", 8, 90, "#000000")))
    assert (first.text, "over it") in overlapping(doubled)


@pytest.mark.parametrize("bold", [False, True])
def test_widths_agree_with_another_reader_of_the_font(bold):
    letters = ImageFont.truetype(str(font_file(bold)), 100, layout_engine=ImageFont.Layout.BASIC)
    for text in ("10YR 8/2", "graining ground", "Белила", "ΔE 3 – µm", "Šťastná œuf", "50 to 69 %"):
        assert width(text, 100, bold) == pytest.approx(letters.getlength(text), rel=0.03)


def test_the_family_has_a_shape_for_every_letter_the_trade_may_write():
    from analysis.drawing.text import font

    letters = [*map(chr, range(0x20, 0x7F)), *map(chr, range(0xA1, 0x180)), *map(chr, range(0x410, 0x450)), *"ΔΩαβγδλµπσ–—“”’…×°≥≤−·"]
    for bold in (False, True):
        assert [letter for letter in letters if ord(letter) not in font(bold).face.charToGlyph] == []


def test_a_text_that_does_not_fit_ends_in_an_ellipsis_within_its_room():
    assert shorten("cream", 7, 100) == "cream"
    short = shorten("a very long description of a layer", 7, 40)
    assert short.endswith("…")
    assert width(short, 7) <= 40
    lines = wrap("one two three four five six seven", 7, 30, 2)
    assert len(lines) == 2
    assert lines[1].endswith("…")


def test_the_oldest_generation_stands_at_the_foot_and_the_unplaced_on_top():
    sheet = whole_sheet(every_mark())
    heights = [group(sheet, name).shapes[0].y for name in ("not placed", "generation 5", "generation 4", "generation 2", "generation 1")]
    assert heights == sorted(heights)


def test_in_a_cell_the_oldest_layer_lies_at_the_foot():
    sheet = whole_sheet(every_mark())
    lower, upper = group(sheet, "K-014 layer 1"), group(sheet, "K-014 layer 2")
    assert min(frame(text)[1] for text in lower.shapes if isinstance(text, Text)) > max(
        frame(text)[3] for text in upper.shapes if isinstance(text, Text)
    )


def test_a_layer_stands_in_the_column_of_its_sample_and_the_row_of_its_generation():
    sheet = whole_sheet(every_mark())
    for name, row in (("K-014 layer 5", "generation 5"), ("K-015 layer 2", "generation 1"), ("K-022 layer 2", "generation 4")):
        layer, head = group(sheet, name), group(sheet, row).shapes[0]
        column = next(shape.x for one in groups(sheet.shapes) if one.label.startswith(name[:5] + ", ") for shape in one.shapes)
        left = min(shape.x for shape in layer.shapes if isinstance(shape, Box))
        assert abs(left - column) < 4
        assert all(head.y <= shape.y <= head.y + head.height for shape in layer.shapes if isinstance(shape, Box | Text))


@pytest.mark.parametrize(
    ("confidence", "thickness", "dashed"),
    [(1.0, 1.5, 0), (0.9, 1.5, 0), (0.899, 0.6, 0), (0.7, 0.6, 0), (0.69, 0.7, 2), (0.5, 0.7, 2), (0.49, 0.9, 2)],
)
def test_confidence_shows_in_the_outline_without_colour(confidence, thickness, dashed):
    frames = [shape for shape in one_layer(confidence=confidence).shapes if isinstance(shape, Box) and shape.stroke == "#1a1a1a"]
    assert [(box.stroke_width, len(box.dash)) for box in frames] == [(thickness, dashed)]


def test_dashes_and_dots_differ():
    dash, dots = outline(0.6)[1], outline(0.3)[1]
    assert dash[0] > 2 * dots[0]


def test_without_a_probability_there_is_no_outline():
    assert not [shape for shape in one_layer(confidence=None).shapes if isinstance(shape, Box) and shape.stroke == "#1a1a1a"]


@pytest.mark.parametrize(("confidence", "shown"), [(0.95, None), (0.9, None), (0.899, "89 %"), (0.71, "71 %"), (0.05, "5 %")])
def test_the_percentage_is_printed_below_nine_in_ten_and_never_rounded_up(confidence, shown):
    assert [text for text in written(one_layer(confidence=confidence)) if text.endswith("%")] == ([shown] if shown else [])


def test_a_percentage_is_not_spoilt_by_binary_fractions():
    assert [percent(number / 100) for number in range(101)] == [f"{number} %" for number in range(101)]


def test_the_runner_up_is_told_only_where_the_placing_is_weak():
    told = {"runner_up": 5, "runner_up_confidence": 0.31}
    assert "2nd: gen 5 (31 %)" in written(one_layer(confidence=0.69, **told))
    assert not [text for text in written(one_layer(confidence=0.7, **told)) if "2nd" in text]


def test_a_swatch_holds_its_screen_colour_with_the_notation_and_the_kind():
    found = one_layer(munsell="10YR 7/4", kind="undercoat")
    # Source of the screen colour: colour-science 0.4.7.
    assert [shape for shape in found.shapes if isinstance(shape, Box) and shape.fill == "#c7a97f"]
    assert written(found)[:2] == ["10YR 7/4", "undercoat"]


def test_what_is_not_whole_about_a_layer_is_written():
    assert "trace" in written(one_layer(completeness="trace"))
    assert "present" not in written(one_layer(completeness="present"))


def test_an_unknown_colour_is_hatched_and_says_so():
    found = one_layer(munsell="", srgb=None, colour="")
    assert sum(isinstance(shape, Line) for shape in found.shapes) > 8
    assert written(found)[0] == "no colour"
    assert written(one_layer(munsell="", srgb=None, colour="cream"))[0] == "“cream”"
    assert not [shape for shape in one_layer().shapes if isinstance(shape, Line)]


def test_hatching_stays_within_its_swatch():
    found = one_layer(munsell="", srgb=None, colour="")
    (plate,) = [shape for shape in found.shapes if isinstance(shape, Box) and shape.fill == "#ffffff" and shape.stroke]
    for line in (shape for shape in found.shapes if isinstance(shape, Line)):
        assert plate.x - 0.01 <= min(line.x1, line.x2) <= max(line.x1, line.x2) <= plate.x + plate.width + 0.01
        assert plate.y - 0.01 <= min(line.y1, line.y2) <= max(line.y1, line.y2) <= plate.y + plate.height + 0.01


def test_a_colour_out_of_gamut_bears_a_corner():
    assert [shape for shape in one_layer(munsell="5B 5/20").shapes if isinstance(shape, Polygon)]
    assert not [shape for shape in one_layer(munsell="10YR 7/4").shapes if isinstance(shape, Polygon)]


@pytest.mark.parametrize(
    ("strength", "filled", "hollow"), [("none", 0, 1), ("weak", 1, 0), ("moderate", 2, 0), ("strong", 3, 0), ("", 0, 0)]
)
def test_the_uv_response_is_counted_in_bars(strength, filled, hollow):
    boxes = [shape for shape in one_layer(uv_strength=strength).shapes if isinstance(shape, Box) and shape.width < 3]
    assert sum(box.fill is not None for box in boxes) == filled
    assert sum(box.fill is None for box in boxes) == hollow


def test_the_uv_colour_is_written_and_an_unobserved_one_is_not_mentioned():
    assert "yellow-white" in written(one_layer(uv_strength="strong", uv_colour="yellow-white"))
    assert "UV violet" in written(one_layer(uv_colour="violet"))
    assert not [text for text in written(one_layer()) if "UV" in text]


def test_a_held_layer_bears_a_square_and_the_word():
    found = one_layer(held=True)
    assert "held" in written(found)
    assert [shape for shape in found.shapes if isinstance(shape, Box) and shape.fill == "#1a1a1a" and shape.width == shape.height]


def test_two_generations_that_may_be_one_are_parted_by_a_broken_line_with_the_percentage():
    sheet = whole_sheet(every_mark())
    broken = [shape for shape in flat(sheet.shapes) if isinstance(shape, Line) and shape.dash and shape.x2 - shape.x1 > 100]
    head = group(sheet, "generation 3").shapes[0]
    assert [line.y1 for line in broken] == [head.y + head.height]
    assert "apart from the one below: 43 %" in [text.text for text in texts(sheet)]


def test_the_oldest_generation_has_none_below_to_be_told_apart_from():
    chart = {"generations": [generation(1, distinctness=0.1)], "cells": [cell("A", 1, 1)]}
    assert not [text for text in texts(whole_sheet(chart)) if "apart" in text.text]


def test_a_distinctness_of_six_tenths_is_a_whole_line():
    chart = {"generations": [generation(1), generation(2, distinctness=0.6)], "cells": [cell("A", 1, 1)]}
    assert not [text for text in texts(whole_sheet(chart)) if "apart" in text.text]


def test_a_lost_beginning_and_end_are_words_at_the_foot_and_head_of_the_column():
    sheet = whole_sheet(every_mark())
    grid_top, oldest = group(sheet, "not placed").shapes[0].y, group(sheet, "generation 1").shapes[0]
    placed = {text.text: text.y for text in texts(sheet)}
    assert placed["base stripped"] > oldest.y + oldest.height
    assert placed["base detached"] > oldest.y + oldest.height
    assert placed["top lost"] < grid_top


def test_on_pages_the_beginning_is_told_on_the_lowest_and_the_end_on_the_highest_only():
    chart = large(3, 30) | {"samples": [sample("K-001", "E", "wall", base_state="stripped", top_state="lost")]}
    pages = [[text.text for text in texts(page)] for page in page_sheets(chart)]
    assert len(pages) > 2
    assert ["top lost" in shown for shown in pages] == [True] + [False] * (len(pages) - 1)
    assert ["base stripped" in shown for shown in pages] == [False] * (len(pages) - 1) + [True]


def test_only_paint_has_colour():
    chart = every_mark()
    for one in chart["cells"]:
        one["srgb"] = None
    for shape in flat(whole_sheet(chart).shapes):
        for colour in (getattr(shape, "fill", None), getattr(shape, "stroke", None)):
            assert colour is None or colour[1:3] == colour[3:5] == colour[5:7], shape


def test_writing_in_a_swatch_is_legible_on_every_colour():
    def brightness(text):
        parts = [int(text[start : start + 2], 16) / 255 for start in (1, 3, 5)]
        r, g, b = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    for parts in itertools.product((0, 51, 102, 119, 153, 204, 255), repeat=3):
        colour = "#{:02x}{:02x}{:02x}".format(*parts)
        low, high = sorted((brightness(colour), brightness(legible_on(colour))))
        # WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for small text.
        assert (high + 0.05) / (low + 0.05) >= 4.5, colour


def test_the_key_and_the_cautions_stand_on_every_page():
    for sheet in page_sheets(large(25, 12)):
        shown = [text.text for text in texts(sheet)]
        for mark in ("90 % or more sure", "held:", "2nd:", "UV response strong", "no colour measured", "corner:", "may be one campaign"):
            assert any(mark in text for text in shown), mark
        assert any("never a paint match" in text for text in shown)
        assert any("lead-bearing" in text for text in shown)
        assert any("Correlated 2026-05-14" in text for text in shown)


def test_cautions_too_long_for_a_page_follow_in_full_after_the_chart():
    chart = every_mark() | {"cautions": [f"Caution {number} is to be read before any work." for number in range(200)]}
    sheets = page_sheets(chart, "A4")
    last = [text.text for sheet in sheets for text in texts(sheet) if "cautions and notes ·" in " ".join(one.text for one in texts(sheet))]
    for number in range(200):
        assert any(f"Caution {number} is" in text for text in last)
    assert any("stand after the chart" in text.text for text in texts(sheets[0]))


def test_that_a_colour_is_no_match_is_said_once_however_the_cautions_say_it():
    chart = every_mark() | {"cautions": ["A screen colour is never a paint match: use the notation."]}
    assert sum("never a paint match" in text.text for text in texts(whole_sheet(chart))) == 1


def test_samples_are_spread_evenly_over_the_pages():
    chart = {"cells": [cell(f"S{number:02}", 1, 1) for number in range(10)]}
    shown = [[text.text for text in texts(page) if text.text.startswith("S0") and text.bold] for page in page_sheets(chart, "A3")]
    assert [len(samples) for samples in shown] == [5, 5]


def test_sheets_bound_in_a_report_hold_every_layer_once_on_fewer_pages():
    """One sample has ten layers in each of three campaigns, eleven have one: only the page of that sample needs high rows."""
    numbers = [f"S{number:02}" for number in range(12)]
    stack = [cell("S00", position, 1 + (position - 1) // 10) for position in range(1, 31)]
    cells = [*stack, *(cell(number, generation, generation) for number in numbers[1:] for generation in (1, 2, 3))]
    chart = {"samples": [sample(number, "E", "wall") for number in numbers], "generations": [*map(generation, (1, 2, 3))], "cells": cells}
    bound, loose = (sized_sheets(chart, 900.0, 700.0, bound=kind) for kind in (True, False))
    # Six samples fit side by side; three rows of one layer fit any page, and three of ten layers do not.
    on_second = [sum(any("samples 7–12 of 12" in text.text for text in texts(sheet)) for sheet in sheets) for sheets in (bound, loose)]
    assert on_second[0] == 1
    assert on_second[1] > 1
    assert len(bound) < len(loose)
    for sheets in (bound, loose):
        told = sorted(one.label.split(":")[0] for sheet in sheets for one in groups(sheet.shapes) if " layer " in one.label)
        assert len(told) == len(set(told)) == len(cells)
    for sheet in bound:
        assert overlapping(sheet) == []
        assert all(frame(text)[0] >= 0 and frame(text)[2] <= sheet.width for text in texts(sheet))


def test_a_class_that_runs_over_the_page_says_so():
    chart = {
        "samples": [sample(f"S{number}", "E", "wall") for number in range(20)],
        "cells": [cell(f"S{number}", 1, 1) for number in range(20)],
    }
    pages = page_sheets(chart)
    assert "wall" in [text.text for text in texts(pages[0])]
    assert "wall (continued)" in [text.text for text in texts(pages[1])]


def test_a_row_higher_than_a_page_is_cut_into_parts_and_no_layer_is_lost():
    chart = {"samples": [sample("A", "E", "wall")], "cells": [cell("A", position, None) for position in range(1, 61)]}
    pages = page_sheets(chart, "A4")
    assert len(pages) > 2
    order = [
        [int(one.label.split(";")[0].removeprefix("A layer ")) for one in groups(page.shapes) if one.label.startswith("A layer")]
        for page in reversed(pages)
    ]
    assert list(itertools.chain(*order)) == list(range(1, 61))
    assert f"part {len(pages)} of {len(pages)}" in [text.text for text in texts(pages[0])]


def test_a_large_chart_names_its_rows_again_at_the_right_and_its_samples_at_the_foot():
    sheet = whole_sheet(large(12, 30))
    shown = [text.text for text in texts(sheet)]
    assert shown.count("K-003") == 2
    assert shown.count("17") == 2


def test_an_empty_chart_says_so():
    for sheet in (whole_sheet({}), *page_sheets({}), whole_sheet({"samples": [sample("A", "E", "wall")], "generations": [generation(1)]})):
        assert any(text.text.startswith("There is nothing to draw yet") for text in texts(sheet))


def test_a_paper_that_is_not_offered_is_refused():
    with pytest.raises(UnknownPaper, match="There is no paper “A5” to draw on; ask for A3, A4, tabloid"):
        page_sheets(every_mark(), "A5")

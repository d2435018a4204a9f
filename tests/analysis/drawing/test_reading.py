"""What the chart's JSON may hold, and that nothing in it is dropped or taken for more than it is."""

import pytest

from analysis.drawing.reading import read_chart, years
from tests.analysis.drawing.charts import cell, every_mark, generation, sample


@pytest.mark.parametrize(
    ("earliest", "latest", "words"),
    [
        (1790, 1812, "1790–1812"),
        (1824, None, "after 1824"),
        (None, 1850, "before 1850"),
        (None, None, "not dated"),
        (1824, 1824, "1824"),
        (-40, 20, "40 BCE – 20 CE"),
        (-40, -20, "40–20 BCE"),
        (1850, 1824, "after 1850 and before 1824: these conflict"),
    ],
)
def test_year_bounds_read_as_words(earliest, latest, words):
    assert years(earliest, latest) == words


def test_rows_run_from_the_newest_to_the_oldest_with_the_unplaced_on_top():
    assert [row.ordinal for row in read_chart(every_mark()).rows] == [None, 5, 4, 3, 2, 1]


def test_a_row_for_the_unplaced_stands_only_where_there_are_such_layers():
    chart = {"generations": [generation(1)], "samples": [sample("A", "E", "wall")], "cells": [cell("A", 1, 1)]}
    assert [row.ordinal for row in read_chart(chart).rows] == [1]


def test_a_cell_of_an_unlisted_sample_or_generation_gets_its_own_column_and_row():
    read = read_chart({"generations": [generation(1)], "samples": [sample("A", "E", "wall")], "cells": [cell("B", 1, 7)]})
    assert [column.sample for column in read.columns] == ["A", "B"]
    assert [row.ordinal for row in read.rows] == [7, 1]
    assert [layer.position for layer in read.layers["B", 7]] == [1]


def test_layers_stand_in_the_order_of_their_positions_however_they_come():
    cells = [cell("A", position, 1) for position in (3, 1, 2)]
    assert [layer.position for layer in read_chart({"cells": cells}).layers["A", 1]] == [1, 2, 3]


def test_missing_and_odd_values_read_as_unknown():
    odd = {
        "sample": "A",
        "generation": "?",
        "confidence": float("nan"),
        "runner_up_confidence": True,
        "srgb": "red;}",
        "lab": [1, None, 2],
        "extra": 1,
    }
    (layer,) = read_chart({"cells": [odd, "no mapping"], "samples": None, "more": {}}).layers["A", None]
    assert (layer.generation, layer.confidence, layer.runner_up_confidence, layer.screen, layer.lab) == (None, None, None, None, None)
    assert (layer.kind, layer.munsell, layer.held, layer.in_gamut) == ("", "", False, True)


def test_a_probability_outside_0_to_1_is_brought_to_its_end():
    chart = {"cells": [cell("A", 1, 1, confidence=1.2), cell("A", 2, 1, confidence=-0.1)]}
    assert [layer.confidence for layer in read_chart(chart).layers["A", 1]] == [1.0, 0.0]


def test_a_project_named_like_its_code_is_named_once():
    assert read_chart({"project": "DEMO", "project_name": "DEMO", "space": "7"}).title == "Generation chart · DEMO · space 7"


def test_text_is_cleaned_of_control_and_direction_characters():
    chart = {"generations": [generation(1, label="a\x00b\x1b[0m\n\tc\u202ed\ud800e  f")]}
    assert read_chart(chart).rows[0].label == "a·b·[0m cd·e f"

"""The chart on the screen has the marks of the chart on paper: the same thresholds, the same words in its key."""

import re
from pathlib import Path

from analysis.drawing import key, style, swatch

MARKS = (Path(__file__).resolve().parents[2] / "surveys/client/model/chart/marks.js").read_text(encoding="utf-8")


def constant(name: str) -> float:
    found = re.search(rf"export const {name} = ([\d.]+);", MARKS)
    assert found, name
    return float(found[1])


def test_confidence_is_told_by_the_same_outlines():
    told = re.findall(r'\{ least: ([\d.]+), name: "(\w+)", words: "([^"]+)" \}', MARKS)
    assert [(float(least), words) for least, _, words in told] == [(least, words) for least, _, _, words in style.OUTLINES]
    # What is unbroken on paper is unbroken on the screen.
    assert [name in ("firm", "thin") for _, name, _ in told] == [dash == () for _, _, dash, _ in style.OUTLINES]


def test_thresholds_are_the_same():
    for name in ("WEAK_DISTINCTNESS", "PERCENT_BELOW"):
        assert constant(name) == getattr(style, name)
    bars = re.search(r"UV_BARS = \{ (.+?) \}", MARKS)
    assert bars
    assert {name: int(many) for name, many in re.findall(r"(\w+): (\d)", bars[1])} == swatch.UV_BARS


def test_the_key_says_the_same_words():
    paper = [words for _, words in key._ENTRIES[len(style.OUTLINES) :] if not words.startswith("2nd")]
    screen = re.search(r"export const KEY = .*?\]\);", MARKS, re.DOTALL)
    assert screen
    told = re.findall(r'\["[\w ]*", "([^"]+)"\]', screen[0])
    assert told == paper

"""What stands at the foot of every sheet: the key to the marks, the cautions and the notes."""

from collections.abc import Callable, Iterator
from typing import Final

from analysis.drawing.reading import Chart
from analysis.drawing.shapes import Box, Dash, Line, Shape, Text
from analysis.drawing.style import BODY, INK, LEADING, OUTLINES, PAPER, PLATE, RULE, SMALL, SOFT
from analysis.drawing.swatch import corner_mark, hatch, held_mark, uv_bars
from analysis.drawing.text import shorten, width, wrap

_NEVER_A_MATCH_WORDS: Final = "never a paint match"
NEVER_A_MATCH: Final = (
    f"A printed or screen colour is {_NEVER_A_MATCH_WORDS}: the swatches are for orientation, the notations are the record."
)
_MARK: Final = 17.0
_GAP: Final = 14.0
_LINE: Final = 11.5
_SENTENCE: Final = BODY * LEADING

Mark = Callable[[float, float], Iterator[Shape]]


def foot_height(chart: Chart, room: float, most: int | None = None) -> float:
    """Height in points of the key, the cautions and the notes (at most so many lines of these) in a width of `room`."""
    shown, cut = _sentences(chart, room, most)
    return len(_flow(room)) * _LINE + (len(shown) + cut) * _SENTENCE + 8.0


def is_cut(chart: Chart, room: float, most: int | None) -> bool:
    """Whether so many lines are too few for the cautions and notes."""
    return _sentences(chart, room, most)[1]


def draw_foot(chart: Chart, x: float, y: float, room: float, most: int | None = None) -> Iterator[Shape]:
    """The key, the cautions and the notes with the upper left corner at (x, y)."""
    baseline = y + _LINE
    for line in _flow(room):
        left = x
        for mark, text, wide in line:
            indent = _MARK if mark else 0.0
            if mark:
                yield from mark(left, baseline)
            yield Text(left + indent, baseline - 1.6, text, SMALL, wide - indent, SOFT)
            left += wide + _GAP
        baseline += _LINE
    baseline += 1.0
    shown, cut = _sentences(chart, room, most)
    for text, bold in shown:
        yield Text(x, baseline, text, BODY, room, INK, bold)
        baseline += _SENTENCE
    if cut:
        yield Text(x, baseline, "The cautions and notes go on: all of them stand after the chart.", BODY, room, INK, True)


def all_sentences(chart: Chart, room: float) -> list[tuple[str, bool]]:
    """Every line of the cautions (bold) and the notes in a width of `room`."""
    told = any(_NEVER_A_MATCH_WORDS in caution for caution in chart.cautions)
    cautions = chart.cautions if told else (NEVER_A_MATCH, *chart.cautions)
    lines = [(line, True) for caution in cautions for line in wrap(caution, BODY, room, bold=True)]
    return lines + [(line, False) for note in chart.notes for line in wrap(note, BODY, room)]


def _sentences(chart: Chart, room: float, most: int | None) -> tuple[list[tuple[str, bool]], bool]:
    lines = all_sentences(chart, room)
    if most is None or len(lines) <= most:
        return lines, False
    return lines[:most], True


def _flow(room: float) -> list[list[tuple[Mark | None, str, float]]]:
    """The key's entries set in lines: mark, text, width."""
    lines: list[list[tuple[Mark | None, str, float]]] = []
    used = 0.0
    for mark, text in _ENTRIES:
        indent = _MARK if mark else 0.0
        shown = shorten(text, SMALL, room - indent)
        wide = indent + width(shown, SMALL) + 0.5
        if not lines or used + wide > room:
            lines.append([])
            used = 0.0
        lines[-1].append((mark, shown, wide))
        used += wide + _GAP
    return lines


def _outlined(thickness: float, dash: Dash) -> Mark:
    def mark(x: float, y: float) -> Iterator[Shape]:
        yield Box(x + thickness / 2, y - 8.5 + thickness / 2, 13 - thickness, 8 - thickness, None, INK, thickness, dash)

    return mark


def _bars(strength: str) -> Mark:
    return lambda x, y: uv_bars(strength, x + 1, y - 1)


def _plain(x: float, y: float) -> Iterator[Shape]:
    yield Box(x + 2, y - 8, 10, 7, PAPER, RULE, 0.4)


def _held(x: float, y: float) -> Iterator[Shape]:
    yield held_mark(x + 4, y - 1.5)


def _hatched(x: float, y: float) -> Iterator[Shape]:
    yield Box(x, y - 8.5, 13, 8, PAPER, RULE, 0.4)
    yield from hatch(x, y - 8.5, 13, 8)


def _cornered(x: float, y: float) -> Iterator[Shape]:
    yield Box(x, y - 8.5, 13, 8, PLATE, RULE, 0.4)
    yield corner_mark(x + 13, y - 8.5, INK)


def _broken(x: float, y: float) -> Iterator[Shape]:
    yield Line(x, y - 4, x + 14, y - 4, INK, 1.1, (4.0, 2.5))


_ENTRIES: Final[tuple[tuple[Mark | None, str], ...]] = (
    *(
        (_outlined(thickness, dash), words + (" sure that the layer belongs to this row" if index == 0 else ""))
        for index, (_, thickness, dash, words) in enumerate(OUTLINES)
    ),
    (_plain, "no outline: no probability computed"),
    (_held, "held: placed by a person"),
    (None, "2nd: the next likeliest generation and its probability"),
    (_bars("none"), "UV looked for, none seen"),
    *((_bars(strength), f"UV response {strength}") for strength in ("weak", "moderate", "strong")),
    (None, "no UV mark: not observed; a UV response suggests materials, it proves none"),
    (_hatched, "no colour measured; a quoted word is as written"),
    (_cornered, "corner: more saturated than a screen can show, drawn with less chroma"),
    (_broken, "the two generations may be one campaign; beside it, how surely they are two"),
)

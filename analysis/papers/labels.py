"""Labels for bags, vials and resin mounts: sheets as PDF."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from analysis.core.label_sheets import LabelSheet
from analysis.drawing.pdf import sheets_pdf
from analysis.drawing.shapes import Line, Shape, Sheet, Text
from analysis.drawing.style import INK, RULE
from analysis.drawing.text import clean, shorten, wrap
from analysis.papers.codes import LEAST_MODULE, POINT, code, code_size

PAD: Final = 1.2
"""Left blank along the edges of a label, in mm."""

EDGE: Final = 0.2
"""Left between a code and the edge of its label, in mm."""

LEAST_TYPE: Final = 4.6
MOST_TYPE: Final = 9.0
MOST_NUMBER: Final = 16.0
LEADING: Final = 1.16
HAZARD: Final = "Take as lead paint until tested"


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says: the sample's number large, then lines in the order in which they may be left out from the end."""

    number: str
    lines: tuple[str, ...]
    link: str


@dataclass(frozen=True, slots=True)
class Labels:
    """Sheets of labels, and what could not be printed on them."""

    pdf: bytes
    pages: int
    without_code: tuple[str, ...]


def labels_pdf(labels: Sequence[Label], sheet: LabelSheet, *, first: int = 1, cut_marks: bool = False, title: str = "Labels") -> Labels:
    """Lay labels out on sheets.

    Parameters
    ----------
    labels : sequence of Label
        In the order in which they are to be printed.
    sheet : LabelSheet
        The measures of the sheet.
    first : int
        The first label of the first sheet that is still there, counted from 1 along the rows.
    cut_marks : bool
        Whether thin marks show the corners, for plain paper that is cut.
    title : str
        Of the document.

    Returns
    -------
    Labels
        The PDF, the same for the same labels; and the numbers of those whose code would be too small to read, which have none.

    Raises
    ------
    ValueError
        If there is no label, or `first` is no label of the sheet.
    """
    if not labels:
        raise ValueError("There is nothing to print.")
    if not 1 <= first <= sheet.labels:
        raise ValueError(f"The first free label is one of 1 to {sheet.labels}.")
    pages: list[list[Shape]] = []
    without: list[str] = []
    for index, label in enumerate(labels, start=first - 1):
        page, place = divmod(index, sheet.labels)
        if page == len(pages):
            pages.append([])
        left, top = sheet.place(place)
        box = (left * POINT, top * POINT, sheet.label_width * POINT, sheet.label_height * POINT)
        shapes, coded = _label(label, *box)
        pages[page] += shapes
        if cut_marks:
            pages[page] += _marks(*box)
        if not coded:
            without.append(label.number)
    sheets = [
        Sheet(sheet.page_width * POINT, sheet.page_height * POINT, title, f"{title}, page {number} of {len(pages)}", tuple(shapes))
        for number, shapes in enumerate(pages, start=1)
    ]
    return Labels(sheets_pdf(sheets), len(sheets), tuple(without))


def _label(label: Label, x: float, y: float, width: float, height: float) -> tuple[list[Shape], bool]:
    """The code on the left where it is at most half as wide as the label, the text on the right of it."""
    pad = PAD * POINT
    inner, room = height - 2 * pad, width - 2 * pad
    shapes: list[Shape] = []
    least = code_size(label.link) * LEAST_MODULE * POINT
    # The code brings its own blank edge. It is as large as it needs to be, and larger only while the words keep most of the width.
    side = min(height - 2 * EDGE * POINT, max(least, 0.42 * room))
    made = code(label.link, x + EDGE * POINT, y + (height - side) / 2, side) if side <= 0.6 * room else None
    text_x = x + pad
    if made is not None:
        shapes.append(made)
        text_x = x + EDGE * POINT + side
    shapes += _words(label, text_x, y + pad, x + width - pad - text_x, inner)
    return shapes, made is not None


def _words(label: Label, x: float, y: float, room: float, height: float) -> list[Shape]:
    number = clean(label.number)
    lines = [clean(line) for line in label.lines if clean(line)]
    size = min(MOST_NUMBER, max(LEAST_TYPE + 1, 0.3 * height))
    while size > LEAST_TYPE and shorten(number, size, room, True) != number:
        size -= 0.2
    left = height - size * LEADING
    small = min(MOST_TYPE, max(LEAST_TYPE, left / max(1, len(lines)) / LEADING))
    wrapped = [piece for line in lines for piece in wrap(line, small, room, 2)]
    while small > LEAST_TYPE and len(wrapped) * small * LEADING > left:
        small = max(LEAST_TYPE, small - 0.2)
        wrapped = [piece for line in lines for piece in wrap(line, small, room, 2)]
    fitting = max(0, int((left + 0.01) / (small * LEADING)))
    shapes: list[Shape] = [Text(x, y + size * 0.82, shorten(number, size, room, True), size, room, INK, bold=True)]
    for place, piece in enumerate(wrapped[:fitting]):
        shapes.append(Text(x, y + size * LEADING + place * small * LEADING + small * 0.86, piece, small, room, INK))
    return shapes


def _marks(x: float, y: float, width: float, height: float) -> list[Shape]:
    """A short cross at each corner."""
    long, thin = 1.5 * POINT, 0.3
    marks: list[Shape] = []
    for corner_x in (x, x + width):
        for corner_y in (y, y + height):
            marks.append(Line(corner_x - long, corner_y, corner_x + long, corner_y, RULE, thin))
            marks.append(Line(corner_x, corner_y - long, corner_x, corner_y + long, RULE, thin))
    return marks


__all__ = ["HAZARD", "Label", "Labels", "labels_pdf"]

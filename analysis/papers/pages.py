"""What all papers share: the lettering, paragraph styles, a page with its footer, tables that break over pages, swatches."""

from collections.abc import Sequence
from functools import cache
from io import BytesIO
from typing import Any, Final
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.fonts import addMapping
from reportlab.lib.pagesizes import A3, A4, LETTER, TABLOID, landscape
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, LongTable, Paragraph, SimpleDocTemplate, TableStyle

from analysis.drawing.style import HAIR, INK, PLATE, RULE, SOFT
from analysis.drawing.text import clean, font

SIZES: Final = {"A3": landscape(A3), "tabloid": landscape(TABLOID), "A4": A4, "letter": LETTER}
MARGIN: Final = 34.0
# A row that is higher is broken where a page ends; the least page of these has more than this under a header.
MOST_OF_A_PAGE: Final = 600.0
UNENDING: Final = 1e6


@cache
def _registered(bold: bool) -> str:
    """The name under which paragraphs know the family; each weight stands for itself, as no mark-up asks for another."""
    face = font(bold)
    pdfmetrics.registerFont(face)
    addMapping(face.fontName, 0, 0, face.fontName)
    return str(face.fontName)


def style(size: float = 8.0, *, bold: bool = False, after: float = 0.0, grey: bool = False, right: bool = False) -> ParagraphStyle:
    """A paragraph's style, in points."""
    name = _registered(bold)
    return ParagraphStyle(
        f"{name}{size}{after}{grey}{right}", fontName=name, fontSize=size, leading=size * 1.28, spaceAfter=after,
        textColor=HexColor(SOFT if grey else INK), alignment=TA_RIGHT if right else 0, splitLongWords=True,
    )  # fmt: skip


def said(text: Any, paragraph: ParagraphStyle, *, lines: Sequence[str] = ()) -> Paragraph:
    """A paragraph of plain text, no mark-up in it taken; further lines below it."""
    return Paragraph("<br/>".join(escape(clean(one)) for one in (text, *lines) if clean(one)), paragraph)


class Swatch(Flowable):
    """A patch of colour with an outline set off by white, so that it shows on dark and light paint alike; without a colour, a dash."""

    def __init__(self, srgb: str, in_gamut: bool = True, width: float = 34.0, height: float = 15.0) -> None:
        super().__init__()
        self.srgb, self.in_gamut, self.width, self.height = srgb, in_gamut, width, height

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Its size, whatever there is room for."""
        return self.width, self.height + 2

    def draw(self) -> None:
        """The patch; one out of a screen's gamut is struck through."""
        canvas: Canvas = self.canv
        canvas.setStrokeColor(HexColor(RULE))
        canvas.setLineWidth(0.5)
        if not self.srgb:
            canvas.line(0, self.height / 2, 8, self.height / 2)
            return
        canvas.rect(0, 0, self.width, self.height, fill=0)
        canvas.setFillColor(HexColor(self.srgb))
        canvas.rect(1.6, 1.6, self.width - 3.2, self.height - 3.2, stroke=0, fill=1)
        if not self.in_gamut:
            canvas.line(0, 0, self.width, self.height)


def table(rows: Sequence[list[Any]], widths: Sequence[float], *, header: int = 1) -> LongTable:
    """A table with its header again on each page; its rows stay whole, unless one is taller than a page."""
    made = _table(rows, widths, header, in_row=0)
    made.wrap(sum(widths), UNENDING)
    whole = all(height <= MOST_OF_A_PAGE for height in made._rowHeights)  # type: ignore[attr-defined]
    return made if whole else _table(rows, widths, header, in_row=1)


def _table(rows: Sequence[list[Any]], widths: Sequence[float], header: int, *, in_row: int) -> LongTable:
    made = LongTable(rows, colWidths=list(widths), repeatRows=header, splitByRow=1, splitInRow=in_row)
    made.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("BACKGROUND", (0, 0), (-1, header - 1), HexColor(PLATE)),
                ("LINEBELOW", (0, header - 1), (-1, header - 1), 0.8, HexColor(RULE)),
                ("LINEBELOW", (0, header), (-1, -1), 0.4, HexColor(HAIR)),
                ("LEFTPADDING", (0, 0), (-1, -1), 3),
                ("RIGHTPADDING", (0, 0), (-1, -1), 3),
                ("TOPPADDING", (0, 0), (-1, -1), 2.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
            ]
        )
    )
    return made


def build(story: Sequence[Any], *, title: str, footer: str, size: str, warning: str = "") -> bytes:
    """The pages as PDF: on each a footer with its number, and above it what must not be missed; the same story gives the same bytes."""
    kept = BytesIO()
    document = SimpleDocTemplate(
        kept, pagesize=SIZES[size], leftMargin=MARGIN, rightMargin=MARGIN, topMargin=MARGIN, bottomMargin=MARGIN + 14, title=clean(title),
        author="Undercoat", creator="Undercoat", lang="en", invariant=1,
    )  # fmt: skip

    def foot(canvas: Canvas, _: Any) -> None:
        canvas.setFont(_registered(False), 7)
        canvas.setFillColor(HexColor(SOFT))
        canvas.drawRightString(SIZES[size][0] - MARGIN, MARGIN - 6, f"Page {canvas.getPageNumber()}")
        canvas.drawString(MARGIN, MARGIN - 6, clean(footer)[:220])
        canvas.setFont(_registered(True), 7)
        canvas.setFillColor(HexColor(INK))
        canvas.drawString(MARGIN, MARGIN + 4, clean(warning))

    document.build(list(story), onFirstPage=foot, onLaterPages=foot)
    return kept.getvalue()


def room(size: str) -> float:
    """Width between the margins, in points."""
    return float(SIZES[size][0]) - 2 * MARGIN

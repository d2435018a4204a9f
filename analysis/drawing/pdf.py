"""Sheets as PDF pages: the same draw list, the family embedded, text that can be selected and searched."""

from collections.abc import Sequence
from io import BytesIO

from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from analysis.drawing.shapes import Box, Drawn, Line, Raster, Sheet, Text, flat
from analysis.drawing.text import font, width


def sheets_pdf(sheets: Sequence[Sheet]) -> bytes:
    """The sheets as one PDF, a page each; the same sheets give the same bytes."""
    for bold in (False, True):
        pdfmetrics.registerFont(font(bold))
    kept = BytesIO()
    # invariant: no clock in the file.
    canvas = Canvas(kept, pageCompression=1, invariant=1, lang="en")
    canvas.setTitle(sheets[0].title)
    canvas.setSubject(sheets[0].description)
    canvas.setAuthor("Undercoat")
    canvas.setCreator("Undercoat")
    for sheet in sheets:
        canvas.setPageSize((sheet.width, sheet.height))
        draw_sheet(canvas, sheet)
        canvas.showPage()
    canvas.save()
    return kept.getvalue()


def draw_sheet(canvas: Canvas, sheet: Sheet) -> None:
    """Draw a sheet with its lower left corner at the canvas's origin."""
    for shape in flat(sheet.shapes):
        _draw(canvas, sheet.height, shape)


def _draw(canvas: Canvas, height: float, shape: Drawn) -> None:
    if isinstance(shape, Text):
        _text(canvas, height, shape)
    elif isinstance(shape, Box):
        if shape.fill:
            canvas.setFillColor(shape.fill)
        _pen(canvas, shape)
        foot = height - shape.y - shape.height
        canvas.rect(shape.x, foot, shape.width, shape.height, stroke=int(bool(shape.stroke)), fill=int(bool(shape.fill)))
    elif isinstance(shape, Raster):
        picture = ImageReader(BytesIO(shape.content))
        canvas.drawImage(picture, shape.x, height - shape.y - shape.height, shape.width, shape.height)
    elif isinstance(shape, Line):
        _pen(canvas, shape)
        canvas.line(shape.x1, height - shape.y1, shape.x2, height - shape.y2)
    else:
        path = canvas.beginPath()
        (first_x, first_y), *others = shape.points
        path.moveTo(first_x, height - first_y)
        for x, y in others:
            path.lineTo(x, height - y)
        path.close()
        canvas.setFillColor(shape.fill)
        canvas.drawPath(path, stroke=0, fill=1)


def _text(canvas: Canvas, height: float, text: Text) -> None:
    canvas.setFont(font(text.bold).fontName, text.size)
    canvas.setFillColor(text.fill)
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * width(text.text, text.size, text.bold)
    canvas.drawString(text.x - back, height - text.y, text.text)


def _pen(canvas: Canvas, shape: Box | Line) -> None:
    if shape.stroke:
        canvas.setStrokeColor(shape.stroke)
        canvas.setLineWidth(shape.stroke_width)
        canvas.setDash(list(shape.dash))

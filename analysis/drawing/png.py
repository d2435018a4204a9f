"""A sheet as PNG: the same draw list on a grid of pixels."""

import math
from functools import cache
from io import BytesIO
from itertools import pairwise
from typing import Final

from PIL import Image, ImageDraw, ImageFont

from analysis.drawing.shapes import Box, Dash, Drawn, Line, Raster, Sheet, Text, flat
from analysis.drawing.text import font_file, width

MOST_PIXELS: Final = 100_000_000
# Blank pixels round a stamped text, for letters that lean out of their width.
_STAMP_EDGE: Final = 2
# Letters are set this much larger and then reduced: set small, they are hinted to whole pixels and the text grows too long.
_FINER: Final = 4


class PictureTooLarge(ValueError):
    """More pixels than one picture may have; the message is a sentence."""


def sheet_png(sheet: Sheet, scale: float) -> bytes:
    """The sheet with `scale` pixels to the point (2 is 144 dpi).

    Raises
    ------
    PictureTooLarge
        If the picture would have more than `MOST_PIXELS` pixels.
    ValueError
        If the scale is not above 0.
    """
    if not (math.isfinite(scale) and scale > 0):
        raise ValueError(f"A picture needs a scale above 0, not {scale}.")
    wide, high = math.ceil(sheet.width * scale), math.ceil(sheet.height * scale)
    if wide * high > MOST_PIXELS:
        largest = math.floor(math.sqrt(MOST_PIXELS / (sheet.width * sheet.height)) * 100) / 100
        raise PictureTooLarge(
            f"At scale {scale:g} the picture would be {wide:,} × {high:,} pixels, {wide * high / 1e6:,.0f} million; the limit is "
            f"{MOST_PIXELS / 1e6:,.0f} million. Ask for a scale of at most {largest:g}, or for the PDF or SVG, which have no pixels."
        )
    picture = Image.new("RGB", (wide, high), "white")
    brush = _Brush(picture, scale)
    for shape in flat(sheet.shapes):
        brush.draw(shape)
    kept = BytesIO()
    picture.save(kept, "PNG", compress_level=6, dpi=(72 * scale, 72 * scale))
    return kept.getvalue()


class _Brush:
    """Draws shapes on one picture; each text is set once and stamped wherever it stands again."""

    def __init__(self, picture: Image.Image, scale: float) -> None:
        self._picture = picture
        self._pen = ImageDraw.Draw(picture)
        self._scale = scale
        self._stamps: dict[tuple[str, float, bool], tuple[Image.Image, int]] = {}

    def draw(self, shape: Drawn) -> None:
        scale = self._scale
        if isinstance(shape, Text):
            self._text(shape)
        elif isinstance(shape, Box):
            self._box(shape)
        elif isinstance(shape, Raster):
            self._raster(shape)
        elif isinstance(shape, Line):
            self._line((shape.x1 * scale, shape.y1 * scale), (shape.x2 * scale, shape.y2 * scale), shape)
        else:
            self._pen.polygon([(x * scale, y * scale) for x, y in shape.points], fill=shape.fill)

    def _text(self, text: Text) -> None:
        if not text.text:
            return
        stamp, rise = self._stamp(text)
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * width(text.text, text.size, text.bold)
        place = (round((text.x - back) * self._scale) - _STAMP_EDGE, round(text.y * self._scale) - rise)
        self._picture.paste(text.fill, place, stamp)

    def _stamp(self, text: Text) -> tuple[Image.Image, int]:
        """The text as a mask, and how far its baseline lies below the mask's upper edge."""
        key = (text.text, text.size, text.bold)
        if key not in self._stamps:
            letters = _letters(text.bold, text.size * self._scale * _FINER)
            _, top, right, foot = (math.ceil(abs(edge) / _FINER) + _STAMP_EDGE for edge in letters.getbbox(text.text, anchor="ls"))
            mask = Image.new("L", ((right + _STAMP_EDGE) * _FINER, (top + foot) * _FINER))
            ImageDraw.Draw(mask).text((_STAMP_EDGE * _FINER, top * _FINER), text.text, fill=255, font=letters, anchor="ls")
            self._stamps[key] = (mask.reduce(_FINER), top)
        return self._stamps[key]

    def _box(self, box: Box) -> None:
        scale = self._scale
        left, top = round(box.x * scale), round(box.y * scale)
        right, foot = round((box.x + box.width) * scale), round((box.y + box.height) * scale)
        if box.fill:
            self._pen.rectangle((left, top, max(right - 1, left), max(foot - 1, top)), fill=box.fill)
        if box.stroke:
            corners = ((left, top), (right, top), (right, foot), (left, foot), (left, top))
            for start, end in pairwise(corners):
                self._line(start, end, box)

    def _raster(self, raster: Raster) -> None:
        left, top = round(raster.x * self._scale), round(raster.y * self._scale)
        size = (round(raster.width * self._scale), round(raster.height * self._scale))
        with Image.open(BytesIO(raster.content)) as picture:
            self._picture.paste(picture.convert("RGB").resize(size, Image.Resampling.LANCZOS), (left, top))

    def _line(self, start: tuple[float, float], end: tuple[float, float], shape: Box | Line) -> None:
        thickness = max(round(shape.stroke_width * self._scale), 1)
        for first, last in _dashes(start, end, tuple(length * self._scale for length in shape.dash)):
            self._pen.line((*first, *last), fill=shape.stroke, width=thickness)


def _dashes(start: tuple[float, float], end: tuple[float, float], dash: Dash) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    length = math.dist(start, end)
    if not dash or length == 0:
        return [(start, end)]
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    on, off = dash[0], dash[1]
    pieces = []
    at = 0.0
    while at < length:
        stop = min(at + on, length)
        pieces.append(((start[0] + along[0] * at, start[1] + along[1] * at), (start[0] + along[0] * stop, start[1] + along[1] * stop)))
        at += on + off
    return pieces


@cache
def _letters(bold: bool, size: float) -> ImageFont.FreeTypeFont:
    # The basic layout sets the same letters as the PDF: no ligatures, no contextual forms.
    return ImageFont.truetype(str(font_file(bold)), size, layout_engine=ImageFont.Layout.BASIC)

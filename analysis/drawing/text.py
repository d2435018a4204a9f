"""Lettering: which family, how wide a text is, and how a text is made to fit.

Widths come from the family's own metrics, so the three ways of drawing share them and a text that fits one fits all.
"""

import unicodedata
from functools import cache
from pathlib import Path
from typing import Final

import fontpkg  # type: ignore[import-untyped]
from reportlab.pdfbase.ttfonts import TTFont

FAMILY: Final = "Fira Sans Condensed"
ELLIPSIS: Final = "…"
# Control characters, lone surrogates, private and unassigned code points have no glyph and may break a file.
_UNPRINTABLE: Final = ("Cc", "Cs", "Co", "Cn")


def font_file(bold: bool) -> Path:
    """The family's file in the given weight."""
    return fontpkg.path(FAMILY, 700 if bold else 400)


@cache
def font(bold: bool) -> TTFont:
    """The family in the given weight, as the PDF library reads it."""
    return TTFont(f"FiraSansCondensed-{'Bold' if bold else 'Regular'}", str(font_file(bold)))


def clean(value: object) -> str:
    """Any value as text of one line: composed, no control or direction characters, blanks single; None is empty."""
    if value is None:
        return ""
    letters = []
    for letter in unicodedata.normalize("NFC", str(value)):
        kind = unicodedata.category(letter)
        if letter in "\t\n\r\v\f\x85\u2028\u2029":
            letters.append(" ")
        elif kind in _UNPRINTABLE:
            letters.append("·")
        elif kind != "Cf":
            letters.append(letter)
    return " ".join("".join(letters).split())


def width(text: str, size: float, bold: bool = False) -> float:
    """Width of a text in points at a size in points."""
    face = font(bold).face
    widths, otherwise = face.charWidths, face.defaultWidth
    return sum(widths.get(ord(letter), otherwise) for letter in text) * size / 1000


def shorten(text: str, size: float, room: float, bold: bool = False) -> str:
    """The text if it fits the room (points), else as much of its beginning as fits with an ellipsis."""
    if width(text, size, bold) <= room:
        return text
    left = room - width(ELLIPSIS, size, bold)
    kept = ""
    for letter in text:
        left -= width(letter, size, bold)
        if left < 0:
            break
        kept += letter
    return kept.rstrip() + ELLIPSIS


def wrap(text: str, size: float, room: float, lines: int | None = None, bold: bool = False) -> list[str]:
    """The text broken at blanks into lines that fit the room; beyond `lines` the last one ends in an ellipsis."""
    found: list[str] = []
    for word in text.split():
        longer = f"{found[-1]} {word}" if found else word
        if found and width(longer, size, bold) <= room:
            found[-1] = longer
        else:
            found.append(word)
    if lines is not None and len(found) > lines:
        found = [*found[: lines - 1], " ".join(found[lines - 1 :])]
    return [shorten(line, size, room, bold) for line in found]

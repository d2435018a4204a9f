"""A sheet as SVG: text stays text, every group carries its description, and no style attribute meets a content policy."""

from base64 import b64encode
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from analysis.drawing.shapes import Box, Group, Line, Polygon, Raster, Shape, Sheet, Text, flat
from analysis.drawing.text import FAMILY, width

# Narrow families first; the text length keeps any other within its room.
_FAMILIES = f"{FAMILY}, Arial Narrow, Roboto Condensed, Noto Sans, sans-serif"


def sheet_svg(sheet: Sheet) -> str:
    """The sheet as one SVG 1.1 document."""
    wide, high = _number(sheet.width), _number(sheet.height)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg"{_linked(sheet)} width="{wide}pt" height="{high}pt" viewBox="0 0 {wide} {high}" '
        f'role="img" aria-labelledby="chart-title chart-description" font-family={quoteattr(_FAMILIES)}>',
        f'<title id="chart-title">{escape(sheet.title)}</title>',
        f'<desc id="chart-description">{escape(sheet.description)}</desc>',
    ]
    for shape in sheet.shapes:
        parts += _shape(shape)
    parts.append("</svg>\n")
    return "\n".join(parts)


def _linked(sheet: Sheet) -> str:
    """The namespace of what is linked, where a picture is."""
    return ' xmlns:xlink="http://www.w3.org/1999/xlink"' if any(isinstance(one, Raster) for one in flat(sheet.shapes)) else ""


def _shape(shape: Shape) -> Iterator[str]:
    if isinstance(shape, Group):
        yield f"<g><title>{escape(shape.label)}</title>"
        for inner in shape.shapes:
            yield from _shape(inner)
        yield "</g>"
    elif isinstance(shape, Box):
        yield (
            f'<rect x="{_number(shape.x)}" y="{_number(shape.y)}" width="{_number(shape.width)}" height="{_number(shape.height)}" '
            f'fill="{shape.fill or "none"}"{_stroke(shape)}/>'
        )
    elif isinstance(shape, Line):
        yield f'<line x1="{_number(shape.x1)}" y1="{_number(shape.y1)}" x2="{_number(shape.x2)}" y2="{_number(shape.y2)}"{_stroke(shape)}/>'
    elif isinstance(shape, Raster):
        place = " ".join(f'{name}="{_number(getattr(shape, name))}"' for name in ("x", "y", "width", "height"))
        kind = "png" if shape.content.startswith(b"\x89PNG") else "jpeg"
        data = b64encode(shape.content).decode()
        yield f'<image {place} preserveAspectRatio="none" xlink:href="data:image/{kind};base64,{data}"/>'
    elif isinstance(shape, Polygon):
        points = " ".join(f"{_number(x)},{_number(y)}" for x, y in shape.points)
        yield f'<polygon points="{points}" fill="{shape.fill}"/>'
    else:
        yield _text(shape)


def _text(text: Text) -> str:
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    bold = ' font-weight="700"' if text.bold else ""
    length = _number(width(text.text, text.size, text.bold))
    return (
        f'<text x="{_number(text.x)}" y="{_number(text.y)}" font-size="{_number(text.size)}"{bold}{anchor} fill="{text.fill}" '
        f'textLength="{length}" lengthAdjust="spacingAndGlyphs">{escape(text.text)}</text>'
    )


def _stroke(shape: Box | Line) -> str:
    if not shape.stroke:
        return ""
    dash = f' stroke-dasharray="{" ".join(map(_number, shape.dash))}"' if shape.dash else ""
    return f' stroke="{shape.stroke}" stroke-width="{_number(shape.stroke_width)}"{dash}'


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")

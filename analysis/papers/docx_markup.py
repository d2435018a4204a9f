"""Markup of a word processor's document (ECMA-376) that its library has no words for: fields, contents, whole tables."""

from collections.abc import Iterator, Sequence
from typing import Any, Final
from xml.sax.saxutils import escape, quoteattr

from docx.oxml import parse_xml
from docx.oxml.ns import nsdecls

from analysis.drawing.text import clean
from analysis.papers.tree import Cell, Swatch, Table

TWIPS: Final = 20
W: Final = nsdecls("w")


def run(inner: str) -> Any:
    """A run of what its markup says."""
    return parse_xml(f"<w:r {W}>{inner}</w:r>")


def field(instruction: str, shown: str) -> Any:
    """A field with what it shows until it is renewed."""
    return parse_xml(f"<w:fldSimple {W} w:instr={quoteattr(f' {instruction} ')}><w:r><w:t>{escape(shown)}</w:t></w:r></w:fldSimple>")


def begin(instruction: str) -> Iterator[Any]:
    """The beginning of a field that spans paragraphs; marked so that it is renewed when the document is opened."""
    yield run('<w:fldChar w:fldCharType="begin" w:dirty="true"/>')
    yield run(f'<w:instrText xml:space="preserve"> {escape(instruction)} </w:instrText>')
    yield run('<w:fldChar w:fldCharType="separate"/>')


def entry(index: int, text: str, shown: str) -> Any:
    """A line of the contents: a link to its heading, and the number of its page as a field with what it shows until it is renewed."""
    page = (
        '<w:r><w:fldChar w:fldCharType="begin" w:dirty="true"/></w:r>'
        f'<w:r><w:instrText xml:space="preserve"> PAGEREF _Toc{index:06} \\h </w:instrText></w:r>'
        '<w:r><w:fldChar w:fldCharType="separate"/></w:r>'
        f'<w:r><w:t>{escape(shown)}</w:t></w:r><w:r><w:fldChar w:fldCharType="end"/></w:r>'
    )
    return parse_xml(
        f'<w:hyperlink {W} w:anchor="_Toc{index:06}" w:history="1"><w:r><w:t xml:space="preserve">{escape(text)}</w:t></w:r>'
        f"<w:r><w:tab/></w:r>{page}</w:hyperlink>"
    )


def table_markup(block: Table, across: float) -> Iterator[str]:
    """A table as WordprocessingML: fixed widths, hairlines, a head that is repeated, rows that stay whole."""
    whole = sum(column.share for column in block.columns)
    widths = [round(across * TWIPS * column.share / whole) for column in block.columns]
    line = 'w:val="single" w:sz="4" w:space="0" w:color="A6A6A6"'
    yield (
        f'<w:tbl {W}><w:tblPr><w:tblW w:w="{sum(widths)}" w:type="dxa"/><w:tblBorders><w:top {line}/><w:bottom {line}/><w:insideH {line}/>'
        '</w:tblBorders><w:tblLayout w:type="fixed"/><w:tblCellMar><w:left w:w="60" w:type="dxa"/><w:right w:w="60" '
        'w:type="dxa"/></w:tblCellMar>'
        f'<w:tblLook w:val="0020" w:firstRow="1" w:lastRow="0" w:firstColumn="0" w:lastColumn="0" w:noHBand="1" w:noVBand="1"/>'
        f"<w:tblCaption w:val={quoteattr(clean(block.caption))}/></w:tblPr><w:tblGrid>"
    )
    yield from (f'<w:gridCol w:w="{width}"/>' for width in widths)
    yield "</w:tblGrid>"
    yield from _row([column.head for column in block.columns], widths, head=True)
    for cells in block.rows:
        yield from _row(cells, widths, tall=block.tall)
    yield "</w:tbl>"


def _row(cells: Sequence[Cell], widths: list[int], *, head: bool = False, tall: float = 0.0) -> Iterator[str]:
    height = f'<w:trHeight w:val="{round(tall * TWIPS)}"/>' if tall else ""
    yield f"<w:tr><w:trPr><w:cantSplit/>{height}{'<w:tblHeader/>' if head else ''}</w:trPr>"
    for cell, width in zip(cells, widths, strict=True):
        yield _cell(cell, width, head)
    yield "</w:tr>"


def _cell(cell: Cell, width: int, head: bool) -> str:
    fill = "EFEFEF" if head else (cell.fill or "").lstrip("#").upper() if isinstance(cell, Swatch) else ""
    shading = f'<w:shd w:val="clear" w:color="auto" w:fill="{fill}"/>' if fill else ""
    text = "" if isinstance(cell, Swatch) else cell
    bold = "<w:rPr><w:b/></w:rPr>" if head else ""
    lines = "<w:br/>".join(f'<w:t xml:space="preserve">{escape(clean(line))}</w:t>' for line in text.split("\n")) if text else ""
    run = f"<w:r>{bold}{lines}</w:r>" if lines else ""
    return (
        f'<w:tc><w:tcPr><w:tcW w:w="{width}" w:type="dxa"/>{shading}</w:tcPr>'
        f'<w:p><w:pPr><w:pStyle w:val="Tabletext"/></w:pPr>{run}</w:p></w:tc>'
    )

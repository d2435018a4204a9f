"""A paper as a word processor's document: real styles, numbered captions, a table of contents, figures with their words.

Tables are written as markup at once, for thousands of rows take minutes cell by cell. Nothing is dated to the clock.
"""

import datetime as dt
import io
import zipfile
from collections.abc import Callable, Mapping
from typing import Any, Final

from docx import Document
from docx.document import Document as OpenDocument
from docx.enum.section import WD_ORIENT, WD_SECTION
from docx.enum.style import WD_STYLE_TYPE
from docx.oxml import parse_xml
from docx.oxml.ns import qn
from docx.shared import Pt, RGBColor

from analysis.drawing.png import sheet_png
from analysis.drawing.text import clean
from analysis.papers.docx_markup import W, begin, entry, field, run, table_markup
from analysis.papers.tree import (
    MARGINS,
    PAGES,
    Block,
    Bullets,
    Contents,
    Figure,
    Heading,
    NewPage,
    Paper,
    Table,
    Turn,
    Words,
    figure_room,
    room,
)

Progress = Callable[[int, int], object]
FACE: Final = "Arial"
DOTS: Final = 2.0
"""Pixels to the point of a drawing: 144 to the inch, and more where it is reduced to fit."""

AS_PRINTED: Final = (
    "Page numbers are those of the PDF of this paper; renew the contents (in most word processors: select all, then F9) after editing."
)

_EPOCH: Final = (1980, 1, 1, 0, 0, 0)


def paper_docx(paper: Paper, progress: Progress | None = None, pages: Mapping[int, int] | None = None) -> bytes:
    """Set a paper.

    Parameters
    ----------
    paper : Paper
        What it says.
    progress : callable, optional
        Told how many of its parts are set, and of how many; may raise to stop.
    pages : mapping, optional
        The page of each heading where the paper was set as PDF (`analysis.papers.pdf.paged_pdf`): what the contents show until a word
        processor renews them, since only it knows its own pages.

    Returns
    -------
    bytes
        An Office Open XML document (ECMA-376), the same for the same paper.
    """
    document: OpenDocument = Document()
    _styles(document)
    _properties(document, paper)
    _Setting(document, paper, pages or {}).run(progress or (lambda done, total: None))
    kept = io.BytesIO()
    document.save(kept)
    return _undated(kept.getvalue())


def _undated(content: bytes) -> bytes:
    """The same parts in the same order, none of them dated to the moment of writing."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            about = zipfile.ZipInfo(part.filename, _EPOCH)
            about.compress_type, about.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            new.writestr(about, old.read(part))
    return out.getvalue()


def _properties(document: OpenDocument, paper: Paper) -> None:
    told = document.core_properties
    moment = dt.datetime.fromisoformat(paper.dated) if paper.dated else dt.datetime(2000, 1, 1)  # noqa: DTZ001  the format keeps no zone
    told.title, told.subject, told.author, told.last_modified_by = clean(paper.title), clean(paper.subtitle), "Undercoat", "Undercoat"
    told.created = told.modified = moment
    told.comments, told.keywords, told.revision, told.language = "", "", 1, "en-GB"


def _styles(document: OpenDocument) -> None:
    """The built-in styles in one sober face, and the few that a paper needs besides: they take on the look of a report they are put in."""
    styles: Any = document.styles
    sizes = {"Normal": 10, "Title": 24, "Subtitle": 12, "Heading 1": 16, "Heading 2": 13, "Heading 3": 11, "Caption": 9, "List Bullet": 10}
    for name, size in sizes.items():
        style = styles[name]
        _face(style, size)
        style.font.italic = False
        style.font.bold = name.startswith("Heading") or name == "Title"
    for border in styles["Title"].element.iter(qn("w:pBdr")):
        border.getparent().remove(border)
    styles["Normal"].paragraph_format.space_after = Pt(6)
    styles["Caption"].paragraph_format.space_after = Pt(4)
    for name, base, size in (
        ("Table text", "Normal", 8),
        ("Small print", "Normal", 8),
        *((f"toc {level}", "Normal", 10) for level in (1, 2, 3)),
    ):
        style = styles.add_style(name, WD_STYLE_TYPE.PARAGRAPH)
        style.base_style = styles[base]
        _face(style, size)
        style.paragraph_format.space_after = Pt(0 if name == "Table text" else 3)
    title = styles.add_style("Contents title", WD_STYLE_TYPE.PARAGRAPH)
    title.base_style = styles["Normal"]
    _face(title, 16)
    title.font.bold = True
    for level in (1, 2, 3):
        styles[f"toc {level}"].paragraph_format.left_indent = Pt(12 * (level - 1))
    run = styles.element.find(qn("w:docDefaults")).find(qn("w:rPrDefault")).find(qn("w:rPr"))
    for lang in run.findall(qn("w:lang")):
        lang.set(qn("w:val"), "en-GB")


def _face(style: Any, size: float) -> None:
    style.font.name, style.font.size, style.font.color.rgb = FACE, Pt(size), RGBColor(0x1A, 0x1A, 0x1A)
    faces = style.element.get_or_add_rPr().get_or_add_rFonts()
    for theme in ("asciiTheme", "hAnsiTheme", "eastAsiaTheme", "cstheme"):
        faces.attrib.pop(qn(f"w:{theme}"), None)
    for kind in ("ascii", "hAnsi", "cs", "eastAsia"):
        faces.set(qn(f"w:{kind}"), FACE)


class _Setting:
    """From blocks to paragraphs, tables and pictures."""

    def __init__(self, document: OpenDocument, paper: Paper, pages: Mapping[int, int]) -> None:
        self.document = document
        self.paper = paper
        self.pages = pages
        self.wide = paper.wide
        self.numbers = {"Table": 0, "Figure": 0}
        self.headings = [(index, block) for index, block in enumerate(paper.blocks) if isinstance(block, Heading)]
        self.pictures = 0

    def run(self, progress: Progress) -> None:
        """Everything, in order."""
        self._page(self.document.sections[0])
        self._foot()
        self._words(self.paper.title, "Title")
        self._words(self.paper.subtitle, "Subtitle")
        for index, block in enumerate(self.paper.blocks):
            progress(index, len(self.paper.blocks))
            self._block(block, index)

    def _block(self, block: Block, index: int) -> None:
        if isinstance(block, Heading):
            self._heading(block, index)
        elif isinstance(block, Words):
            self._words(block.text, "Small print" if block.kind == "small" else "Normal", bold=block.kind == "strong")
        elif isinstance(block, Bullets):
            for item in block.items:
                self._words(item, "List Bullet")
        elif isinstance(block, Table):
            self._table(block)
        elif isinstance(block, Figure):
            self._figure(block)
        elif isinstance(block, Contents):
            self._words(block.title, "Contents title")
            if self.pages:
                self._words(AS_PRINTED, "Small print")
            self._contents()
        elif isinstance(block, Turn):
            self.wide = block.wide
            self._page(self.document.add_section(WD_SECTION.NEW_PAGE))
        elif isinstance(block, NewPage):
            self.document.add_page_break()

    # -- pages -----------------------------------------------------------------------------------------------------------
    def _page(self, section: Any) -> None:
        short, long = PAGES[self.paper.page]
        section.orientation = WD_ORIENT.LANDSCAPE if self.wide else WD_ORIENT.PORTRAIT
        section.page_width, section.page_height = (Pt(long), Pt(short)) if self.wide else (Pt(short), Pt(long))
        margin = Pt(MARGINS[self.wide])
        section.left_margin = section.right_margin = section.top_margin = section.bottom_margin = margin
        section.header_distance = section.footer_distance = Pt(20)

    def _foot(self) -> None:
        """The foot of all pages: every later section goes on with it."""
        paragraph = self.document.sections[0].footer.paragraphs[0]
        paragraph.style = self.document.styles["Small print"]
        paragraph.add_run(clean(self.paper.foot or self.paper.title) + " · page ")
        paragraph._p.append(field("PAGE", "1"))

    # -- text ------------------------------------------------------------------------------------------------------------
    def _words(self, text: str, style: str, *, bold: bool = False) -> Any:
        paragraph = self.document.add_paragraph(style=style)
        for place, line in enumerate(text.split("\n")):
            run = paragraph.add_run()
            if place:
                run.add_break()
            run.add_text(clean(line))
            run.bold = bold or None
        return paragraph

    def _heading(self, block: Heading, index: int) -> None:
        paragraph = self.document.add_paragraph(style=f"Heading {block.level}")
        marks = [
            parse_xml(f'<w:bookmark{end} {W} w:id="{index}"{name}/>') for end, name in (("Start", f' w:name="_Toc{index:06}"'), ("End", ""))
        ]
        paragraph._p.append(marks[0])
        paragraph.add_run(clean(block.text))
        paragraph._p.append(marks[1])

    def _caption(self, kind: str, text: str) -> Any:
        self.numbers[kind] += 1
        paragraph = self.document.add_paragraph(style="Caption")
        paragraph.add_run(f"{kind} ")
        paragraph._p.append(field(f"SEQ {kind} \\* ARABIC", str(self.numbers[kind])))
        paragraph.add_run(f". {clean(text)}")
        paragraph.paragraph_format.keep_with_next = kind == "Table"
        return paragraph

    def _contents(self) -> None:
        """A table of contents that is there before anybody asks for its renewal; the page numbers are fields of their own."""
        across = room(self.paper.page, wide=self.wide)[0]
        for place, (index, block) in enumerate(self.headings):
            paragraph = self.document.add_paragraph(style=f"toc {block.level}")
            paragraph.paragraph_format.tab_stops.add_tab_stop(Pt(across), alignment=2, leader=1)
            if place == 0:
                for piece in begin('TOC \\o "1-3" \\h \\z \\u'):
                    paragraph._p.append(piece)
            paragraph._p.append(entry(index, clean(block.text), str(self.pages.get(index, "…"))))
            if place == len(self.headings) - 1:
                paragraph._p.append(run('<w:fldChar w:fldCharType="end"/>'))

    # -- tables and figures ------------------------------------------------------------------------------------------------
    def _table(self, block: Table) -> None:
        if block.numbered:
            self._caption("Table", block.caption)
        across = room(self.paper.page, wide=self.wide)[0]
        table = parse_xml("".join(table_markup(block, across)))
        self.document._body._element._insert_tbl(table)
        self.document.add_paragraph(style="Table text")

    def _figure(self, block: Figure) -> None:
        across, up = figure_room(self.paper.page, wide=self.wide)
        scale = min(1.0, across / block.sheet.width, up / block.sheet.height)
        picture = io.BytesIO(sheet_png(block.sheet, DOTS))
        paragraph = self.document.add_paragraph()
        paragraph.paragraph_format.space_after = Pt(0)
        paragraph.paragraph_format.keep_with_next = True
        shape: Any = paragraph.add_run().add_picture(picture, width=Pt(block.sheet.width * scale))
        self.pictures += 1
        told = shape._inline.docPr
        told.set("descr", clean(block.alt))
        told.set("title", clean(block.caption))
        told.set("name", f"Figure {self.pictures}")
        self._caption("Figure", block.caption)

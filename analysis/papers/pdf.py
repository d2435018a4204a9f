"""A paper as PDF: flowing text, tables whose heads are repeated, drawings as vectors, a table of contents, bookmarks."""

from collections.abc import Callable, Iterator
from functools import cache
from html import escape
from io import BytesIO
from typing import Any, Final

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_LEFT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    NextPageTemplate,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
)
from reportlab.platypus.tableofcontents import TableOfContents

from analysis.drawing.pdf import draw_sheet
from analysis.drawing.style import HAIR, INK, SOFT
from analysis.drawing.text import clean, font
from analysis.papers.rows import rows_of
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
FOOT: Final = 24.0
UPRIGHT, WIDE = "upright", "wide"


def paper_pdf(paper: Paper, progress: Progress | None = None) -> bytes:
    """Set a paper.

    Parameters
    ----------
    paper : Paper
        What it says.
    progress : callable, optional
        Told the pages set so far and about how many there will be; may raise to stop.

    Returns
    -------
    bytes
        PDF, the lettering embedded, the same for the same paper.
    """
    return paged_pdf(paper, progress)[0]


def paged_pdf(paper: Paper, progress: Progress | None = None) -> tuple[bytes, dict[int, int]]:
    """Set a paper, and tell the page of each heading, by its place among the paper's blocks; as `paper_pdf` otherwise."""
    kept = BytesIO()
    # Which heading is on which page shows when all is set; drawings are left blank until that is known.
    first = list(_Setting(paper).story())
    if any(isinstance(one, TableOfContents) for one in first):
        _Document(paper, BytesIO(), progress, blank=True).multiBuild(first[:])
    again = list(_Setting(paper).story())
    for known, contents in zip(first, again, strict=True):
        if isinstance(known, TableOfContents):
            contents._lastEntries = known._entries  # type: ignore[attr-defined]
    document = _Document(paper, kept, progress)
    document.build(again)
    return kept.getvalue(), document.pages


@cache
def _styles() -> dict[str, ParagraphStyle]:
    names = [font(bold).fontName for bold in (False, True)]
    for bold in (False, True):
        pdfmetrics.registerFont(font(bold))
    pdfmetrics.registerFontFamily(names[0], normal=names[0], bold=names[1], italic=names[0], boldItalic=names[1])
    plain = ParagraphStyle("body", fontName=names[0], fontSize=9.5, leading=13, textColor=HexColor(INK), alignment=TA_LEFT, spaceAfter=5)

    def style(name: str, size: float, **values: Any) -> ParagraphStyle:
        return ParagraphStyle(name, parent=plain, fontSize=size, leading=size * 1.3, **values)

    return {
        "body": plain,
        "small": style("small", 8, textColor=HexColor(SOFT)),
        "strong": style("strong", 9.5, fontName=names[1]),
        "title": style("title", 22, fontName=names[1], spaceAfter=6),
        "subtitle": style("subtitle", 12, textColor=HexColor(SOFT), spaceAfter=16),
        "heading 1": style("heading 1", 16, fontName=names[1], spaceBefore=16, spaceAfter=7),
        "heading 2": style("heading 2", 12.5, fontName=names[1], spaceBefore=12, spaceAfter=5),
        "heading 3": style("heading 3", 10.5, fontName=names[1], spaceBefore=8, spaceAfter=4),
        "caption": style("caption", 8.5, spaceBefore=6, spaceAfter=4),
        "under figure": style("under figure", 8.5, spaceBefore=3, spaceAfter=8),
        "bullet": style("bullet", 9.5, leftIndent=12, bulletIndent=2, spaceAfter=3),
        **{f"contents {level}": style(f"contents {level}", 9.5, leftIndent=12 * (level - 1), spaceAfter=1) for level in (1, 2, 3)},
    }


class _Document(BaseDocTemplate):
    """Pages upright and on their side, with a foot; headings go to the contents and the bookmarks."""

    def __init__(self, paper: Paper, kept: BytesIO, progress: Progress | None, *, blank: bool = False) -> None:
        wide, high = PAGES[paper.page]
        super().__init__(
            kept, pagesize=(high, wide) if paper.wide else (wide, high), title=paper.title, author="Undercoat", subject=paper.subtitle,
            creator="Undercoat", lang="en-GB", invariant=1,
        )  # fmt: skip
        self.paper = paper
        self.progress = progress
        self.blank = blank
        self._indexingFlowables: list[Flowable] = []
        self.most = 0
        self.pages: dict[int, int] = {}
        templates = []
        for name, on_side, x, y in ((UPRIGHT, False, wide, high), (WIDE, True, high, wide)):
            frame = Frame(MARGINS[on_side], MARGINS[on_side], *room(paper.page, wide=on_side), 0, 0, 0, 0)
            templates.append(PageTemplate(name, [frame], onPage=self.foot, pagesize=(x, y)))
        self.addPageTemplates(templates[::-1] if paper.wide else templates)

    def foot(self, canvas: Canvas, document: BaseDocTemplate) -> None:
        """What stands at the foot of each page."""
        self.most = max(self.most, canvas.getPageNumber())
        if self.progress:
            self.progress(canvas.getPageNumber(), self.most)
        canvas.saveState()
        canvas.setFont(font(False).fontName, 7.5)
        canvas.setFillColor(SOFT)
        wide, high = canvas._pagesize  # type: ignore[attr-defined]
        margin = MARGINS[wide > high]
        canvas.drawString(margin, FOOT, clean(self.paper.foot or self.paper.title))
        canvas.drawRightString(wide - margin, FOOT, str(canvas.getPageNumber()))
        canvas.setStrokeColor(HAIR)
        canvas.setLineWidth(0.5)
        canvas.line(margin, FOOT + 10, wide - margin, FOOT + 10)
        canvas.restoreState()

    def afterFlowable(self, flowable: Flowable) -> None:
        """A heading was set: tell the contents and the bookmarks on which page."""
        level = getattr(flowable, "told_level", None)
        if level is None:
            return
        key, text = flowable.told_key, flowable.told_text  # type: ignore[attr-defined]
        self.pages[flowable.told_index] = self.page  # type: ignore[attr-defined]
        self.canv.bookmarkPage(key)
        self.canv.addOutlineEntry(text, key, level - 1, closed=level > 1)
        self.notify("TOCEntry", (level - 1, escape(text), self.page, key))


class _Setting:
    """From blocks to flowables."""

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        self.styles = _styles()
        self.rooms = {wide: room(paper.page, wide=wide) for wide in (False, True)}
        self.wide = paper.wide
        self.level = 0
        self.numbers = {"Table": 0, "Figure": 0}

    def story(self) -> Iterator[Flowable]:
        """All flowables, in order."""
        yield self._paragraph(self.paper.title, "title")
        yield self._paragraph(self.paper.subtitle, "subtitle")
        for index, block in enumerate(self.paper.blocks):
            yield from self._block(block, index)

    def _block(self, block: Block, index: int) -> Iterator[Flowable]:
        if isinstance(block, Heading):
            # A heading does not stand alone at the foot of a page.
            yield CondPageBreak(120 - 15 * block.level)
            yield self._heading(block, index)
        elif isinstance(block, Words):
            yield self._paragraph(block.text, block.kind)
        elif isinstance(block, Bullets):
            for item in block.items:
                yield Paragraph(_text(item), self.styles["bullet"], bulletText="•")
        elif isinstance(block, Table):
            yield from self._table(block)
        elif isinstance(block, Figure):
            yield self._figure(block)
        elif isinstance(block, Contents):
            yield self._paragraph(block.title, "heading 1")
            contents = TableOfContents(dotsMinLevel=0)
            contents.levelStyles = [self.styles[f"contents {level}"] for level in (1, 2, 3)]
            yield contents
        elif isinstance(block, Turn):
            self.wide = block.wide
            yield NextPageTemplate(WIDE if block.wide else UPRIGHT)
            yield PageBreak()
        elif isinstance(block, NewPage):
            yield PageBreak()

    def _paragraph(self, text: str, style: str) -> Paragraph:
        return Paragraph(_text(text), self.styles[style])

    def _heading(self, block: Heading, index: int) -> Paragraph:
        made: Any = self._paragraph(block.text, f"heading {block.level}")
        # A bookmark may lie at most one level below the one before it.
        self.level = min(block.level, self.level + 1)
        made.told_level, made.told_key, made.told_text, made.told_index = self.level, f"h{index}", clean(block.text), index
        return made

    def _caption(self, kind: str, text: str, style: str) -> Paragraph:
        self.numbers[kind] += 1
        return Paragraph(f"<b>{kind} {self.numbers[kind]}</b>&nbsp; {_text(text)}", self.styles[style])

    def _table(self, block: Table) -> Iterator[Flowable]:
        rows = rows_of(block, self.rooms[self.wide][0])
        yield CondPageBreak(min(24 + rows.head.height + (rows.rows[0].height if rows.rows else 0), self.rooms[self.wide][1]))
        if block.numbered:
            yield self._caption("Table", block.caption, "caption")
        else:
            yield Spacer(1, 6)
        yield rows
        yield Spacer(1, 9)

    def _figure(self, block: Figure) -> Flowable:
        caption = self._caption("Figure", block.caption, "under figure")
        return KeepTogether([Drawn(block, *figure_room(self.paper.page, wide=self.wide)), caption])


class Drawn(Flowable):
    """A drawing, as large as it fits, never larger than it is."""

    def __init__(self, figure: Figure, across: float, up: float) -> None:
        super().__init__()
        self.sheet = figure.sheet
        self.scale = min(1.0, across / self.sheet.width, up / self.sheet.height)
        self.width, self.height = self.sheet.width * self.scale, self.sheet.height * self.scale

    def wrap(self, *room: float) -> tuple[float, float]:
        """Its size."""
        return self.width, self.height

    def draw(self) -> None:
        """On the page."""
        if self.canv._doctemplate.blank:  # type: ignore[attr-defined]
            return
        self.canv.saveState()
        self.canv.scale(self.scale, self.scale)
        draw_sheet(self.canv, self.sheet)
        self.canv.restoreState()


def _text(text: str) -> str:
    """A text for a paragraph: markup is text, and its own line breaks stay."""
    return "<br/>".join(escape(clean(line)) for line in text.split("\n"))

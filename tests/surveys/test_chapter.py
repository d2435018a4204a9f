"""The paint chapter, read back by readers that are not the ones that wrote it."""

import io
import re
import zipfile
from typing import Any
from xml.etree import ElementTree

import pypdf
import pytest

from surveys import jobs, records
from surveys.errors import NotFound
from surveys.models import Citation, Evidence, Generation, Interpretation, Layer, Question
from surveys.work import table
from surveys.work.chapter import gather
from tests.surveys.test_papers import made

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
DRAWING = "{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}"


class Opened:
    """A .docx as any reader of its markup sees it."""

    def __init__(self, content: bytes) -> None:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            self.parts = {name: packed.read(name) for name in packed.namelist()}
        self.body = ElementTree.fromstring(self.parts["word/document.xml"])
        self.paragraphs = [(self.style(one), self.text(one)) for one in self.body.iter(f"{W}p")]
        self.tables = list(self.body.iter(f"{W}tbl"))

    @staticmethod
    def style(paragraph: Any) -> str:
        found = paragraph.find(f"{W}pPr/{W}pStyle")
        return "" if found is None else found.get(f"{W}val")

    @staticmethod
    def text(element: Any) -> str:
        return "".join(one.text or "" for one in element.iter(f"{W}t"))

    def of_style(self, name: str) -> list[str]:
        return [text for style, text in self.paragraphs if style == name]

    def rows(self, table: Any) -> list[list[str]]:
        return [[self.text(cell) for cell in row.iter(f"{W}tc")] for row in table.iter(f"{W}tr")]

    def table(self, caption: str) -> list[list[str]]:
        return next(self.rows(one) for one in self.tables if one.find(f"{W}tblPr/{W}tblCaption").get(f"{W}val") == caption)


@pytest.fixture
def told(cast, project, paint):
    """A project in which something was concluded, agreed, disputed, and kept to oneself."""
    make = lambda model, **values: records.create(cast.conservator, project, model, values)  # noqa: E731
    generation = make(Generation, space=paint.space.pk, label="Green scheme")
    layer = paint.layers["101-1"][1]
    layer.refresh_from_db()
    records.change(
        cast.conservator,
        project,
        Layer,
        layer.pk,
        layer.version,
        {"generation": generation.pk, "pigments": "emerald green (identified: PLM)"},
    )
    bill = make(Evidence, reference="E1", statement="Bill for green paint", source="Accounts, folio 9", bears_on="generation",
                generation=generation.pk, relation="made in", earliest=1821, latest=1821, certainty="firm", kind="document")  # fmt: skip
    with records.writing(cast.historian, project) as pen:
        common = {"project": pen.project, "discipline": "architectural history", "subject": "generation", "generation": generation}
        found = [
            Interpretation(number=number, statement=statement, certainty="likely", **common)
            for number, statement in enumerate(("The green of the bill.", "It is later than the bill.", "A draft of my own."), start=1)
        ]
        pen.create(found)
        pen.create([Citation(project=pen.project, interpretation=found[0], kind="evidence", evidence=bill)])
        pen.create(
            [Question(project=pen.project, number=1, about_type="layer", about_id=layer.pk, to_person=cast.owner, text="Who painted it?")]
        )
    with records.writing(cast.coordinator, project) as pen:
        moved = {"state_by": cast.coordinator}
        pen.change(found[0], {"state": "agreed", **moved})
        pen.change(found[1], {"state": "disputed", "state_reason": "The paper beneath is of 1860.", **moved})
    return project


@pytest.fixture
def files(cast, told):
    return made(cast.owner, told, "chapter")[1]


@pytest.fixture
def document(files):
    return Opened(files["HALL paint chapter.docx"])


@pytest.fixture
def pages(files):
    return pypdf.PdfReader(io.BytesIO(files["HALL paint chapter.pdf"]))


def whole(pages: pypdf.PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in pages.pages).split())


def test_the_parts_of_a_chapter_are_headings_by_style(document):
    found = document.of_style("Heading1")
    wanted = ["Summary", "Method", "Sample register", "Space 101 Front room", "Agreed findings", "Disputes", "Colour plates", "Limitations",
              "Cautions", "Appendix: layers", "Appendix: evidence", "Appendix: materials and their introduction"]  # fmt: skip
    assert [one for one in found if one in wanted] == wanted


def test_the_contents_name_every_heading_and_link_to_its_place(document):
    entries = [text for style, text in document.paragraphs if style.startswith("toc")]
    headings = [text for style, text in document.paragraphs if style.startswith("Heading")]
    assert [entry.rstrip("0123456789") for entry in entries] == [heading.rstrip("0123456789") for heading in headings]
    marks = {one.get(f"{W}name") for one in document.body.iter(f"{W}bookmarkStart")}
    assert {one.get(f"{W}anchor") for one in document.body.iter(f"{W}hyperlink")} == marks
    assert any("TOC" in (one.text or "") for one in document.body.iter(f"{W}instrText"))


def test_the_contents_are_written_with_page_numbers_before_anybody_renews_them(document, pages):
    marks = {one.title: pages.get_destination_page_number(one) + 1 for one in pages.outline if not isinstance(one, list)}
    told = dict(zip(document.of_style("toc1"), document.of_style("Heading1"), strict=True))
    for entry, heading in told.items():
        assert entry == f"{heading}{marks[heading]}"
    assert any(text.startswith("Page numbers are those of the PDF") for text in document.of_style("Smallprint"))


def test_tables_and_figures_are_numbered_by_fields_in_order(document):
    captions = document.of_style("Caption")
    for kind in ("Table", "Figure"):
        numbers = [int(found[1]) for one in captions if (found := re.match(rf"{kind} (\d+)\. ", one))]
        assert numbers == list(range(1, len(numbers) + 1))
        assert numbers
    fields = [one.get(f"{W}instr").split() for one in document.body.iter(f"{W}fldSimple")]
    assert sum(one[:2] == ["SEQ", "Table"] for one in fields) == sum(one.startswith("Table") for one in captions)


def test_the_head_of_every_table_is_repeated_and_its_rows_stay_whole(document):
    for one in document.tables:
        rows = list(one.iter(f"{W}tr"))
        assert rows[0].find(f"{W}trPr/{W}tblHeader") is not None
        assert all(row.find(f"{W}trPr/{W}cantSplit") is not None for row in rows)


def test_every_figure_says_in_words_what_it_shows(document):
    shown = list(document.body.iter(f"{DRAWING}docPr"))
    assert shown
    assert all(re.match(r"Space 101: room; 2 samples with 6 layers, in 1 generation\.", one.get("descr")) for one in shown)


def test_findings_stand_with_state_author_and_what_they_rest_on(document):
    rows = {row[0]: row for row in document.table("Interpretations of space 101")}
    assert rows["1"][2:] == [
        "The green of the bill.",
        "agreed; likely, by Cora Ordway",
        "Hester Orian, architectural history",
        "evidence E1",
    ]
    assert rows["2"][3].endswith("The paper beneath is of 1860.")
    assert document.table("Agreed findings")[1] == [
        "1",
        "generation 101/1",
        "The green of the bill.",
        "likely",
        "Hester Orian; Cora Ordway",
    ]
    assert document.table("Disputed findings, with the reasons given")[1][3:] == [
        "Hester Orian",
        "Cora Ordway: The paper beneath is of 1860.",
    ]


def test_what_an_author_has_not_put_forward_stays_the_authors_own(cast, told, document, pages):
    assert "A draft of my own" not in " ".join(text for _, text in document.paragraphs)
    assert "A draft of my own" not in whole(pages)
    assert [one["number"] for one in gather(told, lambda now: None)["interpretations"]] == [1, 2]


def test_years_stand_with_the_records_that_set_them(document):
    head, row = document.table("Generations of space 101, the oldest first")[:2]
    # Nobody gave a phase, so there is no column of phases.
    assert head == ["No.", "Generation", "Years", "Median (95 %)", "Because"]
    assert (row[1], row[2]) == ("Green scheme", "1821")
    assert "E1" in row[4]


def dated(ordinal, by, until):
    """A generation as dating tells it, with the sentences of its two bounds and of the order that carried the second."""
    sentences = lambda kind, text: [{"kind": kind, "sentence": text}]  # noqa: E731
    order = sentences("order in space", f"generation {ordinal} of space 10 is not later than generation 12 of space 10 (by its number)")
    return {"space": "10", "ordinal": ordinal, "earliest": 1791, "latest": 1914, "distributions": [],
            "earliest_by": sentences("evidence", by), "latest_by": sentences("evidence", until) + order}  # fmt: skip


def test_reasons_of_years_are_told_once_and_by_the_number_of_the_generation_alone():
    from analysis.papers.chapter_spaces import generations

    until = "generation 12 of space 10 cannot be later than 1914 (E-16, phase Lift made before 1914)"
    own = "generation {} of space 10 cannot be earlier than 1791 (E-01, the structure made in 1791)"
    phased = "generation 2 of space 101 cannot be earlier than 1850 (E-02)"
    years = [dated(1, own.format(1), until), dated(2, own.format(2), until), dated(3, phased, until), dated(4, own.format(4), until)]
    named = [{"ordinal": one["ordinal"], "label": "", "description": "", "technique": "", "phase": None} for one in years]
    table = generations({"generations": years}, {"space": "10", "generations": named})
    assert [column.head for column in table.columns] == ["No.", "Years", "Median (95 %)", "Because"]
    first = "it cannot be earlier than 1791 (E-01, the structure made in 1791); generation 12 cannot be later than 1914 (E-16, phase Lift "
    first += "made before 1914)"
    # Another space keeps its name, though it begins with the number of this one.
    third = "generation 2 of space 101 cannot be earlier than 1850 (E-02); generation 12 cannot be later than 1914 (E-16, phase Lift made "
    assert [row[3] for row in table.rows] == [first, "as generation 1", third + "before 1914)", "as generation 1"]


def test_materials_stand_with_the_source_of_their_year(document):
    row = next(one for one in document.table("Materials named in layers") if one[0].startswith("emerald"))
    # Published 1814; see the table's own source.
    assert row[1] == "1814"
    assert row[2]
    assert row[3] == "101-1/2"


def test_a_swatch_is_the_colour_of_its_notation_and_is_called_no_match(document):
    """5GY 6/4 is not among the published pairs, 10YR 8/2's neighbour N 6 is: the neutral has equal parts of red, green and blue."""
    table = next(one for one in document.tables if one.find(f"{W}tblPr/{W}tblCaption").get(f"{W}val").startswith("Colours of space 101"))
    rows = list(table.iter(f"{W}tr"))[1:]
    for row in rows:
        cells = list(row.iter(f"{W}tc"))
        fill = cells[2].find(f"{W}tcPr/{W}shd").get(f"{W}fill")
        assert f"#{fill.lower()}" == document.text(cells[6]).lower()
    assert "Swatches are for orientation: screen and print are no paint match." in " ".join(text for _, text in document.paragraphs)


def test_the_cautions_are_those_of_what_is_in_the_layers(document, pages):
    told = " ".join(text for _, text in document.paragraphs)
    # Emerald green holds arsenic; old paint is untested for lead.
    for words in (
        "Arsenic: bright greens",
        "40 CFR 745.103",
        "29 CFR 1926.62" if "Lead: pigments" in told else "Untested old paint",
        "licensed practice",
    ):
        assert words in told
        assert words in whole(pages)


def test_the_pdf_says_what_the_document_says(document, pages):
    text = whole(pages)
    for style, told in document.paragraphs:
        if style.startswith("Heading") or style == "Caption":
            # Number and words of a caption are set apart in one, joined by a full stop in the other.
            assert " ".join(re.sub(r"^((?:Table|Figure) \d+)\. ", r"\1 ", told).split()) in text, told
    for one in document.tables:
        for cell in (cell for row in document.rows(one) for cell in row if cell):
            assert "".join(cell.split())[:25] in "".join(text.split()), cell


def test_the_pdf_has_bookmarks_and_page_numbers_that_lead_to_the_headings(pages):
    marks: dict[str, int] = {}

    def walk(outline: Any) -> None:
        for one in outline:
            if isinstance(one, list):
                walk(one)
            else:
                marks[one.title] = pages.get_destination_page_number(one) + 1

    walk(pages.outline)
    contents = " ".join(pages.pages[0].extract_text().split())
    for title in ("Method", "Disputes", "Appendix: evidence"):
        assert title in " ".join(pages.pages[marks[title] - 1].extract_text().split())
        assert title in contents


def test_the_same_record_gives_the_same_bytes(cast, told, files):
    from analysis.papers.chapter import chapter_paper
    from analysis.papers.docx import paper_docx
    from analysis.papers.pdf import paged_pdf

    paper = chapter_paper(gather(told, lambda now: None))
    printed, pages = paged_pdf(paper)
    assert paper_docx(paper, pages=pages) == files["HALL paint chapter.docx"]
    assert printed == files["HALL paint chapter.pdf"]


def test_a_chapter_of_nothing_says_so_instead_of_failing(cast, project):
    document = Opened(made(cast.owner, project, "chapter", paper="letter")[1]["HALL paint chapter.docx"])
    told = [text for _, text in document.paragraphs]
    for words in ("No sample is on record.", "None is agreed yet.", "None is disputed.", "No evidence is on record."):
        assert words in told


def test_markup_in_the_record_is_text_in_the_chapter(cast, told):
    hostile = '<w:p/> & ]]> "</w:tbl>" \u202e \x07'.replace("\x07", "")
    records.create(cast.conservator, told, Evidence, {"reference": "E<2>", "statement": hostile, "source": "<b>bold</b>"})
    job = jobs.ask(cast.owner, told, "chapter", {})
    jobs.run(str(job.pk), "test", table.do)
    job.refresh_from_db()
    assert job.state == "done"
    _, found = made(cast.owner, told, "chapter")
    rows = {row[0]: row for row in Opened(found["HALL paint chapter.docx"]).table("Evidence")}
    assert rows["E<2>"][2] == '<w:p/> & ]]> "</w:tbl>"'
    assert "<b>bold</b>" in whole(pypdf.PdfReader(io.BytesIO(found["HALL paint chapter.pdf"])))


def test_owner_gets_the_chapter_and_contractor_and_stranger_find_no_project(cast, told):
    assert jobs.ask(cast.owner, told, "chapter", {}).kind == "chapter"
    for who in (cast.contractor, cast.stranger):
        with pytest.raises(NotFound):
            jobs.ask(who, told, "chapter", {})


def test_a_chapter_that_is_stopped_leaves_nothing(cast, told):
    job = jobs.ask(cast.owner, told, "chapter", {})

    def stopped(running: Any, progress: Any) -> Any:
        jobs.cancel(cast.owner, told, job.pk)
        return table.do(running, progress)

    jobs.run(str(job.pk), "test", stopped)
    job.refresh_from_db()
    assert (job.state, job.files) == ("cancelled", [])

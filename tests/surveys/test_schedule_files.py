"""What goes out of a schedule: content from the record, workbook, pages and CSV, read back by other programs."""

import csv
import datetime as dt
import io
import zipfile

import openpyxl
import pypdf
import pytest
import python_calamine

from surveys import jobs, records
from surveys.errors import Forbidden, Invalid, NotFound
from surveys.models import Job, Layer, Person, Schedule, ScheduleIssue, ScheduleRow
from surveys.work import schedules, table
from surveys.workbooks.schedule_sheets import COLUMNS


@pytest.fixture
def hall(cast, project, dated):
    """A schedule of 1850, when generation 1 of 1800 was in force."""
    return records.create(cast.conservator, project, Schedule, {"title": "As of 1850", "year": 1850})


def done(cast_member: Person, project, kind: str, **params) -> Job:
    job = jobs.ask(cast_member, project, kind, params)
    jobs.run(str(job.pk), "w", table.do)
    job.refresh_from_db()
    return job


def files_of(job: Job) -> dict[str, bytes]:
    from django.core.files.storage import default_storage

    return {file["name"].rsplit(".", 1)[-1]: default_storage.open(file["path"]).read() for file in job.files}


def test_a_row_names_the_finish_in_force_its_colour_and_the_samples_that_it_rests_on(project, hall):
    rows = {row["element"]: row for row in schedules.content(hall).content["rows"]}
    assert set(rows) == {"101-BB", "101-DL"}
    row = rows["101-BB"]
    assert (row["finish"], row["munsell"], row["generation"]) == ("paint", "5GY 6/4", 1)
    assert (row["samples"], row["layers"], row["probability"]) == (("101-1",), ("101-1/2",), 1.0)
    assert row["marks"] == ("not agreed", "one sample", "as found")


def test_an_element_without_a_sample_is_a_row_without_evidence(cast, project, paint, hall):
    from surveys.models import Element

    records.create(cast.conservator, project, Element, {"code": "101-CO", "space": paint.space.pk, "element_class": "cornice"})
    rows = {row["element"]: row for row in schedules.content(hall).content["rows"]}
    assert (rows["101-CO"]["state"], rows["101-CO"]["finish"]) == ("no evidence", "")


def test_an_issue_is_frozen_and_says_what_changed_since_the_one_before_and_since_itself(cast, project, paint, hall):
    first = done(cast.coordinator, project, "issue-schedule", schedule=str(hall.pk), purpose="for pricing")
    assert (first.state, first.error) == ("done", "")
    issue = ScheduleIssue.objects.get(revision="A")
    frozen = issue.content
    assert schedules.changed_since(issue) == {}
    layer = Layer.objects.get(pk=paint.layers["101-1"][1].pk)
    records.change(cast.conservator, project, Layer, layer.pk, layer.version, {"munsell": "10YR 8/2"})
    issue.refresh_from_db()
    assert issue.content == frozen
    since = schedules.changed_since(issue)
    assert list(since) == ["101-BB"]
    assert [(one["record"], one["fields"], one["by"]) for one in since["101-BB"]] == [("101-1/2", ["munsell"], "Connie Vator")]
    done(cast.coordinator, project, "issue-schedule", schedule=str(hall.pk), purpose="for work")
    told = [(one["element"], one["what"], one["before"], one["after"]) for one in ScheduleIssue.objects.get(revision="B").changes]
    assert told == [("101-BB", "Munsell", "5GY 6/4", "10YR 8/2")]


def test_only_what_is_agreed_goes_out_without_the_mark(cast, project, paint, hall):
    from surveys.models import Interpretation

    values = {"discipline": "paint conservation", "subject": "element", "element": paint.baseboard.pk, "statement": "Green in 1850."}
    values["citations"] = [{"type": "layer", "id": str(paint.layers["101-1"][1].pk)}]
    said = records.create(cast.conservator, project, Interpretation, values)

    def marks():
        return {row["element"]: row["marks"] for row in schedules.content(hall).content["rows"]}

    assert "not agreed" in marks()["101-BB"]
    said = records.transition(cast.conservator, project, said.pk, said.version, "for comment", "")
    said = records.transition(cast.owner, project, said.pk, said.version, "agreed", "")
    assert marks() == {"101-BB": ("one sample", "as found"), "101-DL": ("not agreed", "one sample", "as found")}
    records.transition(cast.historian, project, said.pk, said.version, "disputed", "The bill says blue.")
    assert "disputed" in marks()["101-BB"]


def workbook(job: Job) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(files_of(job)["xlsx"]))


def test_the_workbook_has_its_sheets_numbers_that_are_numbers_and_swatches_as_fills(cast, project, hall):
    book = workbook(done(cast.coordinator, project, "issue-schedule", schedule=str(hall.pk), purpose="for work", issued_on="2026-05-14"))
    assert book.sheetnames == ["Cover", "Cautions", "Schedule", "Colours", "Evidence", "Changes"]
    sheet = book["Schedule"]
    heads = {cell.value: cell.column for cell in sheet[1]}
    assert [*heads] == [column.header for column in COLUMNS]
    row = next(row for row in sheet.iter_rows(min_row=2) if row[1].value == "101-BB")
    cell = lambda head: row[heads[head] - 1]  # noqa: E731
    assert (cell("Munsell").value, cell("Samples").value, cell("Probability").value) == ("5GY 6/4", 1, 1)
    assert cell("Probability").number_format == "0%"
    # ASTM D1535: at value 6 Y = 29.3012, so L* = 116 · 0.293012^(1/3) - 16 = 61.05 by hand.
    assert cell("L* (D65, 2°)").value == pytest.approx(61.05, abs=0.2)
    assert cell("Swatch").fill.fgColor.rgb == "FF" + cell("sRGB").value[1:].upper()
    assert "2026-05-14" in [value for line in book["Cover"].iter_rows(values_only=True) for value in line]


@pytest.mark.parametrize(("paper", "number"), [("A3", "8"), ("tabloid", "3")])
def test_the_schedule_prints_on_the_paper_asked_for_with_its_heads_on_each_page(cast, project, hall, paper, number):
    sheet = workbook(done(cast.owner, project, "schedule", schedule=str(hall.pk), paper=paper))["Schedule"]
    # ECMA-376 part 1, 18.3.1.63: 8 is A3, 3 is tabloid (11 × 17 in).
    assert str(sheet.page_setup.paperSize) == number
    assert sheet.page_setup.orientation == "landscape"
    assert sheet.print_title_rows == "$1:$1"


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_nothing_that_people_write_on_a_row_runs_in_a_workbook_or_a_csv(cast, project, paint, hall, start):
    values = {"schedule": hall.pk, "element": paint.baseboard.pk, "remarks": f"x{start}1+1", "hold_point": f"{start}cmd|' /c calc'!A1"}
    records.create(cast.conservator, project, ScheduleRow, values)
    files = files_of(done(cast.owner, project, "schedule", schedule=str(hall.pk)))
    with zipfile.ZipFile(io.BytesIO(files["xlsx"])) as archive:
        assert not any(b"<f>" in archive.read(name) or b"<f " in archive.read(name) for name in archive.namelist())
    for row in csv.reader(io.StringIO(files["csv"].decode("utf-8-sig"))):
        assert not any(cell.startswith(("=", "+", "@", "\t", "\r")) for cell in row)


def test_an_independent_reader_finds_the_same_rows_in_the_workbook_as_in_the_csv(cast, project, hall):
    files = files_of(done(cast.owner, project, "schedule", schedule=str(hall.pk)))
    read = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(files["xlsx"])).get_sheet_by_name("Schedule").to_python()
    rows = list(csv.DictReader(io.StringIO(files["csv"].decode("utf-8-sig"))))
    assert [row[read[0].index("Munsell")] for row in read[1:]] == [row["Munsell"] for row in rows]
    assert {row["Issue"] for row in rows} == {f"Draft of {dt.date.today().isoformat()}, not issued"}


def test_the_pages_say_what_they_are_and_carry_the_cautions(cast, project, paint, hall):
    values = {"schedule": hall.pk, "element": paint.baseboard.pk, "munsell": "10YR 8/2", "override_reason": "The owner likes it."}
    records.create(cast.conservator, project, ScheduleRow, values)
    job = done(cast.coordinator, project, "issue-schedule", schedule=str(hall.pk), purpose="for work", issued_on="2026-05-14")
    text = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(files_of(job)["pdf"])).pages).split())
    assert "Revision A, 2026-05-14, for work" in text
    assert "By decision of Connie Vator: The owner likes it." in text
    assert "evidence says colour: 5GY 6/4" in text
    # 40 CFR 745.103 and 29 CFR 1926.62, by their citations.
    assert "40 CFR 745.103" in text
    assert "local codes and licensed practice decide" in text


def test_every_page_says_that_old_paint_may_hold_lead_and_no_row_is_cut_in_two():
    """Sixty rows of seven heights, so that pages end at any place in a row: its first word stands on the page of its last."""
    from analysis.papers.schedule import schedule_pdf
    from tests.surveys.schedule_rows import row_of

    colour = {"srgb": "#444a38", "lab": (30.4, -6.3, 10.0), "munsell": "5GY 3/2"}
    rows = [row_of(element=f"E{n:02}first", colour_word="green\n" * (n % 7) + f"E{n:02}last", **colour) for n in range(60)]
    content = {"project": {"code": "HALL", "name": "The hall", "place": ""}, "schedule": 1, "title": "As of 1850", "as_of": "1850",
               "notes": "", "rows": rows, "cautions": ["Careful."], "marks": {}}  # fmt: skip
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(schedule_pdf(content, [], "Draft", paper="tabloid"))).pages]
    assert len(pages) > 3
    assert all("Take old paint to hold lead until it is tested" in page for page in pages)
    for n in range(60):
        assert [f"E{n:02}first" in page for page in pages] == [f"E{n:02}last" in page for page in pages]


def test_a_row_taller_than_a_page_goes_on_over_the_next():
    from analysis.papers.schedule import schedule_pdf
    from tests.surveys.schedule_rows import row_of

    long = "\n".join(f"line {n}" for n in range(200))
    content = {"project": {"code": "HALL", "name": "The hall", "place": ""}, "schedule": 1, "title": "As of 1850", "as_of": "1850",
               "notes": "", "rows": [row_of(additions={"remarks": long})], "cautions": [], "marks": {}}  # fmt: skip
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(schedule_pdf(content, [], "Draft"))).pages)
    assert "line 199" in text


def test_what_nothing_tells_of_and_what_was_not_seen_are_told_apart(cast, project, hall):
    from analysis.papers.schedule import finish_of

    assert finish_of({"finish": "", "state": "no evidence"}) == "no evidence"
    assert finish_of({"finish": "", "state": "found"}) == "finish not seen"
    assert finish_of({"finish": "paint", "state": "found"}) == "paint"


def test_the_remarks_for_the_painter_print_on_the_first_of_the_two_pages():
    """Fitted to two pages of width W, the columns go to the first while they fit; W is the least for which both parts do."""
    widths = [column.width for column in COLUMNS]
    repeated = sum(widths[:4])
    remarks = next(place for place, column in enumerate(COLUMNS) if column.header == "Remarks")
    wide = {cut: max(sum(widths[:cut]), repeated + sum(widths[cut:])) for cut in range(5, len(widths))}
    assert min(wide, key=wide.__getitem__) == remarks + 1


def test_owner_may_have_a_draft_and_may_not_issue(cast, project, hall):
    assert done(cast.owner, project, "schedule", schedule=str(hall.pk)).state == "done"
    with pytest.raises(Forbidden, match="issue a schedule"):
        jobs.ask(cast.owner, project, "issue-schedule", {"schedule": str(hall.pk), "purpose": "for work"})


def test_contractor_asks_for_no_draft(cast, project, hall):
    with pytest.raises(NotFound):
        jobs.ask(cast.contractor, project, "schedule", {"schedule": str(hall.pk)})


@pytest.mark.parametrize(
    ("params", "words"),
    [({"purpose": "for fun"}, "no purpose"), ({"purpose": "for work", "issued_on": "14.5.2026"}, "no date"), ({}, "needs 'purpose'")],
)
def test_an_issue_without_a_purpose_or_with_a_wrong_one_is_refused_in_words(cast, project, hall, params, words):
    with pytest.raises(Invalid, match=words):
        jobs.ask(cast.coordinator, project, "issue-schedule", {"schedule": str(hall.pk), **params})


def test_a_schedule_that_is_not_there_fails_in_words(cast, project, hall):
    job = done(cast.owner, project, "schedule", schedule="00000000-0000-0000-0000-000000000000")
    assert (job.state, job.error) == ("failed", "There is no such schedule in HALL.")

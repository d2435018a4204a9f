"""What goes out comes back as it was: exporting, then importing what came out, changes nothing."""

import datetime as dt
import io
import re
import zipfile
from pathlib import Path

import pytest
import python_calamine
from django.conf import settings
from hypothesis import HealthCheck, example, given
from hypothesis import Phase as Phase_
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from surveys import records, rules, workbooks
from surveys.errors import Forbidden, Invalid, NotFound
from surveys.models import Change, Element, Evidence, Generation, Layer, Phase, Ruling, Sample, Space
from surveys.workbooks import cells, layout, reading, writing
from tests.surveys.workbooks import books

ON = dt.date(2026, 6, 1)
DEMO = Path(settings.BASE_DIR) / "fixtures" / "demo" / "demo.xlsx"
REGISTERS = [sheet.title for sheet in layout.SHEETS]


def exported(cast, project) -> bytes:
    out = io.BytesIO()
    workbooks.registers(cast.owner, project, out, on=ON)
    return out.getvalue()


def assert_nothing_changes(report):
    assert report["faults"] == []
    assert report["changes"] == []
    assert {(one["created"], one["changed"]) for one in report["sheets"]} <= {(0, 0)}
    assert all(one["unchanged"] == one["rows"] for one in report["sheets"])
    assert report["notices"] == []
    assert (report["new_holds"], report["new_generations"], report["new_classes"]) == (0, 0, [])


def assert_comes_back(cast, project):
    assert_nothing_changes(workbooks.check(cast.conservator, project, "out.xlsx", exported(cast, project)))
    for title in REGISTERS:
        if layout.BY_TITLE[title].model.objects.filter(project=project).exists():
            assert_nothing_changes(
                workbooks.check(cast.conservator, project, "out.csv", workbooks.registers_csv(cast.owner, project, title), title)
            )


def formulas(content: bytes) -> list[str]:
    """Parts that hold a formula."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return [name for name in archive.namelist() if re.search(rb"<(\w+:)?f[\s>/]", archive.read(name))]


def test_the_demonstration_is_read_without_a_fault_and_changes_nothing_the_second_time(cast, project):
    report = workbooks.load(cast.conservator, project, "demo.xlsx", DEMO.read_bytes())
    assert {one["sheet"] for one in report["sheets"]} == set(REGISTERS)
    assert all(one["created"] == one["rows"] for one in report["sheets"])
    told = Change.objects.count()
    again = workbooks.load(cast.conservator, project, "demo.xlsx", DEMO.read_bytes())
    assert again["faults"] == again["changes"] == []
    assert {(one["created"], one["changed"]) for one in again["sheets"]} == {(0, 0)}
    assert Change.objects.count() == told
    assert_comes_back(cast, project)


def test_an_import_is_one_act_in_the_history_with_a_reason(cast, project):
    workbooks.load(cast.conservator, project, "survey.xlsx", books.book({"Spaces": [["Space"], ["1"], ["2"]]}))
    lines = Change.objects.filter(record_type="space")
    assert len({line.act for line in lines}) == 1
    assert {(line.actor, line.reason) for line in lines} == {(cast.conservator, "Imported survey.xlsx.")}


# -- hostile texts ----------------------------------------------------------------------------------------------------------------

NASTY = st.sampled_from(
    ["=1+1", "=", "+1", "-1", "--", "@x", "\ta", "\ra", "'=x", "''=x", "'", "'-", "#REF!", "#N/A", "TRUE", "1e5", "2026-05-14", "_x000D_",
     "_x005F_", "a\r\nb", "a\nb", "a\rb", " a ", "a;b", ";", "; ", '"', '""', 'a"b', "a,b", "\ufffe", "\uffff", "<f>1</f>", "]]>", "&amp;",
     "structure", "x/1", "c.1840", "0", "007", "1.0", "ﬁ", "é", "e\u0301", "\U0001f3a8", "\u202e", "\ufeff", "\ufeffa", "\xa0"]
)  # fmt: skip
TEXTS = st.one_of(NASTY, st.text(max_size=12), st.tuples(NASTY, NASTY).map("".join))


def kept(model, name, text):
    """The text as the record keeps it, or None where the record would not have it."""
    try:
        return rules.clean_one(model, name, text)
    except rules.Refused:
        return None


@pytest.mark.django_db
@hypothesis_settings(max_examples=12, deadline=None, phases=(Phase_.explicit, Phase_.generate), suppress_health_check=list(HealthCheck))
@given(data=st.lists(TEXTS, min_size=16, max_size=16), number=st.floats(0.001, 99_999))
@example(data=["=1+1"] * 16, number=0.1 + 0.2)
@example(data=["-1"] * 16, number=1 / 3)
@example(data=["''=x\r\n_x000D_"] * 16, number=12.0)
def test_hostile_texts_come_back_as_they_were_and_are_no_formulas(data, number, cast, project):
    from django.db import transaction

    with transaction.atomic():
        make = lambda model, **values: records.create(  # noqa: E731
            cast.conservator, project, model, {name: value for name, value in values.items() if value is not None}
        )
        texts = iter(data)
        say = lambda model, name: kept(model, name, next(texts))  # noqa: E731
        space = make(Space, number=say(Space, "number") or "101", name=say(Space, "name"), notes=say(Space, "notes"))
        element = make(Element, code=say(Element, "code") or "E", space=space.pk, element_class="wall", position=say(Element, "position"))
        sample = make(
            Sample,
            number=say(Sample, "number") or "S",
            element=element.pk,
            mount=say(Sample, "mount"),
            examined_uv_by=say(Sample, "examined_uv_by"),
            height_mm=-number,
        )
        layer = make(Layer, sample=sample.pk, kind="paint", pigments=say(Layer, "pigments"), notes=say(Layer, "notes"), thickness_um=number)
        make(Layer, sample=sample.pk, kind="paint", colour=say(Layer, "colour"), lab_l=50, lab_a=-number / 1e4, lab_b=number / 1e3)
        make(
            Evidence,
            reference=say(Evidence, "reference") or "E-1",
            statement=say(Evidence, "statement") or "x",
            bears_on="element",
            element=element.pk,
        )
        make(Evidence, reference="Ref", statement="x", bears_on="space", space=space.pk, source=say(Evidence, "source"))
        generation = make(Generation, space=space.pk)
        make(Ruling, kind="hold", first_layer=layer.pk, generation=generation.pk, reason=say(Ruling, "reason"))
        content = exported(cast, project)
        assert formulas(content) == []
        assert_comes_back(cast, project)
        load_workbook(io.BytesIO(content))
        independent = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_name("Spaces").to_python()
        assert str(independent[1][0]) == space.number or set(space.number) & set("\ufffe\uffff")
        # Noncharacters are the one thing that this reader leaves escaped; a blank text it gives back as nothing.
        if not set(space.name) & set("\ufffe\uffff") and space.name.strip():
            assert str(independent[1][1]) == space.name
        transaction.set_rollback(True)


@given(TEXTS)
def test_an_apostrophe_put_before_a_text_in_csv_is_taken_off_again(text):
    guarded = reading.guarded(text)
    assert reading.unguarded(guarded) == text
    assert not guarded.startswith(("=", "+", "-", "@", "\t", "\r"))


@given(st.text())
def test_what_xml_cannot_hold_is_escaped_and_comes_back(text):
    from surveys.workbooks.child import decode

    encoded = writing.encode(text)
    assert decode(encoded) == text
    assert not set(encoded) & set("\r\ufffe\uffff")


@given(st.floats(-1e6, 1e6, allow_subnormal=False))
def test_a_number_is_the_same_after_the_sixteen_figures_that_a_workbook_keeps(number):
    # openpyxl writes '%.16g'; spreadsheets that save again keep at least 15 figures (documented for Excel).
    assert cells.same(number, float(f"{number:.16g}"))
    assert cells.same(number, float(f"{float(f'{number:.16g}'):.15g}"))


def test_a_list_of_which_a_lone_dash_is_left_is_not_kept():
    with pytest.raises(rules.Refused, match="clear this"):
        rules.clean_one(Layer, "pigments", "; -")


# -- the workbook itself ------------------------------------------------------------------------------------------------------------


@pytest.fixture
def charted(cast, project, paint):
    """Two generations, of which the second holds the greens; one layer is in none."""
    first, second = (records.create(cast.conservator, project, Generation, {"space": paint.space.pk}) for _ in range(2))
    for sample in ("101-1", "101-2"):
        for layer, generation in zip(paint.layers[sample][:2], (first, second), strict=True):
            records.change(cast.conservator, project, Layer, layer.pk, layer.version, {"generation": generation.pk})
    return paint


def test_the_same_record_and_date_give_the_same_bytes(cast, project, charted):
    assert exported(cast, project) == exported(cast, project)


def test_the_chart_has_the_oldest_generation_at_the_foot_and_the_colour_of_the_topmost_paint(cast, project, charted):
    sheet = load_workbook(io.BytesIO(exported(cast, project)))["Generations 101"]
    rows = {str(row[0].value): row for row in sheet.iter_rows() if row[0].value}
    assert rows["2"][0].row < rows["1"][0].row
    assert [sheet.cell(5, column).value for column in (4, 5)] == ["101-1", "101-2"]
    assert rows["2"][3].value == "2 paint 5GY 6/4 held"
    # 5GY 6/4 on a screen, by the colour kernel, which has its own published checks.
    from analysis.core import colour

    green = colour.lab_to_srgb(colour.munsell_to_lab("5GY 6/4")).hex
    assert rows["2"][3].fill.fgColor.rgb == f"FF{green[1:].upper()}"
    assert rows["2"][3].font.color.rgb == "FF000000"
    assert "3 paint 10YR 8/2" in rows["Without a generation"][3].value
    assert sheet.freeze_panes == "D6"
    assert any("lead" in str(row[0].value).casefold() for row in sheet.iter_rows(min_row=rows["1"][0].row))


def test_letters_are_white_on_dark_and_black_on_light():
    # Relative luminance (WCAG 2.2) of pure red is 0.2126, of pure blue 0.0722; the even point lies at 0.179.
    from surveys.workbooks.chart_sheets import black_or_white

    shown = [black_or_white(colour) for colour in ("#000000", "#ffffff", "#ff0000", "#0000ff")]
    assert shown == ["FFFFFFFF", "FF000000", "FF000000", "FFFFFFFF"]


def test_registers_have_frozen_headers_a_filter_and_a_page_that_fits(cast, project, charted):
    book = load_workbook(io.BytesIO(exported(cast, project)))
    assert book.sheetnames == ["Read me", *REGISTERS, "Generations 101"]
    for title in REGISTERS:
        sheet = book[title]
        assert [cell.value for cell in sheet[1]] == books.headers(title)
        assert sheet.freeze_panes[1:] == "2"
        assert sheet.auto_filter.ref.startswith("A1:")
        assert (sheet.page_setup.orientation, sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == ("landscape", 1, 0)
        assert sheet.print_title_rows == "$1:$1"
        assert "&P" in sheet.oddFooter.right.text


def test_dates_and_numbers_are_such_and_names_are_text(cast, project, charted):
    sample = charted.first
    values = {"taken_on": ON, "height_mm": 1650, "visit": "2", "examined_uv_on": ON, "examined_uv_by": "A. Person"}
    records.change(cast.conservator, project, Sample, sample.pk, sample.version, values)
    records.change(cast.conservator, project, Sample, charted.second.pk, charted.second.version, {"taken_on": dt.date(1899, 12, 31)})
    sheet = load_workbook(io.BytesIO(exported(cast, project)))["Samples"]
    row = {head.value: cell for head, cell in zip(sheet[1], sheet[2], strict=True)}
    assert (row["Taken on"].value, row["Height mm"].value, row["Visit"].value) == (dt.datetime(2026, 6, 1), 1650, "2")
    assert row["Examined UV"].value == "2026-06-01; A. Person"
    assert (row["Sample"].data_type, row["Sample"].number_format) == ("s", "@")
    assert_comes_back(cast, project)


def test_the_titles_of_chart_sheets_are_allowed_and_unlike_each_other():
    taken: list[str] = []
    for wanted in ("Generations 1/2:*?[]", "Generations " + "x" * 40, "Generations " + "x" * 41, "generations 1-2-----"):
        taken.append(writing.safe_title(wanted, taken))
    assert len({title.casefold() for title in taken}) == 4
    assert all(len(title) <= 31 and not re.search(r"[\[\]:*?/\\]", title) for title in taken)


def test_the_template_has_every_sheet_and_is_read_as_nothing(cast, project):
    out = io.BytesIO()
    workbooks.template(out)
    assert formulas(out.getvalue()) == []
    assert load_workbook(out).sheetnames == ["Read me", *REGISTERS]
    assert_nothing_changes(workbooks.check(cast.conservator, project, "template.xlsx", out.getvalue()))


def test_who_may_not_see_the_record_gets_no_registers(cast, project):
    for who in (cast.contractor, cast.stranger):
        with pytest.raises((NotFound, Forbidden)):
            workbooks.registers(who, project, io.BytesIO())
        with pytest.raises((NotFound, Forbidden)):
            workbooks.registers_csv(who, project, "Layers")
    with pytest.raises(Invalid, match="There is no sheet 'Walls'"):
        workbooks.registers_csv(cast.owner, project, "Walls")


def test_an_export_brought_into_another_project_makes_the_same_record(cast, project, charted):
    records.create(cast.conservator, project, Phase, {"ordinal": 2, "label": "Rebuilding", "earliest": 1838, "latest": 1842})
    other = records.create_project(cast.stranger, {"code": "OTHER", "name": "Other"})
    workbooks.load(cast.stranger, other, "out.xlsx", exported(cast, project))
    for title in REGISTERS:
        assert workbooks.registers_csv(cast.stranger, other, title) == workbooks.registers_csv(cast.owner, project, title)

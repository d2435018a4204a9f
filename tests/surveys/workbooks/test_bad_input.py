"""What a file may have wrong: each fault names sheet, row and column, all are told at once, and nothing is changed."""

import datetime as dt

import pytest

from surveys import records, workbooks
from surveys.errors import Cancelled, Conflict
from surveys.models import Change, Element, Layer, Project, Ruling, Sample, Space
from surveys.workbooks import cells, layout, planning, reading
from tests.surveys.workbooks import books

LAYER = {"Sample": "101-1", "Layer": 4, "Kind": "paint"}


def sheet(title, *rows):
    """A sheet from dictionaries, with all the columns that they name."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    return {title: [names, *([row.get(name) for name in names] for row in rows)]}


def check(cast, project, sheets, name="survey.xlsx"):
    return workbooks.check(cast.conservator, project, name, books.book(sheets))


def plan(project, title, row):
    """The report on one row, without a file around it: reading files is tested by itself, and takes a process each time."""
    made = reading.Book("survey.xlsx")
    filling = reading._Filling(made, layout.BY_TITLE[title])
    made.sheets[title] = filling.rows
    filling.add(1, dict(enumerate(row, start=1)))
    filling.add(2, dict(enumerate(row.values(), start=1)))
    return planning.build(project, made).report()


UNCALCULATED = cells.Unreadable("(formula)", "This cell holds a formula whose value was never calculated.")
BAD = [
    # (sheet, row of values, column of the fault, part of its sentence)
    ("Layers", LAYER | {"Kind": "primmer"}, "Kind", "Did you mean 'primer'"),
    ("Layers", LAYER | {"Kind": None}, "Kind", "needed"),
    ("Layers", LAYER | {"Sample": None}, "Sample", "does not say of which sample"),
    ("Layers", LAYER | {"Sample": "999"}, "Sample", "There is no sample 999 in the project or in this file"),
    ("Layers", LAYER | {"Sample": dt.date(2026, 1, 2)}, "Sample", "made a date of this (2026-01-02)"),
    ("Layers", LAYER | {"Layer": 6}, "Layer", "layer 4 is missing"),
    ("Layers", LAYER | {"Layer": 0}, "Layer", "from 1"),
    ("Layers", LAYER | {"Layer": 1.5}, "Layer", "not a whole number"),
    ("Layers", LAYER | {"Layer": "top"}, "Layer", "not a number"),
    ("Layers", LAYER | {"Munsell": "11YR 7/4"}, "Munsell", "11YR 7/4"),
    ("Layers", LAYER | {"Munsell by": "exact chip"}, "Munsell by", "there is none"),
    ("Layers", LAYER | {"L*": 50}, "L*", "together"),
    ("Layers", LAYER | {"L*": 150, "a*": 0, "b*": 0}, "L*", "between 0 and 100"),
    ("Layers", LAYER | {"Thickness um": "12,5"}, "Thickness um", "Write 12.5"),
    ("Layers", LAYER | {"Thickness um": "12 um"}, "Thickness um", "without its unit"),
    ("Layers", LAYER | {"Thickness um": -3}, "Thickness um", "above 0"),
    ("Layers", LAYER | {"Thickness um": True}, "Thickness um", "not a number"),
    ("Layers", LAYER | {"Generation": 501}, "Generation", "at most 500"),
    ("Layers", LAYER | {"Generation": "102/3"}, "Generation", "space 101"),
    ("Layers", LAYER | {"Element": "101-DL"}, "Element", "is of element 101-BB"),
    ("Layers", LAYER | {"Element": "101-BB", "Space": "999"}, "Space", "is in space 101"),
    ("Layers", LAYER | {"Colour": "x" * 121}, "Colour", "at most 120"),
    ("Layers", LAYER | {"Colour": UNCALCULATED}, "Colour", "never calculated"),
    ("Samples", {"Sample": "N-1", "Element": "103-XX"}, "Element", "There is no element 103-XX in the project or in this file"),
    ("Samples", {"Sample": "N-1", "Element": "101-bb"}, "Element", "101-BB, which differs in case"),
    ("Samples", {"Sample": "N-1", "Element": None}, "Element", "needed"),
    ("Samples", {"Sample": "N-1", "Element": "101-BB", "Taken on": 45_000}, "Taken on", "not a date"),
    ("Samples", {"Sample": "N-1", "Element": "101-BB", "Taken on": "14.5.2026"}, "Taken on", "2026-05-14"),
    ("Samples", {"Sample": "N-1", "Element": "101-BB", "Examined UV": "A. Person"}, "Examined UV", "the date and by whom"),
    ("Samples", {"Sample": "N-1", "Element": "101-BB", "Status": "exmined"}, "Status", "Did you mean 'examined'"),
    ("Samples", {"Sample": "N-1", "Element": "101-BB", "Size mm": 0}, "Size mm", "above 0"),
    ("Elements", {"Element": "N", "Space": "101", "Class": "bseboard"}, "Class", "Did you mean 'baseboard'"),
    ("Elements", {"Element": "N", "Space": "999", "Class": "wall"}, "Space", "There is no space 999"),
    ("Elements", {"Element": "N", "Space": "-", "Class": "wall"}, "Space", "'-' cannot clear it"),
    ("Spaces", {"Space": None, "Name": "Hall"}, "Space", "This row has no space"),
    ("Spaces", {"Space": "x" * 41}, "Space", "at most 40"),
    ("Spaces", {"Space": "102", "Name": "a\u0085b"}, "Name", "cannot be printed"),
    ("Evidence", {"Evidence": "E-1", "Statement": None, "Kind": "document"}, "Statement", "needed"),
    ("Evidence", {"Evidence": "E-1", "Statement": "x", "Earliest": "long ago"}, "Earliest", "c.1840 or 1838-42"),
    ("Evidence", {"Evidence": "E-1", "Statement": "x", "Earliest": "1842-38"}, "Earliest", "Write the earlier year first"),
    ("Evidence", {"Evidence": "E-1", "Statement": "x", "Earliest": 1850, "Latest": 1840}, "Latest", "before the earliest"),
    ("Evidence", {"Evidence": "E-1", "Statement": "x", "Relation": "between", "Earliest": 1840}, "Relation", "both"),
    ("Evidence", {"Evidence": "E-1", "Statement": "x", "Bears on": "the house"}, "Bears on", "does not say what this bears on"),
    ("Evidence", {"Evidence": "E-1", "Statement": "x", "Bears on": "element 103-XX"}, "Bears on", "There is no element 103-XX"),
    ("Evidence", {"Evidence": "E-1", "Statement": "x", "Bears on": "phase 7"}, "Bears on", "There is no phase 7"),
    ("Evidence", {"Evidence": "E-1", "Statement": "x", "Bears on": "generation 101/4"}, "Bears on", "There is no generation 101/4"),
    ("Phases", {"Phase": "first"}, "Phase", "not a number"),
    ("Rulings", {"Ruling": "tie", "First layer": "101-1"}, "First layer", "as in K-014/3"),
    ("Rulings", {"Ruling": "tie", "First layer": "101-1/9", "Second layer": "101-2/1"}, "First layer", "There is no layer 101-1/9"),
    ("Rulings", {"Ruling": "tie", "First layer": "101-1/1"}, "Second layer", "names two layers"),
    ("Rulings", {"Ruling": "tie", "First layer": "101-1/1", "Second layer": "101-1/1"}, "Second layer", "two different"),
    ("Rulings", {"Ruling": "hold", "First layer": "101-1/1"}, "Generation", "names the generation"),
    ("Rulings", {"Ruling": "hold", "First layer": "101-1/1", "Second layer": "101-2/1", "Generation": 1}, "Second layer", "one layer"),
    ("Rulings", {"Ruling": "knot", "First layer": "101-1/1", "Second layer": "101-2/1"}, "Ruling", "tie, bar, hold"),
    ("Rulings", {"Ruling": None, "First layer": "101-1/1", "Second layer": "101-2/1"}, "Ruling", "needed"),
]  # fmt: skip


@pytest.mark.parametrize(("title", "row", "column", "says"), BAD)
def test_a_fault_names_its_sheet_row_and_column_and_says_what_to_do(title, row, column, says, cast, project, paint):
    found = plan(project, title, row)["faults"]
    assert [(one["sheet"], one["row"], one["column"]) for one in found] == [(title, 2, column)], found
    assert says in found[0]["detail"]


def test_all_faults_are_told_at_once_and_nothing_is_imported(cast, project, paint):
    before = Change.objects.count()
    sheets = {
        **sheet("Spaces", {"Space": "201", "Kind": "rom"}, {"Space": "202", "Name": "Good"}, {"Space": "201"}),
        **sheet("Layers", LAYER | {"Kind": "primmer"}, LAYER | {"Layer": 5, "Munsell": "5Q 1/1"}),
    }
    with pytest.raises(workbooks.ImportRefused) as refusal:
        workbooks.load(cast.conservator, project, "survey.xlsx", books.book(sheets))
    report = refusal.value.report
    assert [(one["sheet"], one["row"], one["column"]) for one in report["faults"]] == [
        ("Spaces", 2, "Kind"), ("Spaces", 4, "Space"), ("Layers", 2, "Kind"), ("Layers", 3, "Munsell"),
    ]  # fmt: skip
    assert "3 faults more" in refusal.value.detail
    assert (Space.objects.count(), Change.objects.count()) == (1, before)


def test_a_record_twice_in_the_file_is_refused_with_both_rows(cast, project, paint):
    found = check(cast, project, sheet("Samples", {"Sample": 14, "Element": "101-BB"}, {"Sample": "14", "Element": "101-BB"}))["faults"]
    assert [(one["row"], one["code"]) for one in found] == [(3, "twice")]
    assert "row 2" in found[0]["detail"]


def test_a_position_twice_is_refused(cast, project, paint):
    found = check(cast, project, sheet("Layers", LAYER, LAYER))["faults"]
    assert [(one["row"], one["column"], one["code"]) for one in found] == [(3, "Layer", "twice")]


@pytest.mark.parametrize(
    ("header", "code", "column"),
    [
        (["Sample", "Layer"], "column-missing", "Kind"),
        (["Sample", "Layer", "Kind", " KIND "], "column-twice", "Kind"),
        (["Sample", "Layer", "Layer from surface", "Kind"], "column-twice", "Layer from surface"),
    ],
)
def test_a_header_that_does_not_fit_is_refused(header, code, column, cast, project, paint):
    report = check(cast, project, {"Layers": [header]})
    assert [(one["row"], one["column"], one["code"]) for one in report["faults"]] == [(1, column, code)]


def test_two_sheets_of_one_name_are_refused(cast, project):
    assert check(cast, project, {"Spaces": [["Space"]], " spaces": [["Space"]]})["faults"][0]["code"] == "sheet-twice"


def test_an_error_in_a_cell_is_refused_and_shown(cast, project, paint):
    rows = books.HEADER + '<row r="2"><c r="A2" t="inlineStr"><is><t>201</t></is></c><c r="B2" t="e"><v>#REF!</v></c></row>'
    report = workbooks.check(cast.conservator, project, "a.xlsx", books.packed(books.parts(rows=rows)))
    assert [(one["column"], one["value"]) for one in report["faults"]] == [("Name", "#REF!")]


def test_a_formula_that_was_never_calculated_is_refused(cast, project):
    report = check(cast, project, {"Spaces": [["Space", "Name"], ["101", "=A1"]]})
    assert [(one["row"], one["column"], one["value"]) for one in report["faults"]] == [(2, "Name", "(formula)")]


def test_a_formula_is_read_as_its_last_value_and_a_text_that_looks_like_an_escape_stays_so(cast, project):
    rows = books.HEADER + (
        '<row r="2"><c r="A2"><f>100+1</f><v>101</v></c><c r="B2" t="s"><v>0</v></c></row>'
        '<row r="3"><c r="A3" t="inlineStr"><is><t>102</t></is></c><c r="B3" t="str"><f>"a"</f><v>a</v></c></row>'
    )
    strings = books.STRINGS.replace("</sst>", "<si><t>_x005F_x000D_ and _x000D_</t></si></sst>")
    workbooks.load(cast.conservator, project, "a.xlsx", books.packed(books.parts(rows=rows) | {"xl/sharedStrings.xml": strings}))
    assert dict(Space.objects.values_list("number", "name")) == {"101": "_x000D_ and \r", "102": "a"}


def test_rulings_that_contradict_are_refused_with_the_chain(cast, project, paint):
    found = check(
        cast,
        project,
        sheet(
            "Rulings",
            {"Ruling": "bar", "First layer": "101-1/1", "Second layer": "101-1/3"},
            {"Ruling": "tie", "First layer": "101-1/1", "Second layer": "101-2/3"},
            {"Ruling": "tie", "First layer": "101-1/3", "Second layer": "101-2/1"},
        ),
    )["faults"]
    assert [one["code"] for one in found] == ["contradiction"]
    assert found[0]["row"] in (2, 3, 4)
    assert "101-1/3" in found[0]["detail"]
    assert "101-2/1" in found[0]["detail"]


def test_a_ruling_against_one_of_the_record_is_refused(cast, project, paint):
    one, two = paint.layers["101-1"][0], paint.layers["101-2"][0]
    records.create(cast.conservator, project, Ruling, {"kind": "tie", "first_layer": one.pk, "second_layer": two.pk})
    report = check(cast, project, sheet("Rulings", {"Ruling": "bar", "First layer": "101-2/1", "Second layer": "101-1/1"}))
    assert [one["code"] for one in report["faults"]] == ["contradiction"]


def test_generations_that_fall_as_layers_rise_are_refused(cast, project, paint):
    rows = [{"Sample": "101-1", "Layer": n, "Kind": "paint", "Generation": g} for n, g in ((1, 2), (2, 1), (3, 3))]
    rows[0]["Kind"] = "primer"
    found = check(cast, project, sheet("Layers", *rows))["faults"]
    assert found[0]["code"] == "against-the-order"
    assert (found[0]["row"], "101-1/2 lies above 101-1/1" in found[0]["detail"]) == (3, True)


def test_rulings_between_spaces_are_refused(cast, project, paint):
    sheets = {
        **sheet("Layers", {"Sample": "X", "Layer": 1, "Kind": "paint", "Element": "X", "Space": "9", "Class": "wall"}),
        **sheet("Rulings", {"Ruling": "tie", "First layer": "X/1", "Second layer": "101-1/1"}),
    }
    assert [one["code"] for one in check(cast, project, sheets)["faults"]] == ["other-space"]


def test_a_plain_list_that_does_not_say_the_class_is_refused(cast, project):
    report = check(cast, project, sheet("Layers", {"Sample": "X", "Layer": 1, "Kind": "paint", "Element": "E", "Space": "9"}))
    assert [(one["column"], one["code"]) for one in report["faults"]] == [("Class", "required")]


def test_faults_beyond_the_first_thousand_are_counted(cast, project):
    report = check(cast, project, sheet("Spaces", *({"Space": str(n), "Kind": "rom"} for n in range(1_200))))
    assert (len(report["faults"]), report["fault_count"]) == (1_000, 1_200)


def test_an_import_that_would_do_something_else_than_was_checked_is_refused(cast, project, paint):
    content = books.book(sheet("Layers", {"Sample": "101-1", "Layer": 1, "Kind": "primer", "Colour": "blue"}))
    digest = workbooks.check(cast.conservator, project, "a.xlsx", content)["digest"]
    layer = paint.layers["101-1"][0]
    records.change(cast.historian, project, Layer, layer.pk, layer.version, {"colour": "black"})
    with pytest.raises(Conflict, match="changed since the check"):
        workbooks.load(cast.conservator, project, "a.xlsx", content, expected_digest=digest)
    assert Layer.objects.get(pk=layer.pk).colour == "black"


def test_a_record_that_changes_while_the_plan_is_made_is_planned_again(cast, project, paint, monkeypatch):
    content = books.book(sheet("Spaces", {"Space": "101", "Name": "Hall"}))
    build, times = workbooks.planning.build, []

    def slow(*args):
        made = build(*args)
        if not times:
            records.create(cast.historian, project, Space, {"number": "900"})
        times.append(1)
        return made

    monkeypatch.setattr(workbooks.planning, "build", slow)
    workbooks.load(cast.conservator, project, "a.xlsx", content)
    assert (len(times), Space.objects.get(number="101").name) == (2, "Hall")


def test_an_import_that_is_stopped_leaves_nothing(cast, project):
    def stop(done, total, now=""):
        if now.startswith("Writing samples"):
            raise Cancelled("Stopped.")

    rows = [{"Sample": "X", "Layer": 1, "Kind": "paint", "Element": "E", "Space": "9", "Class": "wall"}]
    before = Change.objects.count()
    with pytest.raises(Cancelled):
        workbooks.load(cast.conservator, project, "a.xlsx", books.book(sheet("Layers", *rows)), progress=stop)
    counts = [model.objects.count() for model in (Space, Element, Sample, Layer)]
    assert (counts, Change.objects.count()) == ([0, 0, 0, 0], before)
    assert Project.objects.get().change_sequence == project.change_sequence

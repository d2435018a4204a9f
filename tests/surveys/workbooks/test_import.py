"""What an import makes of what people write."""

import datetime as dt

import pytest

from surveys import records, workbooks
from surveys.errors import Invalid
from surveys.models import Element, Evidence, Generation, Layer, Phase, Ruling, Sample, Space
from surveys.workbooks import reading
from surveys.workbooks.years import read_years
from tests.surveys.workbooks import books
from tests.surveys.workbooks.test_bad_input import sheet


def load(cast, project, sheets, **more):
    return workbooks.load(cast.conservator, project, "survey.xlsx", books.book(sheets), **more)


def said(report):
    return {(one["sheet"], one["code"]) for one in report["notices"]}


def test_a_plain_list_of_layers_makes_the_spaces_elements_and_samples(cast, project):
    first = {"Sample": 14, "Layer": 1, "Kind": "Primer", "Space": 103, "Element": "103-BB-N", "Class": "Baseboards"}
    rows = [first, {"Sample": 14.0, "Layer": 2, "Kind": "PAINT"}, {"Sample": "15", "Layer": 1, "Kind": "paint", "Element": "103-BB-N"}]
    report = load(cast, project, sheet("Layers", *rows))
    assert {one["sheet"]: one["created"] for one in report["sheets"]} == {"Spaces": 1, "Elements": 1, "Samples": 2, "Layers": 3}
    element = Element.objects.get()
    assert (element.code, element.element_class, element.space.number) == ("103-BB-N", "baseboard", "103")
    assert list(Layer.objects.order_by("sample__number", "position").values_list("sample__number", "position", "kind")) == [
        ("14", 1, "primer"), ("14", 2, "paint"), ("15", 1, "paint"),
    ]  # fmt: skip
    assert load(cast, project, sheet("Layers", *rows))["changes"] == []


def test_a_wholly_new_class_joins_the_projects_list_and_is_said(cast, project):
    rows = [{"Element": "E", "Space": "1", "Class": "weather vane"}, {"Element": "F", "Space": "1", "Class": "Weather-vanes"}]
    report = load(cast, project, {**sheet("Spaces", {"Space": "1"}), **sheet("Elements", *rows)})
    project.refresh_from_db()
    assert report["new_classes"] == ["weather vane"]
    assert project.element_classes[-1] == "weather vane"
    assert ("Elements", "class-added") in said(report)
    assert set(Element.objects.values_list("element_class", flat=True)) == {"weather vane"}


def test_layers_counted_from_the_surface_are_turned_round(cast, project, paint):
    sample = records.create(cast.conservator, project, Sample, {"number": "S", "element": paint.door.pk})
    rows = [{"Sample": "S", "layer FROM surface ": n, "Kind": kind} for n, kind in ((1, "varnish"), (2, "paint"), (3, "primer"))]
    load(cast, project, sheet("Layers", *rows))
    assert list(Layer.objects.filter(sample=sample).order_by("position").values_list("kind", flat=True)) == ["primer", "paint", "varnish"]


def test_a_sample_counted_from_the_surface_must_be_listed_whole(cast, project, paint):
    rows = [{"Sample": "101-1", "Layer from surface": n, "Kind": "paint"} for n in (1, 2)]
    report = workbooks.check(cast.conservator, project, "a.xlsx", books.book(sheet("Layers", *rows)))
    assert [one["code"] for one in report["faults"]] == ["not-whole"]


def test_new_layers_come_on_top_of_those_that_the_sample_has(cast, project, paint):
    rows = [{"Sample": "101-1", "Layer": n, "Kind": "paint", "Colour": c} for n, c in ((5, "red"), (3, "blue"), (4, "grey"))]
    report = load(cast, project, sheet("Layers", *rows))
    counts = next(one for one in report["sheets"] if one["sheet"] == "Layers")
    assert (counts["created"], counts["changed"]) == (2, 1)
    assert report["changes"] == [
        {"sheet": "Layers", "row": 3, "record": "101-1/3", "field": "Colour", "from": "cream", "to": "blue"}
    ]  # fmt: skip
    colours = Layer.objects.filter(sample=paint.first).order_by("position").values_list("colour", flat=True)
    assert list(colours) == ["grey", "green", "blue", "grey", "red"]


def test_a_blank_cell_leaves_alone_and_a_dash_clears(cast, project, paint):
    load(cast, project, sheet("Layers", {"Sample": "101-1", "Layer": 2, "Kind": None, "Colour": None, "Munsell": " - "}))
    layer = Layer.objects.get(sample=paint.first, position=2)
    assert (layer.kind, layer.colour, layer.munsell) == ("paint", "green", "")


@pytest.mark.parametrize(
    ("text", "years"),
    [("1838", (1838, 1838)), ("c.1840", (1835, 1845)), ("ca. 1840", (1835, 1845)), ("1838-42", (1838, 1842)), ("1838–1842", (1838, 1842)),
     ("1798-1802", (1798, 1802)), ("-50", (-50, -50)), ("1838.0", (1838, 1838))],
)  # fmt: skip
def test_years_are_read_as_ranges(text, years):
    assert read_years(text)[:2] == years


@pytest.mark.parametrize(
    ("row", "earliest", "latest", "written"),
    [
        ({"Earliest": "c.1840", "Relation": "made in"}, 1835, 1845, "c.1840"),
        ({"Earliest": "1838-42", "Relation": "between"}, 1838, 1842, "1838-42"),
        ({"Earliest": "c.1840", "Latest": "c.1850"}, 1835, 1855, "c.1840 … c.1850"),
        ({"Earliest": "c.1840", "Relation": "made after"}, 1835, None, "c.1840"),
        ({"Latest": "c.1840", "Relation": "made before"}, None, 1845, "c.1840"),
        ({"Earliest": "1838", "Latest": 1842}, 1838, 1842, ""),
    ],
)
def test_a_range_of_years_gives_both_bounds_that_the_relation_has(row, earliest, latest, written, cast, project):
    file = sheet("Evidence", {"Evidence": "E-1", "Statement": "Seen."} | row)
    report = load(cast, project, file)
    found = Evidence.objects.get()
    assert (found.earliest, found.latest, found.years_as_written) == (earliest, latest, written)
    assert (("Evidence", "years-read") in said(report)) == bool(written)
    assert load(cast, project, file)["changes"] == []
    out = workbooks.registers_csv(cast.owner, project, "Evidence")
    assert workbooks.check(cast.conservator, project, "e.csv", out)["changes"] == []


def test_other_years_than_were_written_take_the_writing_away(cast, project):
    load(cast, project, sheet("Evidence", {"Evidence": "E-1", "Statement": "Seen.", "Earliest": "c.1840"}))
    load(cast, project, sheet("Evidence", {"Evidence": "E-1", "Statement": "Seen.", "Earliest": 1841, "Latest": 1841}))
    assert Evidence.objects.values_list("earliest", "latest", "years_as_written").get() == (1841, 1841, "")


def test_evidence_bears_on_what_it_says(cast, project, paint):
    generation = records.create(cast.conservator, project, Generation, {"space": paint.space.pk})
    on = ["structure", "Phase 2", "space 101", "element 101-BB", "generation 101/1"]
    rows = [{"Evidence": f"E-{n}", "Statement": "Seen.", "Bears on": text} for n, text in enumerate(on)]
    load(cast, project, {**sheet("Evidence", *rows), **sheet("Phases", {"Phase": "2", "Label": "Rebuilding"})})
    found = list(Evidence.objects.order_by("reference"))
    assert [one.bears_on for one in found] == ["structure", "phase", "space", "element", "generation"]
    assert (found[1].phase, found[2].space, found[3].element, found[4].generation) == (
        Phase.objects.get(), paint.space, paint.baseboard, generation,
    )  # fmt: skip
    load(cast, project, sheet("Evidence", {"Evidence": "E-4", "Bears on": "-", "Statement": None}))
    assert Evidence.objects.filter(reference="E-4", bears_on="", generation=None).exists()


def test_examined_says_when_and_by_whom(cast, project, paint):
    rows = [
        {"Sample": "101-1", "Element": None, "Examined visible": dt.date(2026, 5, 14), "Examined UV": "2026-05-15; A. Person"},
        {"Sample": "101-2", "Element": None, "Examined visible": "; A. Person", "Examined UV": "-"},
    ]
    load(cast, project, sheet("Samples", *rows))
    first, second = Sample.objects.order_by("number")
    assert (first.examined_visible_on, first.examined_visible_by) == (dt.date(2026, 5, 14), "")
    assert (first.examined_uv_on, first.examined_uv_by) == (dt.date(2026, 5, 15), "A. Person")
    assert (second.examined_visible_on, second.examined_visible_by, second.examined_uv_on) == (None, "A. Person", None)


# -- generations and rulings --------------------------------------------------------------------------------------------------------


def test_a_generation_in_the_file_is_a_hold_where_the_record_has_none(cast, project, paint):
    rows = [{"Sample": "101-1", "Layer": n, "Kind": kind, "Generation": g} for n, kind, g in ((1, "primer", 1), (2, "paint", "101/3"))]
    report = load(cast, project, sheet("Layers", *rows))
    assert (report["new_generations"], report["new_holds"]) == (3, 2)
    assert list(Generation.objects.order_by("ordinal").values_list("ordinal", flat=True)) == [1, 2, 3]
    layer = Layer.objects.get(sample=paint.first, position=2)
    assert (layer.generation.ordinal, layer.placed_by, layer.confidence) == (3, "by hand", 1.0)
    assert Ruling.objects.get(first_layer=layer).created_by == cast.conservator
    again = load(cast, project, sheet("Layers", *rows))
    assert (again["new_holds"], said(again)) == (0, set())


def test_another_generation_than_the_record_has_is_left_alone_and_said(cast, project, paint):
    file = lambda ordinal: sheet("Layers", {"Sample": "101-1", "Layer": 1, "Kind": "primer", "Generation": ordinal})  # noqa: E731
    load(cast, project, file(1))
    report = load(cast, project, file(2))
    assert said(report) == {("Layers", "generation-left-alone")}
    assert "101-1/1 (2 in the file, 1 in the record)" in report["notices"][0]["detail"]
    assert (Layer.objects.get(sample=paint.first, position=1).generation.ordinal, Generation.objects.count()) == (1, 1)


def test_rulings_are_made_and_known_again_in_either_order(cast, project, paint):
    rows = [
        {"Ruling": "Tie", "First layer": "101-1/1", "Second layer": "101-2/1", "Generation": None, "Reason": "One grind"},
        {"Ruling": "hold", "First layer": "101-1/2", "Second layer": None, "Generation": 2, "Reason": None},
    ]
    load(cast, project, sheet("Rulings", *rows))
    assert sorted(map(str, Ruling.objects.all())) == ["hold 101-1/2 in 101/2", "tie 101-1/1 – 101-2/1"]
    assert Layer.objects.get(sample=paint.first, position=2).generation.ordinal == 2
    turned = {"Ruling": "tie", "First layer": "101-2/1", "Second layer": "101-1/1", "Reason": "One grind, one sheen"}
    report = load(cast, project, sheet("Rulings", turned))
    assert [(one["field"], one["to"]) for one in report["changes"]] == [("Reason", "One grind, one sheen")]
    assert Ruling.objects.count() == 2


def test_a_hold_said_in_both_sheets_is_one_hold_with_its_reason(cast, project, paint):
    sheets = {
        **sheet("Layers", {"Sample": "101-1", "Layer": 1, "Kind": "primer", "Generation": 1}),
        **sheet("Rulings", {"Ruling": "hold", "First layer": "101-1/1", "Generation": 1, "Reason": "Marker"}),
    }
    report = load(cast, project, sheets)
    assert (report["new_holds"], Ruling.objects.get().reason) == (0, "Marker")
    assert Layer.objects.get(sample=paint.first, position=1).placed_by == "by hand"


def test_an_element_that_moves_while_its_layers_are_placed_is_refused_and_otherwise_moved(cast, project, paint):
    move = {**sheet("Spaces", {"Space": "102"}), **sheet("Elements", {"Element": "101-DL", "Space": "102", "Class": None})}
    load(cast, project, sheet("Layers", {"Sample": "101-2", "Layer": 1, "Kind": "primer", "Generation": 1}))
    report = workbooks.check(cast.conservator, project, "a.xlsx", books.book(move))
    assert [one["code"] for one in report["faults"]] == ["placed-elsewhere"]
    move["Elements"][1][0] = "101-BB"
    load(cast, project, move)
    assert Element.objects.get(code="101-BB").space.number == "102"


# -- files ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_csv_is_recognised_by_its_headers_whatever_its_delimiter(delimiter, mark, cast, project):
    text = mark + "\r\n".join(delimiter.join(row) for row in (("Name", "SPACE"), ("Hall", "101"), ("", ""), ("Stair", "102")))
    workbooks.load(cast.conservator, project, "spaces.csv", text.encode())
    assert dict(Space.objects.values_list("number", "name")) == {"101": "Hall", "102": "Stair"}


def test_windows_1252_is_read_and_said(cast, project):
    report = workbooks.load(cast.conservator, project, "spaces.csv", "Space,Name\n101,Gewölbe – Küche\n".encode("cp1252"))
    assert Space.objects.get().name == "Gewölbe – Küche"
    assert said(report) == {("", "windows-1252")}


def test_csv_of_a_sheet_that_is_named_is_that_sheet(cast, project):
    workbooks.load(cast.conservator, project, "list.csv", b"Phase\n1\n", sheet="phases")
    assert Phase.objects.get().ordinal == 1


def test_rows_are_numbered_as_the_file_has_them_and_blank_ones_left_out():
    made = reading.read("a.xlsx", books.book({"Spaces": [["Space"], ["1"], [None], ["  "], ["2"]]}))
    assert [row.number for row in made.sheets["Spaces"].rows] == [2, 5]


def test_unknown_sheets_and_columns_are_left_alone_and_said_and_our_own_are_not(cast, project):
    sheets = {"Spaces": [["Space", "Paint shop"], ["1", "x"]], "Diary": [["a"]], "Read me": [["a"]], "Generations 101": [["a"]]}
    report = load(cast, project, sheets)
    assert [(one["sheet"], one["column"], one["code"]) for one in report["notices"]] == [
        ("Diary", "", "sheet-ignored"), ("Spaces", "Paint shop", "column-ignored"),
    ]  # fmt: skip


def test_the_only_sheet_of_a_workbook_may_be_named_by_the_caller(cast, project):
    load(cast, project, {"Sheet1": [["Space"], ["1"]]}, sheet="Spaces")
    assert Space.objects.get().number == "1"
    with pytest.raises(Invalid, match="has no sheet Spaces"):
        load(cast, project, {"Sheet1": [["Space"], ["1"]], "Sheet2": [["a"]]}, sheet="Spaces")


def test_text_that_is_plainly_a_number_and_words_in_any_case_are_taken(cast, project, paint):
    load(
        cast,
        project,
        sheet("Layers", {"Sample": "101-1", "Layer": "1", "Kind": "PRIMER", "Thickness um": " 12.5 ", "Lower boundary": "Scraped"}),
    )
    layer = Layer.objects.get(sample=paint.first, position=1)
    assert (layer.thickness_um, layer.lower_boundary) == (12.5, "scraped or scorched")


def test_progress_is_told_and_counts_up(cast, project):
    told: list[tuple[int, int, str]] = []
    load(cast, project, sheet("Spaces", *({"Space": str(n)} for n in range(20))), progress=lambda *step: told.append(step))
    assert {now for _, _, now in told} >= {
        "Looking at the file",
        "Reading the workbook",
        "Comparing spaces with the record",
        "Writing spaces",
    }
    assert all(done <= total for done, total, _ in told)

"""The demonstration workbook keeps to the layout, the closed lists and the colour system, and is what its maker makes."""

import datetime
import io
import json
import re
import warnings
import zipfile
from types import ModuleType

import numpy as np
import pytest

from analysis.core import vocabulary as words
from analysis.core.colour.notation import parse_munsell

from .conftest import DEMO, Sheets

# The layout of the workbook, as agreed for import and export.
COLUMNS = {
    "Spaces": "Space, Name, Storey, Kind, Notes",
    "Elements": "Element, Space, Class, Position, Substrate, Description, Notes",
    "Samples": "Sample, Element, Part, Visit, Location, Purpose, Height mm, Size mm, Taken on, Taken by, Bag, Mount, Kept at, Status, "
    "Base state, Top state, Examined visible, Examined UV, Notes",
    "Layers": "Sample, Layer, Kind, Completeness, Colour, Munsell, Munsell by, L*, a*, b*, First colour, Sheen, Texture, UV colour, "
    "UV strength, Pigments, Binder, Tests, Thickness um, Lower boundary, Generation, Notes",
    "Evidence": "Evidence, Discipline, Kind, Source, Statement, Bears on, Relation, Earliest, Latest, Certainty, Notes",
    "Phases": "Phase, Label, Earliest, Latest, Description",
    "Rulings": "Ruling, First layer, Second layer, Generation, Reason",
}
REQUIRED = {
    "Spaces": ("Space",), "Elements": ("Element", "Space", "Class"), "Samples": ("Sample", "Element"),
    "Layers": ("Sample", "Layer", "Kind"), "Evidence": ("Evidence", "Statement"), "Phases": ("Phase",),
    "Rulings": ("Ruling", "First layer"),
}  # fmt: skip
CLOSED = (
    ("Spaces", "Kind", words.SPACE_KINDS), ("Elements", "Class", words.ELEMENT_CLASSES), ("Samples", "Status", words.SAMPLE_STATUSES),
    ("Samples", "Base state", words.BASE_STATES), ("Samples", "Top state", words.TOP_STATES), ("Layers", "Kind", words.LAYER_KINDS),
    ("Layers", "Completeness", words.COMPLETENESS), ("Layers", "Munsell by", words.MUNSELL_BASES),
    ("Layers", "UV strength", words.UV_STRENGTHS), ("Layers", "Lower boundary", words.LOWER_BOUNDARIES),
    ("Evidence", "Discipline", words.DISCIPLINES), ("Evidence", "Kind", words.EVIDENCE_KINDS), ("Evidence", "Relation", words.RELATIONS),
    ("Evidence", "Certainty", words.CERTAINTIES), ("Rulings", "Ruling", words.RULING_KINDS),
)  # fmt: skip
NOTATION = re.compile(r"N \d(\.\d)?|(\d|10)(\.\d)?(R|YR|Y|GY|G|BG|B|PB|P|RP) \d(\.\d)?/\d+(\.\d)?")


def _parts(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def test_making_it_twice_gives_the_same_bytes(maker: ModuleType) -> None:
    assert maker.workbook_bytes(maker.invent()) == maker.workbook_bytes(maker.invent())


def test_what_lies_in_the_checkout_is_what_the_maker_makes(maker: ModuleType) -> None:
    demonstration = maker.invent()
    # Part by part, since another build of zlib may pack the same text otherwise.
    assert _parts(maker.workbook_bytes(demonstration)) == _parts((DEMO / "demo.xlsx").read_bytes())
    assert maker.truth_text(demonstration.truth) == (DEMO / "truth.csv").read_text(encoding="utf-8")
    assert maker.afterwards(demonstration) == json.loads((DEMO / "after_correlation.json").read_text(encoding="utf-8"))


def test_sheets_and_columns_are_those_of_the_layout(sheets: Sheets) -> None:
    assert {name: ", ".join(rows[0]) for name, rows in sheets.items()} == COLUMNS


def test_required_cells_are_filled(sheets: Sheets) -> None:
    empty = [
        (sheet, column, row) for sheet, columns in REQUIRED.items() for column in columns for row in sheets[sheet] if row[column] is None
    ]
    assert empty == []


@pytest.mark.parametrize(("sheet", "column", "allowed"), CLOSED)
def test_words_of_closed_lists_are_exact(sheets: Sheets, sheet: str, column: str, allowed: tuple[str, ...]) -> None:
    found = {row[column] for row in sheets[sheet]} - {None}
    assert found
    assert found <= set(allowed)


def test_no_cell_is_an_empty_text_or_a_formula(sheets: Sheets) -> None:
    odd = [value for rows in sheets.values() for row in rows for value in row.values() if isinstance(value, str) and value[:1] in ("", "=")]
    assert odd == []


def test_the_size_is_that_of_a_real_survey_of_one_building(sheets: Sheets) -> None:
    counts = {name: len(rows) for name, rows in sheets.items()}
    assert counts["Spaces"] == 12
    assert 85 <= counts["Samples"] <= 95
    assert 1_200 <= counts["Layers"] <= 1_450
    assert counts["Evidence"] == 25
    assert counts["Phases"] == 4


def test_every_notation_is_canonical_and_in_the_renotation(sheets: Sheets) -> None:
    colour = _colour_science()
    notations = {str(row["Munsell"]) for row in sheets["Layers"] if row["Munsell"] is not None}
    assert [text for text in notations if not NOTATION.fullmatch(text) or text.startswith("0")] == []
    for text in notations:
        assert np.all(np.isfinite(colour.munsell_colour_to_xyY(text.replace("N ", "N")))), text


def test_the_program_reads_every_notation_as_it_is_written(sheets: Sheets) -> None:
    notations = {str(row["Munsell"]) for row in sheets["Layers"] if row["Munsell"] is not None}
    assert {text: str(parse_munsell(text)) for text in notations} == {text: text for text in notations}


def test_what_is_called_an_exact_chip_is_in_the_book(sheets: Sheets) -> None:
    for row in sheets["Layers"]:
        if row["Munsell by"] == "exact chip":
            text = str(row["Munsell"])
            hue, rest = text.split()
            if hue == "N":
                assert float(rest) * 2 % 1 == 0, text
                continue
            value, chroma = (float(part) for part in rest.split("/"))
            assert float(hue.rstrip("RYGBP")) % 2.5 == 0, text
            assert value % 1 == 0 or value == 8.5, text
            assert chroma == 1 or chroma % 2 == 0, text


def test_measured_colours_agree_with_their_notation(sheets: Sheets) -> None:
    colour = _colour_science()
    measured = [row for row in sheets["Layers"] if row["L*"] is not None]
    assert len(measured) > 80
    for row in measured:
        assert row["a*"] is not None, row
        assert row["b*"] is not None, row
        if row["Munsell"] is not None:
            assert row["Munsell by"] == "measured"
            lab = _lab(colour, str(row["Munsell"]))
            # One chip step of lightness is about 10; 3 is well within what the notation's single decimals can carry at chroma 4.
            assert colour.delta_E(lab, [row["L*"], row["a*"], row["b*"]], method="CIE 2000") < 3, row


def test_the_palette_holds_the_published_colours(maker: ModuleType) -> None:
    from weigh_house.chips import LAB

    colour = _colour_science()
    for text, lab in LAB.items():
        assert np.allclose(_lab(colour, text), lab, atol=0.051), text


def test_positions_run_from_one_without_holes(sheets: Sheets) -> None:
    positions: dict[object, list[object]] = {}
    for row in sheets["Layers"]:
        positions.setdefault(row["Sample"], []).append(row["Layer"])
    assert all(found == list(range(1, len(found) + 1)) for found in positions.values())


def test_every_reference_leads_somewhere(sheets: Sheets) -> None:
    keys = {name: [row[column] for row in sheets[name]] for name, (column, *_) in REQUIRED.items() if name not in ("Layers", "Rulings")}
    assert all(len(set(found)) == len(found) for found in keys.values())
    assert {row["Space"] for row in sheets["Elements"]} == set(keys["Spaces"])
    assert {row["Element"] for row in sheets["Samples"]} <= set(keys["Elements"])
    assert {row["Sample"] for row in sheets["Layers"]} <= set(keys["Samples"])
    for row in sheets["Evidence"]:
        kind, _, target = str(row["Bears on"]).partition(" ")
        assert kind == "structure" or target in keys[{"phase": "Phases", "space": "Spaces", "element": "Elements"}[kind]], row


def test_years_run_forward_and_lie_in_the_study(sheets: Sheets) -> None:
    project = json.loads((DEMO / "project.json").read_text(encoding="utf-8"))
    for row in (*sheets["Evidence"], *sheets["Phases"]):
        years = [value for value in (row["Earliest"], row["Latest"]) if isinstance(value, int)]
        assert years == sorted(years)
        assert all(project["first_year"] <= year <= project["last_year"] for year in years)


def test_evidence_that_names_a_relation_names_the_year_it_needs(sheets: Sheets) -> None:
    for row in sheets["Evidence"]:
        first, last = row["Earliest"] is not None, row["Latest"] is not None
        needed = {"": not first and not last, "made after": first, "made before": last}
        assert needed.get(str(row["Relation"] or ""), first or last), row


def test_dates_are_dates_and_come_in_the_order_of_the_work(sheets: Sheets) -> None:
    for row in sheets["Samples"]:
        taken, seen, glowed = (_day(row[name]) for name in ("Taken on", "Examined visible", "Examined UV"))
        assert (taken is None) == (row["Status"] == "planned"), row
        assert (seen is not None) == (row["Status"] == "examined"), row
        assert seen is None or taken is None or taken < seen
        assert glowed is None or seen is None or seen <= glowed


def test_only_examined_samples_have_layers(sheets: Sheets) -> None:
    read = {row["Sample"] for row in sheets["Layers"]}
    assert {row["Sample"] for row in sheets["Samples"] if row["Status"] == "examined"} == read


def test_people_have_one_role_each_and_no_password() -> None:
    project = json.loads((DEMO / "project.json").read_text(encoding="utf-8"))
    people = project["people"]
    assert all(set(person) == {"username", "display_name", "role", "discipline"} for person in people)
    assert all(person["role"] in words.ROLES and person["discipline"] in words.DISCIPLINES for person in people)
    assert {person["role"] for person in people} == set(words.ROLES)
    assert len({person["username"] for person in people}) == len(people) == 6


def _day(value: object) -> datetime.date | None:
    if value is None or isinstance(value, datetime.datetime):
        return value and value.date()
    day, _, who = str(value).partition("; ")
    assert who, value
    return datetime.date.fromisoformat(day)


def _colour_science() -> ModuleType:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


def _lab(colour: ModuleType, notation: str) -> np.ndarray:
    """L*a*b* (D65, 2°) of a notation by colour-science 0.4.7: renotation, illuminant C, Bradford."""
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    tristimulus = colour.xyY_to_XYZ(colour.munsell_colour_to_xyY(notation.replace("N ", "N")))
    white_c, white_d65 = (colour.xy_to_XYZ(whites[name]) for name in ("C", "D65"))
    adapted = colour.adaptation.chromatic_adaptation_VonKries(tristimulus, white_c, white_d65, transform="Bradford")
    return np.asarray(colour.XYZ_to_Lab(adapted, whites["D65"]))

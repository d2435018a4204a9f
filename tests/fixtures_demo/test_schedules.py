"""The demonstration's schedule speaks of elements that there are, is put out by who may, and shows what a contractor sees."""

import json

from .conftest import DEMO, Sheets
from .test_findings import PEOPLE

SCHEDULES = json.loads((DEMO / "schedules.json").read_text(encoding="utf-8"))


def test_its_phase_and_rows_are_in_the_workbook(sheets: Sheets) -> None:
    phases = {str(row["Phase"]) for row in sheets["Phases"]}
    elements = {str(row["Element"]) for row in sheets["Elements"]}
    for one in SCHEDULES:
        assert one["phase"] in phases
        assert {row["element"] for row in one["rows"]} <= elements


def test_coordinators_issue_it_and_the_contractor_asks_back() -> None:
    for one in SCHEDULES:
        assert PEOPLE[one["issue"]["by"]]["role"] == "coordinator"
        assert PEOPLE[one["issue"]["remark"][0]]["role"] == "contractor"
        assert {PEOPLE[row["by"]]["role"] for row in one["rows"]} <= {"coordinator", "consultant"}


def test_what_is_decided_has_a_reason_and_what_may_hold_lead_is_said() -> None:
    rows = [row for one in SCHEDULES for row in one["rows"]]
    decided = [row for row in rows if "finish" in row]
    assert decided
    assert all(row["override_reason"] for row in decided)
    assert any("lead" in row.get("preparation", "") and "local codes" in row["preparation"].lower() for row in rows)

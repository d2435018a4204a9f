"""The comments and questions of the demonstration speak of records that there are, among its people, and show each way to stand."""

import json
import re

from .conftest import DEMO, Sheets
from .test_findings import PEOPLE, exists

TALK = json.loads((DEMO / "talk.json").read_text(encoding="utf-8"))


def test_what_is_spoken_of_is_in_the_workbook(sheets: Sheets) -> None:
    for one in (*TALK["comments"], *TALK["questions"]):
        kind, name = one["about"]
        assert kind == "project" or exists(sheets, kind, name), name
        for cited in one.get("answer", {}).get("records", []):
            assert exists(sheets, *cited), cited


def test_references_in_the_texts_are_to_records_that_there_are(sheets: Sheets) -> None:
    texts = json.dumps(TALK)
    samples = set(re.findall(r"WH\d{3}", texts)) - {"WH091"}  # planned, as its comment says
    assert samples <= {str(row["Sample"]) for row in sheets["Samples"]}
    assert set(re.findall(r"E-\d{2}", texts)) <= {str(row["Evidence"]) for row in sheets["Evidence"]}


def test_those_who_speak_are_called_and_asked_see_the_project(sheets: Sheets) -> None:
    who = {one["by"] for one in (*TALK["comments"], *TALK["questions"])} | {
        one["to_person"] for one in TALK["questions"] if "to_person" in one
    }
    who |= {name for one in TALK["comments"] for name, _ in one.get("replies", [])}
    who |= set(re.findall(r"@(\w+)", json.dumps(TALK)))
    assert {PEOPLE[one]["role"] for one in who} <= {"coordinator", "consultant", "owner"}


def test_each_way_to_stand_is_shown() -> None:
    assert {"resolved_by" in one for one in TALK["comments"]} == {True, False}
    assert any("field" in one for one in TALK["comments"])
    assert any("https://" in one["text"] for one in TALK["comments"])
    open_ = [one for one in TALK["questions"] if "answer" not in one and not one.get("withdrawn")]
    assert any("needed_by" in one for one in open_)
    assert any("answer" in one for one in TALK["questions"])
    assert any(one.get("withdrawn") for one in TALK["questions"])
    for one in TALK["questions"]:
        asked = PEOPLE[one["to_person"]]["discipline"] if "to_person" in one else one["to_discipline"]
        if "answer" in one:
            assert PEOPLE[one["answer"]["by"]]["discipline"] == asked

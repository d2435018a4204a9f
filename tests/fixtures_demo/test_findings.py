"""The interpretations of the demonstration name records that there are, show every state, and say what the record shows."""

import json

from .conftest import DEMO, Sheets

FINDINGS = json.loads((DEMO / "findings.json").read_text(encoding="utf-8"))
PEOPLE = {one["username"]: one for one in json.loads((DEMO / "project.json").read_text(encoding="utf-8"))["people"]}
SHEETS = {"sample": "Samples", "element": "Elements", "space": "Spaces", "evidence": "Evidence"}


def exists(sheets: Sheets, kind: str, name: str) -> bool:
    if kind in ("layer", "generation"):
        return name in {f"{row['Sample']}/{row['Layer']}" for row in sheets["Layers"]}
    if kind == "phase":
        return name in {str(row["Phase"]) for row in sheets["Phases"]}
    return name in {str(row[kind.capitalize()]) for row in sheets[SHEETS[kind]]}


def test_what_is_cited_and_spoken_of_is_in_the_workbook_or_written_before(sheets: Sheets) -> None:
    before: list[str] = []
    for one in FINDINGS:
        for kind, name, *_ in (one["about"], *one["cites"]):
            assert name in before if kind == "interpretation" else exists(sheets, kind, name), (one["key"], kind, name)
        before.append(one["key"])


def test_each_is_agreed_or_disputed_by_another_than_its_author_and_every_state_is_shown() -> None:
    states = {}
    for one in FINDINGS:
        state = "working"
        for who, to, reason in one["moves"]:
            assert (who == one["by"]) == (to == "for comment")
            assert to != "disputed" or reason
            assert PEOPLE[who]["role"] in ("coordinator", "consultant", "owner")
            state = to
        states[one["key"]] = state
        if "supersedes" in one and state == "agreed":
            states[one["supersedes"]] = "superseded"
    assert set(states.values()) == {"working", "for comment", "agreed", "disputed", "superseded"}


def test_the_straw_of_the_hall_holds_what_is_said_of_it(sheets: Sheets, truth: dict[tuple[str, int], tuple[str, str]]) -> None:
    layers = {f"{row['Sample']}/{row['Layer']}": row for row in sheets["Layers"]}
    hall = next(one for one in FINDINGS if one["key"] == "hall-1826")
    straw = [name for kind, name, note in hall["cites"] if kind == "layer" and "straw" not in note]
    assert len(straw) == 3
    for name in straw:
        assert layers[name]["Colour"] == "straw"
        assert "chrome yellow (identified" in str(layers[name]["Pigments"])
    sample, position = hall["about"][1].split("/")
    assert truth[sample, int(position)] == ("101", "04-1826")


def test_the_bronze_is_bronze_of_one_campaign(sheets: Sheets, truth: dict[tuple[str, int], tuple[str, str]]) -> None:
    bronzing = next(one for one in FINDINGS if one["key"] == "bronzing")
    kinds = {f"{row['Sample']}/{row['Layer']}": row["Kind"] for row in sheets["Layers"]}
    names = [name for kind, name, _ in bronzing["cites"] if kind == "layer"]
    assert {kinds[name] for name in names} == {"bronze powder"}
    assert {truth[name.split("/")[0], int(name.split("/")[1])] for name in names} == {("201", "11-1911")}

"""The demonstration holds what makes the trade hard, and its truth hangs together."""

import json
import re
from collections import Counter

import pytest

from analysis.core import dating

from .conftest import DEMO, Sheets

Truth = dict[tuple[str, int], tuple[str, str]]

# Earliest credible years, from the project's table of introductions (Gettens & Stout 1942, p. 142 for chrome yellow, synthetic
# ultramarine and others; G&S p. 161 and WebExhibits for titanium white; MFA Boston 2000 for rutile; the rest from memory there).
INTRODUCED = {
    "zinc white": 1780, "chrome yellow": 1809, "emerald green": 1814, "synthetic ultramarine": 1824, "lithopone": 1850,
    "Brunswick green": 1809, "titanium white, anatase": 1916, "titanium white, rutile": 1937, "phthalocyanine blue": 1935,
    "phthalocyanine green": 1938, "Prussian blue": 1704,
}  # fmt: skip


def _year(campaign: str) -> int:
    return int(campaign.split("-")[1])


def _of(sheets: Sheets, element: str) -> list[str]:
    return [str(row["Sample"]) for row in sheets["Samples"] if row["Element"] == element and row["Status"] == "examined"]


def _campaigns(truth: Truth, sample: str) -> list[str]:
    return [campaign for (label, _), (_, campaign) in sorted(truth.items()) if label == sample]


def test_truth_names_every_layer_once_and_never_falls(sheets: Sheets, truth: Truth) -> None:
    assert set(truth) == {(row["Sample"], row["Layer"]) for row in sheets["Layers"]}
    for sample in {label for label, _ in truth}:
        found = [(0, int(name[6:])) if name.startswith("lodge") else (1, int(name[:2])) for name in _campaigns(truth, sample)]
        assert found == sorted(found), sample


def test_rulings_are_true_and_point_at_layers_of_one_space(sheets: Sheets, truth: Truth) -> None:
    counts = Counter(str(row["Ruling"]) for row in sheets["Rulings"])
    assert 2 <= counts["tie"] <= 4
    assert 1 <= counts["bar"] <= 2
    assert counts["hold"] == 0, "no generation has a number before correlation"
    assert all(row["Generation"] is None for row in (*sheets["Rulings"], *sheets["Layers"]))
    for row in sheets["Rulings"]:
        ends = []
        for end in ("First layer", "Second layer"):
            sample, position = str(row[end]).split("/")
            ends.append((sample, truth[sample, int(position)]))
        (first, one), (second, two) = ends
        assert first != second
        assert one[0] == two[0]
        assert (one == two) == (row["Ruling"] == "tie")


def test_rulings_agree_with_each_other_and_with_order(sheets: Sheets, truth: Truth) -> None:
    """Merging what is tied must leave the layers an order without a circle, and no bar inside a merged group."""
    group = {f"{sample}/{position}": f"{sample}/{position}" for sample, position in truth}
    for row in sheets["Rulings"]:
        if row["Ruling"] == "tie":
            old, new = group[str(row["Second layer"])], group[str(row["First layer"])]
            group = {key: new if held == old else held for key, held in group.items()}
    above = {
        (group[f"{sample}/{position}"], group[f"{sample}/{position + 1}"]) for sample, position in truth if (sample, position + 1) in truth
    }
    waiting = Counter(upper for lower, upper in above if lower != upper)
    ready = [key for key in set(group.values()) if not waiting[key]]
    done = 0
    while ready:
        lower = ready.pop()
        done += 1
        for _, upper in [pair for pair in above if pair[0] == lower]:
            waiting[upper] -= 1
            if not waiting[upper]:
                ready.append(upper)
    assert done == len(set(group.values()))
    assert all(group[str(row["First layer"])] != group[str(row["Second layer"])] for row in sheets["Rulings"] if row["Ruling"] == "bar")


def test_no_identified_pigment_is_older_than_its_introduction(sheets: Sheets, truth: Truth) -> None:
    checked = 0
    for row in sheets["Layers"]:
        campaign = truth[str(row["Sample"]), int(str(row["Layer"]))][1]
        for pigment in str(row["Pigments"] or "").split("; "):
            name, _, manner = pigment.partition(" (")
            if name in INTRODUCED and not campaign.startswith("lodge"):
                assert _year(campaign) >= INTRODUCED[name], (row, campaign)
                checked += manner.startswith("identified")
    assert checked > 50


def test_about_a_third_of_layers_have_pigments(sheets: Sheets) -> None:
    layers = sheets["Layers"]
    assert 0.25 < sum(row["Pigments"] is not None for row in layers) / len(layers) < 0.45


def test_the_stripped_stair_keeps_early_paint_only_in_shelter(sheets: Sheets, truth: Truth) -> None:
    stripped = [str(row["Sample"]) for row in sheets["Samples"] if row["Base state"] == "stripped"]
    assert len(stripped) >= 5
    state = {(row["Sample"], row["Layer"]): row["Completeness"] for row in sheets["Layers"]}
    early = {sample: {at for at in truth if at[0] == sample and _year(truth[at][1]) < 1936} for sample in stripped}
    assert all(truth[at][0] == "105" and state[at] == "trace" for found in early.values() for at in found)
    assert sum(not found for found in early.values()) >= 1
    assert sum(bool(found) for found in early.values()) >= 3
    whole = [sample for sample in _of(sheets, "105-NW-1") if sample not in stripped]
    assert any(len({name for name in _campaigns(truth, sample) if _year(name) < 1936}) >= 9 for sample in whole)


@pytest.mark.parametrize(("element", "year"), [("205-PN-W", 1911), ("204-DL-L", 1912), ("203-MA-E", 1884), ("101-CM-1", 1839)])
def test_later_insertions_start_when_they_were_put_in(sheets: Sheets, truth: Truth, element: str, year: int) -> None:
    for sample in _of(sheets, element):
        assert min(_year(name) for name in _campaigns(truth, sample)) >= year


def test_the_reused_door_brings_generations_that_its_room_never_had(sheets: Sheets, truth: Truth) -> None:
    brought = {sample for (sample, _), (_, name) in truth.items() if name.startswith("lodge")}
    assert brought == set(_of(sheets, "102-DL-N"))
    assert len(brought) == 2
    assert all(len({name for name in _campaigns(truth, sample) if name.startswith("lodge")}) >= 4 for sample in brought)


def test_long_runs_of_whites_occur(sheets: Sheets) -> None:
    run, longest, sample = 0, 0, None
    for row in sheets["Layers"]:
        white = "white" in str(row["Colour"]).lower()
        run = (run + 1 if row["Sample"] == sample else 1) if white else 0
        sample, longest = row["Sample"], max(longest, run)
    assert longest >= 8


def test_bronze_marks_one_generation_of_the_exchange_room(sheets: Sheets, truth: Truth) -> None:
    bronzed = [(str(row["Sample"]), int(str(row["Layer"]))) for row in sheets["Layers"] if row["Kind"] == "bronze powder"]
    of_room = {truth[at] for at in bronzed if truth[at][0] == "201"}
    assert of_room == {("201", "11-1911")}
    assert len({sample for sample, position in bronzed if truth[sample, position][0] == "201"}) >= 4


def test_the_craft_of_each_technique_is_there_in_its_order(sheets: Sheets) -> None:
    kinds: dict[object, list[object]] = {}
    for row in sheets["Layers"]:
        kinds.setdefault(row["Sample"], []).append(row["Kind"])

    def anywhere(*wanted: str) -> bool:
        size = len(wanted)
        return any(tuple(found[at : at + size]) == wanted for found in kinds.values() for at in range(len(found)))

    assert anywhere("graining ground", "glaze", "varnish")
    assert anywhere("size", "metal leaf")
    assert anywhere("size", "bronze powder")
    assert anywhere("knotting", "primer", "paint")
    assert anywhere("undercoat", "paint")
    assert anywhere("paste", "paper")
    for kind in ("limewash", "distemper", "emulsion", "soiling", "stain", "residue", "filler"):
        assert any(kind in found for found in kinds.values()), kind


def test_the_usual_faults_of_samples_are_there(sheets: Sheets, truth: Truth) -> None:
    samples = [row for row in sheets["Samples"] if row["Status"] == "examined"]
    assert {row["Base state"] for row in samples} == {"complete", "stripped", "detached", "not reached", "unknown"}
    assert {row["Top state"] for row in samples} == {"complete", "lost", "unknown"}
    assert 5 <= sum(row["Examined UV"] is None for row in samples) <= 20
    dark = {row["Sample"] for row in samples if row["Examined UV"] is None}
    assert all(row["UV colour"] is None for row in sheets["Layers"] if row["Sample"] in dark)
    notes = [str(row["Notes"]) for row in sheets["Layers"]]
    assert any("counted as one" in note for note in notes)
    assert {"trace", "worn", "lost in cutting"} <= {row["Completeness"] for row in sheets["Layers"]}


def test_soiled_boundaries_follow_long_gaps_more_than_short_ones(sheets: Sheets, truth: Truth) -> None:
    shares: dict[bool, list[bool]] = {True: [], False: []}
    for row in sheets["Layers"]:
        at = str(row["Sample"]), int(str(row["Layer"]))
        below = truth.get((at[0], at[1] - 1))
        if below and below != truth[at] and not below[1].startswith("lodge") and row["Lower boundary"] and truth[at][0] != "901":
            gap = _year(truth[at][1]) - _year(below[1])
            shares[gap >= 15].append(row["Lower boundary"] == "soiled")
    long, short = (sum(shares[which]) / len(shares[which]) for which in (True, False))
    assert long > short + 0.1


def test_only_the_front_weathers(sheets: Sheets, truth: Truth) -> None:
    weathered = [truth[str(row["Sample"]), int(str(row["Layer"]))][0] for row in sheets["Layers"] if row["Lower boundary"] == "weathered"]
    assert len(weathered) > 10
    assert set(weathered) == {"901"}


def test_two_visits_continue_one_numbering(sheets: Sheets) -> None:
    visits = [row["Visit"] for row in sheets["Samples"]]
    numbers = [int(str(row["Sample"])[2:]) for row in sheets["Samples"]]
    assert visits == sorted(visits, key=int)  # type: ignore[arg-type]
    assert set(visits) == {1, 2}
    assert numbers == list(range(1, len(numbers) + 1))


def test_work_is_unfinished_in_every_way(sheets: Sheets) -> None:
    counts = Counter(str(row["Status"]) for row in sheets["Samples"])
    assert set(counts) == {"planned", "taken", "mounted", "examined", "set aside"}
    assert counts["set aside"] == 1
    assert counts["examined"] > 0.8 * counts.total()
    sampled = {row["Element"] for row in sheets["Samples"]}
    assert sum(row["Element"] not in sampled for row in sheets["Elements"]) >= 5


def test_years_as_people_write_them_are_among_the_evidence(sheets: Sheets) -> None:
    written = {row["Earliest"] for row in sheets["Evidence"] if isinstance(row["Earliest"], str)}
    assert written == {"c.1840", "1838-42"}


def _records(sheets: Sheets, truth: Truth, bill: int) -> dating.Records:
    """Date the true generations of every space by the workbook's evidence, with the bill of E-03 put to its generation."""
    keys = sorted({at for at in truth.values() if not at[1].startswith("lodge")})
    steps = {"c.1840": 1840, "1838-42": 1838}
    carried: dict[str, set[str]] = {}
    element_of = {str(row["Sample"]): str(row["Element"]) for row in sheets["Samples"]}
    finds = []
    for row in sheets["Layers"]:
        at = str(row["Sample"]), int(str(row["Layer"]))
        if truth[at][1].startswith("lodge"):
            continue
        generation = "/".join(truth[at])
        carried.setdefault(element_of[at[0]], set()).add(generation)
        for number, pigment in enumerate(str(row["Pigments"] or "").split("; ")):
            name, _, manner = pigment.partition(" (")
            if manner.startswith("identified") and name in INTRODUCED:
                label = f"{at[0]}/{at[1]}"
                finds.append(dating.MaterialFind(f"{label}.{number}", generation, name, INTRODUCED[name], True, label))
    later = json.loads((DEMO / "after_correlation.json").read_text(encoding="utf-8"))
    phase_of = {"/".join(truth[_at(row["layer"])]): str(row["phase"]) for row in later["phases"]}
    moved = {row["evidence"]: row for row in later["evidence"]}
    statements = []
    for row in sheets["Evidence"]:
        kind, _, target = str(row["Bears on"]).partition(" ")
        first, last, relation = (row[name] for name in ("Earliest", "Latest", "Relation"))
        if row["Evidence"] in moved:
            change = moved[row["Evidence"]]
            kind, target, relation = "generation", "/".join(truth[_at(change["layer"])]), change["relation"]
            first, last = (bill, bill) if row["Evidence"] == "E-03" else (change["earliest"], change["latest"])
        if relation is None or (kind == "element" and target not in carried):
            continue
        years = [steps.get(str(value), value) for value in (first, last)]
        statements.append(dating.Statement(str(row["Evidence"]), kind, target, str(relation), *years, str(row["Certainty"])))  # type: ignore[arg-type, call-arg]
    return dating.Records(
        tuple(dating.Generation("/".join(key), key[0], int(key[1][:2]), phase_of.get("/".join(key))) for key in keys),
        tuple(dating.Phase(str(row["Phase"]), int(str(row["Phase"])), row["Earliest"], row["Latest"]) for row in sheets["Phases"]),  # type: ignore[arg-type]
        tuple(statements),
        tuple(finds),
        tuple(dating.Element(element, tuple(sorted(found))) for element, found in sorted(carried.items())),
        dating.Study(1791, 2026),
    )


def _at(layer: object) -> tuple[str, int]:
    sample, position = str(layer).split("/")
    return sample, int(position)


def test_the_bill_put_to_its_generation_contradicts_the_chrome_yellow_beneath(sheets: Sheets, truth: Truth) -> None:
    answer = dating.date_generations(_records(sheets, truth, 1806))
    assert len(answer.conflicts) >= 1
    assert all(("evidence", "E-03") in conflict.records for conflict in answer.conflicts)
    assert any("chrome yellow" in conflict.sentence for conflict in answer.conflicts)


def test_with_the_bill_read_as_1826_all_evidence_agrees_and_holds_the_truth(sheets: Sheets, truth: Truth) -> None:
    answer = dating.date_generations(_records(sheets, truth, 1826))
    assert answer.conflicts == ()
    for one in answer.generations:
        year = _year(one.key.split("/")[1])
        assert (one.earliest or 0) <= year <= (one.latest or 9999), one


def test_the_readme_tells_the_true_counts_and_names_samples_that_are_there(sheets: Sheets) -> None:
    text = (DEMO / "README.md").read_text(encoding="utf-8")
    for name, word in (
        ("Spaces", "spaces"),
        ("Elements", "elements"),
        ("Samples", "samples"),
        ("Layers", "layers"),
        ("Rulings", "rulings"),
    ):
        assert f"{len(sheets[name]):,} {word}" in text
    known = {name: {str(row[name]) for row in sheets[f"{name}s"]} for name in ("Sample", "Element")}
    assert set(re.findall(r"WH\d{3}", text)) <= known["Sample"]
    line = next(line for line in text.splitlines() if line.startswith("| no UV"))
    unlit = {str(row["Sample"]) for row in sheets["Samples"] if row["Status"] == "examined" and row["Examined UV"] is None}
    assert set(re.findall(r"WH\d{3}", line)) == unlit

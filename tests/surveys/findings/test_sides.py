"""Side by side: paint, documents, construction; where they agree and where not; what is still asked."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys import records
from surveys.models import Element, Evidence, Generation, Layer, Phase, Question
from surveys.work import side_by_side
from tests.surveys.api.conftest import api, problem
from tests.surveys.findings.conftest import REASON, cite

__all__ = ["api"]


@pytest.fixture
def make(cast, project):
    return lambda model, **values: records.create(cast.coordinator, project, model, values)


@pytest.fixture
def dated(findings, make):
    """Two generations of the space; the layers of both samples are of the first two."""
    space = findings.paint.space.pk
    older, newer = (make(Generation, space=space) for _ in range(2))
    for sample in ("101-1", "101-2"):
        for layer, generation in zip(findings.paint.layers[sample], (older, older, newer), strict=True):
            findings.change("conservator", layer, generation=generation.pk)
    return older, newer


def bill(make, reference, generation, year, **more):
    told = {"statement": "x", "discipline": "architectural history", "kind": "document", "bears_on": "generation", "certainty": "firm"}
    return make(Evidence, reference=reference, generation=generation.pk, relation="made in", earliest=year, latest=year, **{**told, **more})


def sides(api, findings, query="", who="owner"):
    answer = api(who).get(f"spaces/{findings.paint.space.pk}/side-by-side{query}")
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_each_kind_of_evidence_stands_on_its_side(api, findings, make, dated):
    older, newer = dated
    bill(make, "E-2", older, 1800)
    bill(make, "E-3", newer, 1850, kind="hardware", discipline="archaeology")
    phase = make(Phase, label="first")
    findings.change("historian", older, phase=phase.pk)
    make(Evidence, reference="E-4", statement="x", kind="inscription", bears_on="phase", phase=phase.pk)
    make(Evidence, reference="E-5", statement="x", kind="tree-ring date", bears_on="structure")
    make(Evidence, reference="E-6", statement="x", kind="photograph", bears_on="element", element=findings.paint.door.pk)
    told = sides(api, findings)
    assert [one["reference"] for one in told["documents"]] == ["E-2", "E-4", "E-6"]
    assert [(one["reference"], one["target"]) for one in told["construction"]] == [("E-3", "101/2"), ("E-5", None)]
    assert [(one["name"], one["layers"], one["earliest"], one["latest"], one["phase"]) for one in told["generations"]] == [
        ("101/1", 4, 1800, 1800, "first"), ("101/2", 2, 1850, 1850, None),
    ]  # fmt: skip
    assert told["generations"][0]["earliest_by"][0]["key"] == "E-2"
    assert told["disciplines"] == ["archaeology", "architectural history", "paint conservation"]


def test_an_element_has_its_own_generations_and_what_bears_on_it(api, findings, make, dated):
    other = make(Element, code="101-W", space=findings.paint.space.pk, element_class="wall")
    make(Evidence, reference="E-6", statement="x", kind="photograph", bears_on="element", element=findings.paint.door.pk)
    make(Evidence, reference="E-7", statement="x", kind="photograph", bears_on="element", element=other.pk)
    door, wall = (api("owner").get(f"elements/{one.pk}/side-by-side").json() for one in (findings.paint.door, other))
    assert [one["layers"] for one in door["generations"]] == [2, 1]
    assert wall["generations"] == []
    assert [one["reference"] for one in door["documents"]] == ["E-6"]
    assert [one["element"] for one in door["readings"]] == ["101-DL"]
    assert (door["element"]["code"], door["space"]["number"]) == ("101-DL", "101")


def test_two_disciplines_are_chosen_and_a_word_that_is_none_is_refused(api, findings, make, dated):
    bill(make, "E-2", dated[0], 1800)
    bill(make, "E-3", dated[1], 1850, kind="hardware", discipline="archaeology")
    findings.at("agreed")
    told = sides(api, findings, "?disciplines=archaeology,paint%20conservation")
    assert [len(told[side]) for side in ("documents", "construction", "interpretations")] == [0, 1, 1]
    problem(api("owner").get(f"spaces/{findings.paint.space.pk}/side-by-side?disciplines=alchemy"), 400)


def test_a_conflict_of_date_is_a_contradiction_with_its_disciplines(api, findings, make, dated):
    older, newer = dated
    bill(make, "E-2", older, 1900)
    bill(make, "E-3", newer, 1850, discipline="archaeology")
    told = sides(api, findings)
    (conflict,) = told["contradictions"]
    assert conflict["kind"] == "dates"
    assert {(one["type"], one["name"], one["discipline"]) for one in conflict["records"]} == {
        ("evidence", "E-2", "architectural history"), ("evidence", "E-3", "archaeology"),
    }  # fmt: skip
    assert told["agreements"] == []


def test_two_disciplines_that_bound_one_generation_agree(api, findings, make, dated):
    older, _ = dated
    after = {"relation": "made after", "latest": None}
    make(Evidence, **{**told_of(older), "reference": "E-2", "earliest": 1809, **after, "discipline": "archaeology"})
    make(
        Evidence, **{**told_of(older), "reference": "E-3", "latest": 1830, "relation": "made before", "discipline": "architectural history"}
    )
    (point,) = sides(api, findings)["agreements"]
    assert point["sentence"] == "E-2 (archaeology) and E-3 (architectural history) together date generation 101/1 to 1809–1830."


def test_two_records_of_one_discipline_are_no_agreement_of_two(api, findings, make, dated):
    older, _ = dated
    make(Evidence, **{**told_of(older), "reference": "E-2", "earliest": 1809, "relation": "made after"})
    make(Evidence, **{**told_of(older), "reference": "E-3", "latest": 1830, "relation": "made before"})
    assert sides(api, findings)["agreements"] == []


def told_of(generation):
    bears = {"bears_on": "generation", "generation": generation.pk, "certainty": "firm", "discipline": "archaeology"}
    return {"statement": "x", "kind": "document", **bears}


def test_what_people_agreed_and_dispute_is_told_and_what_was_replaced_is_not(api, findings):
    agreed, disputed = findings.at("agreed"), findings.at("disputed", statement="Red was first.")
    findings.at("superseded", statement="Blue was first.")
    elsewhere = records.create(findings.cast.historian, findings.project, Evidence, {"reference": "E-8", "statement": "x"})
    space = records.create(findings.cast.historian, findings.project, type(findings.paint.space), {"number": "999"})
    findings.write(space=str(space.pk), cites=cite(elsewhere))
    told = sides(api, findings)
    assert [one["sentence"] for one in told["contradictions"]] == [
        f"Hester Orian disputes what Connie Vator says, “Red was first.”: {REASON}"
    ]
    assert next(one["records"][0]["name"] for one in told["agreements"]) == str(agreed.number)
    assert "Blue was first." not in [one["statement"] for one in told["interpretations"]]
    assert {agreed.number, disputed.number} <= {one["number"] for one in told["interpretations"]}
    assert space.number not in [one["subject_name"] for one in told["interpretations"]]


READING = {"element": "D", "first": 4}


@pytest.mark.parametrize(
    ("conclusion", "relation", "earliest", "latest", "first", "against"),
    [
        ("inserted", "made before", None, 1905, (1911, 1912), True),
        ("inserted", "made in", 1905, 1905, (1911, 1912), True),
        # It may have stood there unpainted, or its first paint may be that old.
        ("inserted", "made before", None, 1905, (1900, 1912), False),
        ("inserted", "made before", None, 1905, (None, 1912), False),
        ("inserted", "made after", 1905, None, (1911, 1912), False),
        ("undecided", "made before", None, 1905, (1911, 1912), False),
        ("from the start", "made after", 1905, None, (1790, 1800), True),
        ("from the start", "made in", 1905, 1905, (1790, 1800), True),
        ("from the start", "made after", 1905, None, (1790, None), False),
        ("from the start", "made before", None, 1905, (1790, 1800), False),
        ("reused", "made after", 1905, None, (1790, 1800), False),
    ],
)
def test_a_reading_speaks_against_a_document_only_where_their_years_cannot_both_be(conclusion, relation, earliest, latest, first, against):
    evidence = {"reference": "E-10", "relation": relation, "earliest": earliest, "latest": latest}
    found = side_by_side.speaks_against(
        {**READING, "conclusion": conclusion}, evidence, dict(zip(("earliest", "latest"), first, strict=True))
    )
    assert bool(found) == against
    assert not against or ("E-10" in found and "D" in found)


def test_a_reading_against_a_document_stands_among_the_contradictions(api, findings, make, dated, monkeypatch):
    older, newer = dated
    bill(make, "E-2", newer, 1911)
    door = findings.paint.door
    make(Evidence, **{**told_of(older), "reference": "E-9", "bears_on": "element", "generation": None, "element": door.pk,
                      "relation": "made before", "latest": 1905, "certainty": "tentative"})  # fmt: skip
    reading = {"element": door.code, "element_id": door.pk, "element_class": "door leaf", "space": "101", "first": 2,
               "conclusion": "inserted", "certainty": 0.9, "sentence": "It reads as inserted."}  # fmt: skip
    monkeypatch.setattr(side_by_side.readings, "answer", lambda project, space: {"elements": [reading]})
    (point,) = sides(api, findings)["contradictions"]
    assert point["kind"] == "reading"
    assert point["sentence"].startswith("E-9 has 101-DL made by 1905, but it reads as inserted later")
    assert [(one["type"], one["name"]) for one in point["records"]] == [("element", "101-DL"), ("evidence", "E-9")]


def test_open_questions_about_anything_in_the_place_are_told(api, findings, cast, project):
    from surveys.records import questions

    record = findings.at("for comment")
    for number, (kind, target) in enumerate(
        (("space", findings.paint.space), ("layer", findings.layer), ("evidence", findings.evidence), ("interpretation", record))
    ):
        about = {"about_type": kind, "about_id": str(target.pk)}
        questions.ask(cast.historian, project, {**about, "text": f"Question {number}?", "to_discipline": "archaeology"})
    told = sides(api, findings)["questions"]
    # Evidence that bears on nothing here is not of this place.
    assert [one["text"] for one in told] == ["Question 0?", "Question 1?", "Question 3?"]
    assert [one["about_name"] for one in told] == ["101", "101-1/2", str(record.number)]
    Question.objects.update(state="withdrawn")
    assert sides(api, findings)["questions"] == []


def test_it_costs_the_same_however_much_is_said(api, findings, make, dated):
    def cost():
        with CaptureQueriesContext(connection) as caught:
            sides(api, findings)
        return len(caught)

    findings.at("for comment")
    cost()  # signs in
    before = cost()
    for number in range(12):
        bill(make, f"M-{number}", dated[1], 1850)
        findings.at("agreed")
        make(Layer, sample=findings.paint.second.pk, kind="paint")
    assert cost() == before


def test_a_find_of_a_material_stands_for_its_layer_and_the_paints_discipline(api, findings, make, dated):
    findings.change("conservator", findings.paint.layers["101-1"][2], pigments="chrome yellow (identified: PLM)")
    bill(make, "E-2", dated[1], 1790)
    (point,) = sides(api, findings)["contradictions"]
    found = [(one["type"], one["id"], one["name"], one["discipline"]) for one in point["records"] if one["type"] == "layer"]
    assert found == [("layer", str(findings.paint.layers["101-1"][2].pk), "101-1/3 chrome yellow", "paint conservation")]


def test_generations_dated_by_the_same_two_are_told_once(api, findings, make, dated):
    older, newer = dated
    make(Evidence, **{**told_of(older), "reference": "E-2", "earliest": 1809, "relation": "made after"})
    before = {"latest": 1830, "relation": "made before", "discipline": "architectural history"}
    make(Evidence, **{**told_of(newer), "reference": "E-3", **before})
    (point,) = sides(api, findings)["agreements"]
    text = "E-2 (archaeology) and E-3 (architectural history) together date 2 generations, 101/1 to 101/2, to 1809–1830."
    assert (point["sentence"], [one["name"] for one in point["records"]]) == (text, ["E-2", "E-3"])

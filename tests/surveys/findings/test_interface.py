"""Interpretations over the interface: written with citations, listed, moved; two at once; and nothing for those outside."""

import json
import os
import subprocess
import sys

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys import records
from surveys.api.collections import BY_NAME
from surveys.api.filters import filters_of
from surveys.models import Interpretation, Phase
from tests.surveys.api.conftest import api, problem, rows
from tests.surveys.findings.conftest import REASON, cite

__all__ = ["api"]


def body(findings, **values):
    told = {"discipline": "paint conservation", "subject": "space", "space": str(findings.paint.space.pk), "statement": "Green first."}
    return {**told, "citations": cite(findings.layer), **values}


def moved(api, who, record, to, version=None, reason="", **headers):
    record.refresh_from_db()
    tag = f'"{version or record.version}"'
    return api(who).post(f"interpretations/{record.pk}/transitions", {"to": to, "reason": reason}, If_Match=tag, **headers)


def test_one_is_written_with_its_citations_and_shown_by_human_names(api, findings):
    cites = [*cite(findings.layer, findings.paint.first, findings.evidence), *cite(findings.at("agreed"))]
    answer = api("conservator").post("interpretations/", body(findings, certainty="likely", citations=cites))
    assert answer.status_code == 201
    told = answer.json()
    assert (told["number"], told["state"], told["author"], told["created_by"]) == (2, "working", "conservator", "Connie Vator")
    assert (told["subject_name"], told["within_number"], told["citation_count"]) == ("101", "101", 4)
    assert [(one["type"], one["name"], one["state"]) for one in told["citations"]] == [
        ("evidence", "E-1", None), ("interpretation", "1", "agreed"), ("layer", "101-1/2", None), ("sample", "101-1", None),
    ]  # fmt: skip
    assert api("owner").get(answer.headers["Location"]).json() == told


def test_citations_are_changed_with_the_version_and_left_alone_where_they_are_not_sent(api, findings):
    record = findings.write()
    path = f"interpretations/{record.pk}"
    assert len(api("conservator").patch(path, {"certainty": "firm"}, If_Match='"1"').json()["citations"]) == 1
    told = api("conservator").patch(path, {"citations": cite(findings.evidence)}, If_Match='"2"').json()
    assert [one["name"] for one in told["citations"]] == ["E-1"]
    problem(api("conservator").patch(path, {"citations": []}, If_Match='"2"'), 412)
    problem(api("conservator").patch(path, {"citations": []}), 428)


@pytest.mark.parametrize(
    "wrong",
    ["all", [{"type": "layer"}], [{"type": "layer", "id": "7"}], [{"type": "layer", "id": "x", "more": 1}], [{"type": "space", "id": "x"}]],
)
def test_citations_that_are_none_are_a_fault_of_their_field(api, findings, wrong):
    told = problem(api("conservator").post("interpretations/", body(findings, citations=wrong, statement="")), 422)
    assert {place["pointer"] for place in told["errors"]} == {"/citations", "/statement"}
    assert not Interpretation.objects.exists()


def test_many_are_written_as_one_batch(api, findings):
    make = [{"op": "create", "values": body(findings, statement=f"No. {number}")} for number in range(3)]
    told = api("conservator").post("interpretations/batch", {"operations": make}).json()["outcomes"]
    assert [(one["record"]["number"], len(one["record"]["citations"])) for one in told] == [(1, 1), (2, 1), (3, 1)]
    bad = [make[0], {"op": "create", "values": body(findings, citations=[{"type": "sample", "id": str(findings.layer.pk)}])}]
    wrong = problem(api("conservator").post("interpretations/batch", {"operations": bad}), 422)
    assert [place["pointer"] for place in wrong["errors"]] == ["/operations/1/values/citations"]
    assert Interpretation.objects.count() == 3


def names(api, query):
    return sorted(row["number"] for row in rows(api("owner").get(f"interpretations/?{query}")))


def test_lists_are_narrowed_by_all_that_a_person_would_ask_for(api, findings, cast, project):
    paint = findings.paint
    phase = records.create(cast.historian, project, Phase, {"label": "first"})
    make = findings.write
    make(certainty="firm")
    make("historian", discipline="architectural history", subject="element", element=str(paint.door.pk), cites=cite(findings.evidence))
    make(subject="layer", layer=str(paint.layers["101-2"][0].pk), statement="Grey was first.")
    make(subject="phase", phase=str(phase.pk), cites=cite(paint.second))
    findings.at("for comment", cites=cite(Interpretation.objects.get(number=2)))
    for query, found in (
        ("subject=space", [1, 5]), ("space=101", [1, 5]), ("element=101-DL", [2]), (f"layer={paint.layers['101-2'][0].pk}", [3]),
        ("phase=1", [4]), ("within_number=101", [1, 2, 3, 5]), (f"within={paint.space.pk}", [1, 2, 3, 5]),
        ("discipline=architectural%20history", [2]), ("state=for%20comment", [5]), ("state__in=working,agreed", [1, 2, 3, 4]),
        ("author=historian", [2]), ("created_by=Hester%20Orian", [2]), ("certainty=firm", [1]), ("search=grey", [3]),
        (f"cites={findings.layer.pk}", [1, 3]), (f"cites={findings.evidence.pk}", [2]), (f"cites={paint.second.pk}", [4]),
        (f"cites={Interpretation.objects.get(number=2).pk}", [5]), (f"concerns={paint.door.pk}", [2, 3, 4]),
        (f"concerns={paint.second.pk}", [3, 4]), (f"concerns={paint.space.pk}", [1, 2, 3, 4, 5]), (f"concerns={findings.evidence.pk}", [2]),
        (f"concerns={phase.pk}", [4]), ("concerns=6f9619ff-8b86-4d01-b42d-00cf4fc964ff", []),
    ):  # fmt: skip
        assert (query, names(api, query)) == (query, found)
    problem(api("owner").get("interpretations/?cites=7"), 400)
    problem(api("owner").get("interpretations/?sites=7"), 400)


def test_every_filter_is_read_and_answered(api, findings):
    findings.write()
    values = {"text": "zz", "whole": "1", "moment": "2026-05-14T09:30:00Z", "reference": "6f9619ff-8b86-4d01-b42d-00cf4fc964ff"}
    columns = BY_NAME["interpretations"].columns
    for parameter in filters_of("interpretations"):
        column = columns.get(parameter.partition("__")[0])
        kind = column.kind if column else "reference"
        value = "true" if parameter.endswith("__isblank") else column.words[0] if kind == "word" else values[kind]
        if parameter in ("phase", "phase__in"):
            value = "7"
        assert api("owner").get(f"interpretations/?{parameter}={value}").status_code == 200, parameter


# Session, person, project with role; the list, and what the page cites.
COST = 5


@pytest.mark.parametrize("many", [2, 20])
def test_a_list_costs_the_same_however_long_it_is(api, findings, many):
    for _ in range(many):
        findings.write(cites=cite(findings.layer, findings.evidence, findings.paint.first))
    owner = api("owner")
    for query in ("page_size=1000", f"search=green&concerns={findings.paint.space.pk}&ordering=statement"):
        with CaptureQueriesContext(connection) as caught:
            assert owner.get(f"interpretations/?{query}").status_code == 200
        assert len(caught) == COST


# -- moving ---------------------------------------------------------------------------------------------------------------------


def test_moving_names_the_version_that_was_read(api, findings):
    record = findings.at("for comment")
    problem(api("historian").post(f"interpretations/{record.pk}/transitions", {"to": "agreed"}), 428)
    findings.change("conservator", record, statement="Red first.")
    told = problem(moved(api, "historian", record, "agreed", version=record.version - 1), 412)
    assert (told["current"]["state"], told["current"]["statement"]) == ("for comment", "Red first.")
    answer = moved(api, "historian", record, "agreed")
    assert (answer.status_code, answer.json()["state"], answer.json()["state_by"]) == (200, "agreed", "Hester Orian")
    assert answer.headers["ETag"].startswith(f'"{answer.json()["version"]}-')


@pytest.mark.parametrize(
    ("state", "who", "to", "status", "code"),
    [
        ("for comment", "conservator", "agreed", 403, "forbidden"),
        ("working", "historian", "agreed", 409, "state"),
        ("superseded", "historian", "agreed", 409, "state"),
        ("for comment", "historian", "superseded", 422, "invalid"),
        ("for comment", "historian", "settled", 422, "invalid"),
        ("for comment", "historian", "disputed", 422, "invalid"),
    ],
)
def test_a_move_that_is_refused_says_what_to_do(api, findings, state, who, to, status, code):
    record = findings.at(state)
    told = problem(moved(api, who, record, to), status)
    assert told["code"] == code
    assert findings.state(record) == state


def test_a_move_sent_twice_with_one_key_is_made_once(api, findings):
    record = findings.at("for comment")
    version = record.version
    first, again = (moved(api, "historian", record, "disputed", version=version, reason=REASON, Idempotency_Key="one") for _ in range(2))
    assert (first.status_code, again.status_code, again.headers["Idempotency-Replayed"]) == (200, 200, "true")
    record.refresh_from_db()
    assert record.version == version + 1


def test_the_review_says_what_one_may_do_and_what_has_changed_since(api, findings):
    record = findings.at("for comment", cites=cite(findings.layer, findings.paint.first, findings.evidence))
    path = f"interpretations/{record.pk}/review"
    mine, theirs = (api(who).get(path).json() for who in ("conservator", "historian"))
    assert (mine["may_write"], mine["moves"]) == (True, [{"to": "working", "reason_needed": False}])
    assert (theirs["may_write"], theirs["moves"]) == (
        False, [{"to": "agreed", "reason_needed": False}, {"to": "disputed", "reason_needed": True}],
    )  # fmt: skip
    assert [(one["from"], one["to"], one["actor"]) for one in mine["made"]] == [("working", "for comment", "Connie Vator")]
    assert mine["changed"] == []
    findings.change("historian", findings.evidence, statement="A forged bill.")
    findings.change("conservator", findings.paint.layers["101-1"][2], colour="white")
    findings.change("conservator", findings.paint.first, bag="B")
    told = api("owner").get(path).json()["changed"]
    assert [(one["type"], one["name"], one["changed"], one["actor"], one["fields"]) for one in told] == [
        ("sample", "101-1", "101-1/3", "Connie Vator", ["colour"]),
        ("evidence", "E-1", "E-1", "Hester Orian", ["statement"]),
    ]
    findings.move(record, "historian", "agreed")
    assert api("owner").get(path).json()["changed"] == []
    findings.change("historian", findings.evidence, statement="A bill after all.")
    told = api("owner").get(path).json()
    assert (told["state"], [one["name"] for one in told["changed"]]) == ("for comment", ["E-1"])


def test_the_review_names_those_who_build_on_it(api, findings):
    record = findings.at("agreed")
    citing = findings.write("historian", cites=cite(record))
    newer = findings.write("historian", supersedes=str(record.pk))
    told = api("owner").get(f"interpretations/{record.pk}/review").json()
    assert [one["number"] for one in told["cited_by"]] == [citing.number]
    assert [one["number"] for one in told["superseded_by"]] == [newer.number]


def test_reviewers_are_asked_and_answer(api, findings):
    record = findings.at("for comment")
    path = f"interpretations/{record.pk}/reviews"
    told = api("conservator").post(path, {"people": ["historian", "owner"]}).json()["reviews"]
    assert [(one["username"], one["asked_by"], one["answered_at"]) for one in told] == [
        ("historian", "Connie Vator", None), ("owner", "Connie Vator", None),
    ]  # fmt: skip
    problem(api("conservator").post(path, {"people": []}), 422)
    problem(api("conservator").post(path, {"people": ["stranger"]}), 422)
    problem(api("coordinator").post(f"{path}/looked"), 409)
    told = api("owner").post(f"{path}/looked").json()["reviews"]
    assert [one["username"] for one in told if one["answered_at"]] == ["owner"]


# -- two at once ----------------------------------------------------------------------------------------------------------------


def test_of_those_who_move_it_at_once_one_wins_and_the_others_are_told(tmp_path):
    """Four people, four threads, one version: on whatever database is configured (`DATABASE_URL`), or SQLite in a file."""
    environment = {**os.environ, "UNDERCOAT_DATA": str(tmp_path)}
    found = subprocess.run(
        [sys.executable, "-m", "tests.surveys.findings.race"], capture_output=True, text=True, env=environment, timeout=120, check=False
    )
    assert found.returncode == 0, found.stderr[-2_000:]
    told = json.loads(found.stdout.splitlines()[-1])
    assert sorted(told["answers"]) == [200, 412, 412, 412]
    assert told["moves"] == 1
    assert {one["state"] for one in told["current"]} == {told["state"]} <= {"agreed", "disputed"}


# -- outside --------------------------------------------------------------------------------------------------------------------


SECRET = "Beneath the varnish lies vermilion."


@pytest.fixture
def left(cast, project):
    """Somebody who was a member: the historian, who wrote one, and left."""
    member = project.memberships.get(person=cast.historian)
    records.remove_member(cast.coordinator, project, member.pk, member.version)
    return cast.historian


@pytest.mark.parametrize("who", ["stranger", "contractor", "historian"])
def test_nothing_of_an_interpretation_reaches_those_outside(api, findings, cast, who, request):
    record = findings.at("for comment", statement=SECRET)
    records.ask_review(cast.conservator, findings.project, record.pk, ["historian", "owner"])
    if who == "historian":
        request.getfixturevalue("left")
    one = f"interpretations/{record.pk}"
    asked = [
        api(who).get("interpretations/"), api(who).get("interpretations/?search=vermilion&count=true"),
        api(who).get(f"interpretations/?cites={findings.layer.pk}"), api(who).get(one), api(who).get(f"{one}/review"),
        api(who).get(f"{one}/reviews"), api(who).post(f"{one}/reviews", {"people": ["owner"]}), api(who).post(f"{one}/reviews/looked"),
        api(who).post("interpretations/", body(findings)), api(who).patch(one, {"statement": "x"}, If_Match='"2"'),
        api(who).delete(one, If_Match='"2"'), moved(api, who, record, "agreed"), moved(api, who, record, "agreed", version=1),
        api(who).post("interpretations/batch", {"operations": [{"op": "remove", "id": str(record.pk), "version": 2}]}),
        api(who).get("changes/"), api(who).get(f"changes/?record_id={record.pk}"),
        api(who).get(f"spaces/{findings.paint.space.pk}/side-by-side"), api(who).get(f"elements/{findings.paint.door.pk}/side-by-side"),
    ]  # fmt: skip
    for answer in asked:
        text = answer.content.decode()
        assert answer.status_code == 404, (answer.request["PATH_INFO"], answer.status_code)
        assert not [word for word in ("vermilion", "101", "Connie", "for comment", "interpretation") if word in text]
    # The same words as for a project that there is not.
    nowhere = api(who).get("/api/v1/projects/NONE/interpretations/").json()["detail"]
    assert {answer.json()["detail"].replace("HALL", "NONE") for answer in asked} == {nowhere}


def test_an_interpretation_of_another_project_is_not_found_by_its_id(api, findings, cast):
    other = records.create_project(cast.owner, {"code": "OTHER", "name": "Other"})
    record = findings.at("for comment")
    for path in ("", "/review", "/reviews"):
        problem(api("owner").get(f"/api/v1/projects/{other.code}/interpretations/{record.pk}{path}"), 404)
    answer = api("owner").post(f"/api/v1/projects/OTHER/interpretations/{record.pk}/transitions", {"to": "agreed"}, If_Match='"2"')
    problem(answer, 404)

"""Requests that are well formed and yet wrong: none fails in the program, none is answered as if something else had been asked."""

import base64
import uuid

import orjson
import pytest

from surveys import records
from surveys.api.collections import BY_NAME
from surveys.api.pagination import cursor_of, order_of
from surveys.models import Comment, Interpretation, Schedule, Space
from tests.surveys.api.conftest import problem, rows
from tests.surveys.test_schedules import issued


def nested(depth):
    """A list in a list in a list, so many times."""
    return b"[" * depth + b"]" * depth


@pytest.mark.parametrize("parameter", ["id", "id__in", "runner_up", "created_at", "position", "thickness_um"])
def test_a_filter_with_nothing_but_a_blank_never_answers_the_whole_list(api, paint, parameter):
    assert problem(api("owner").get(f"layers/?{parameter}=%20"), 400)["errors"][0]["parameter"] == parameter


def test_a_filter_by_what_is_cited_needs_an_id(api, paint):
    assert problem(api("owner").get("interpretations/?cites=%20"), 400)["errors"][0]["parameter"] == "cites"


def test_several_names_are_all_looked_for_or_refused_as_too_many(api, paint):
    others = ",".join(f"n{number}" for number in range(499))
    assert len(rows(api("owner").get(f"samples/?space__in={others},101"))) == 2
    assert problem(api("owner").get(f"samples/?space__in={others},n,101"), 400)["errors"][0]["parameter"] == "space__in"


def test_names_and_ids_are_looked_for_together(api, make_space, paint):
    second = make_space("102")
    found = rows(api("owner").get(f"elements/?space__in={second.pk},101&fields=code"))
    assert [row["code"] for row in found] == ["101-BB", "101-DL"]
    assert len(rows(api("owner").get(f"spaces/?id__in={second.pk},{paint.space.pk}"))) == 2


@pytest.fixture
def make_space(cast, project):
    return lambda number, **more: records.create(cast.conservator, project, Space, {"number": number, **more})


@pytest.mark.parametrize("moment", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00"])
def test_a_cursor_with_a_moment_beyond_all_time_is_refused(api, project, moment):
    said = orjson.dumps(["created_at,id", moment, str(uuid.UUID(int=1))])
    cursor = base64.urlsafe_b64encode(said).decode().rstrip("=")
    assert problem(api("owner").get(f"spaces/?ordering=created_at&cursor={cursor}"), 400)["errors"][0]["parameter"] == "cursor"


@pytest.mark.parametrize("key", [{}, {"Idempotency_Key": "deep"}])
@pytest.mark.parametrize("depth", [300, 900])
@pytest.mark.parametrize("path", ["views/", "jobs/", "spaces/", "spaces/batch"])
def test_a_body_nested_beyond_all_use_is_refused(api, project, path, depth, key):
    body = b'{"register": "spaces", "name": "x", "kind": "date", "arrangement": {"a": %b}, "params": {"a": %b}}'
    told = problem(api("conservator").send("POST", path, body.replace(b"%b", nested(depth)), **key), 400)
    assert "nested" in told["detail"]


def test_a_list_goes_on_behind_a_text_however_long(api, make_space):
    """A cursor goes by the address, and servers take no address beyond some thousand characters."""
    long = "ü" * 19_000
    for number, notes in (("1", long + "a"), ("2", long + "b"), ("3", long + "a"), ("4", "b")):
        make_space(number, notes=notes)
    for ordering in ("notes,number", "-notes,number"):
        whole = [row["number"] for row in rows(api("owner").get(f"spaces/?ordering={ordering}"))]
        found, address = [], f"spaces/?ordering={ordering}&page_size=1&fields=number"
        while address:
            told = api("owner").get(address).json()
            found += [row["number"] for row in told["results"]]
            address = told["next"]
            assert len(address or "") < 3_000
        assert found == whole
    assert sorted(whole) == ["1", "2", "3", "4"]


@pytest.mark.parametrize("ordering", ["number", "notes", "-notes", "created_at"])
def test_a_cursor_of_a_list_is_short(api, project, ordering):
    terms = order_of(BY_NAME["spaces"], ordering)
    values = {"number": "n" * 40, "notes": "ü" * 20_000, "created_at": "2026-05-14T09:30:00Z", "id": uuid.UUID(int=1)}
    assert len(cursor_of(terms, [values[term.name] for term in terms])) < 3_000


def test_a_key_used_with_another_version_is_noticed(api, paint):
    """The version that one read is part of what one asks for: a refusal of an old one is no answer to the new."""
    values = {"discipline": "paint conservation", "subject": "space", "space": str(paint.space.pk), "statement": "x"}
    values["citations"] = [{"type": "sample", "id": str(paint.first.pk)}]
    finding = api("conservator").post("interpretations/", values).json()
    body = {"to": "for comment"}
    here = f"interpretations/{finding['id']}/transitions"
    problem(api("conservator").post(here, body, If_Match='"7"', Idempotency_Key="one"), 412)
    told = problem(api("conservator").post(here, body, If_Match='"1"', Idempotency_Key="one"), 422)
    assert told["code"] == "key-reused"
    assert api("conservator").post(here, body, If_Match='"1"', Idempotency_Key="two").status_code == 200
    assert Interpretation.objects.get().state == "for comment"


def test_a_refusal_that_quotes_what_cannot_be_printed_is_kept_too(api, project):
    body = b'{"number": "9", "na\\u0000me": "x"}'
    first, again = (problem(api("conservator").send("POST", "spaces/", body, Idempotency_Key="one"), 400) for _ in range(2))
    assert first == again


def test_a_contractor_who_asks_again_is_told_again_what_he_said(api, cast, project, paint):
    schedule = records.create(cast.conservator, project, Schedule, {"title": "As of 1840", "year": 1840})
    made = records.issue(cast.coordinator, project, schedule.pk, "A", issued(project))
    path = f"issues/{made.pk}/comments/"
    first, again = (api("contractor").post(path, {"text": "Which primer?"}, Idempotency_Key="one") for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.headers["Idempotency-Replayed"] == "true"
    assert first.json() == again.json()
    assert Comment.objects.count() == 1

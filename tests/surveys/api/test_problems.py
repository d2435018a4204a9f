"""Everything that goes wrong is a problem document that tells nothing of the program's inside."""

import pytest
import redis
from django.db import InterfaceError, OperationalError
from django.test import Client

from surveys.api import problems
from surveys.api.middleware import STRICT
from tests.surveys.api.conftest import ROOT, problem


def test_an_unknown_address_is_a_problem_too(client, cast):
    problem(client.get(f"{ROOT}/nothing"), 404)
    problem(client.post(f"{ROOT}/projects/HALL/spaces/not-an-id", {}), 404)
    assert client.get("/nothing").headers["Content-Type"].startswith("text/plain")


@pytest.mark.parametrize("body", [b"{", b"\xff", b'{"number": "9", "name": "\\ud800"}', b"[" * 5000, b'{"number": NaN}'])
def test_a_body_that_is_not_json_is_refused(api, project, body):
    problem(api("conservator").post("spaces/", body), 400)


@pytest.mark.parametrize(
    "media_type", ["text/plain", "application/xml", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"]
)
def test_a_body_of_another_kind_is_refused(api, project, media_type):
    answer = api("conservator").client.generic("POST", f"{ROOT}/projects/HALL/spaces/", b"number=9", content_type=media_type)
    problem(answer, 415)


def test_a_body_over_the_limit_is_refused_with_the_limit(api, project, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1024 * 1024
    body = b'{"number": "' + b"9" * 1024 * 1024 + b'"}'
    assert "1 MB" in problem(api("conservator").post("spaces/", body), 413)["detail"]


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS", "TRACE"])
def test_a_method_that_is_not_done_there_is_refused_and_the_others_named(api, project, method):
    answer = api("coordinator").send(method, "spaces/")
    problem(answer, 405)
    assert answer.headers["Allow"] == "GET, HEAD, POST"


def test_a_failure_tells_nothing_of_the_program(api, project, monkeypatch, caplog):
    monkeypatch.setattr("surveys.api.views.records.listed", lambda *_: 1 / 0)
    told = problem(api("owner").get("spaces/"), 500)
    assert "division" not in str(told)
    assert "Traceback" not in str(told)
    assert "ZeroDivisionError" in caplog.text


def test_nobody_is_told_how_to_sign_in(client, cast):
    answer = client.get(f"{ROOT}/projects/HALL")
    assert answer.headers["WWW-Authenticate"] == "Token"
    assert "Sign in" in problem(answer, 401)["detail"]


def test_every_status_has_a_title_and_every_error_a_status():
    assert {status for _, status in problems.STATUS} <= set(problems.TITLES)


def test_every_answer_bears_the_strict_policy_and_the_documents_one_of_their_own(client, cast):
    assert client.get(f"{ROOT}/me").headers["Content-Security-Policy"] == STRICT
    assert "unsafe" not in STRICT
    documents = client.get(f"{ROOT}/docs")
    assert documents.status_code == 200
    assert "script" not in documents.headers["Content-Security-Policy"]


def test_the_documents_load_files_of_this_program_only(client, cast):
    page = client.get(f"{ROOT}/docs").content.decode()
    assert "http:" not in page
    assert "https:" not in page
    assert "<script>" not in page
    for address in [part.split('"')[0] for part in page.split('src="')[1:]] + [part.split('"')[0] for part in page.split('href="')[1:]]:
        assert address.startswith("/")
        assert client.get(address).status_code == 200, address


def test_the_schema_is_had_as_json_and_as_yaml(client, cast):
    assert client.get(f"{ROOT}/schema?format=json").json()["openapi"].startswith("3.1")
    assert client.get(f"{ROOT}/schema").content.startswith(b"openapi: 3.1")


def test_a_forbidden_origin_in_a_form_is_a_problem_too():
    answer = problems.csrf_failure(None)
    assert (answer.status_code, answer.headers["Content-Type"]) == (403, problems.MEDIA_TYPE)


def test_an_unknown_host_is_refused(cast):
    assert Client(headers={"host": "evil.example"}).get(f"{ROOT}/me").status_code == 400


AWAY = [
    (OperationalError("database is locked"), "busy", "try again"),
    (OperationalError("connection failed: secret host refused"), "database-away", "does not answer just now"),
    (InterfaceError("connection already closed"), "database-away", "does not answer just now"),
    (OperationalError("database or disk is full"), "no-room", "disk is full"),
    (redis.ConnectionError("Error 111 connecting to secret host"), "cache-away", "does not answer just now"),
]


@pytest.mark.parametrize(("error", "code", "words"), AWAY)
def test_a_service_that_does_not_answer_is_told_in_words_with_the_time_to_wait(api, project, monkeypatch, error, code, words):
    def fails(*given, **more):
        raise error

    monkeypatch.setattr("surveys.api.views.records.listed", fails)
    answer = api("owner").get("spaces/")
    told = problem(answer, 503)
    assert (told["code"], answer.headers["Retry-After"]) == (code, "2")
    assert words in told["detail"]
    assert "secret" not in answer.content.decode()


@pytest.mark.parametrize(("error", "code", "words"), AWAY)
def test_it_is_told_so_before_a_view_is_reached_as_well(cast, monkeypatch, error, code, words):
    def fails(*given, **more):
        raise error

    monkeypatch.setattr("django.contrib.sessions.middleware.SessionMiddleware.process_request", fails)
    told = problem(Client(raise_request_exception=False).get(f"{ROOT}/projects/"), 503)
    assert told["code"] == code

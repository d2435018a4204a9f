"""How much who is signed in may read in a minute: generous, counted for all processes, and felt by nobody who works."""

import subprocess
import sys
import threading
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.cache import caches
from django.urls import get_resolver

from surveys import errors, throttling, tokens
from surveys.api.views.base import HEAVY
from tests.surveys.api.conftest import problem

ROOT = Path(__file__).resolve().parents[3]
NOON = 28_333_360 * 60.0


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    """A clock that stands until it is moved, so that no minute ends within a test; and nothing read before it."""
    told = SimpleNamespace(now=NOON)
    monkeypatch.setattr(throttling, "time", SimpleNamespace(time=lambda: told.now))
    throttling._left.clear()
    yield told
    throttling._left.clear()


@pytest.fixture
def few(settings):
    """Five reads a minute, two of them heavy."""
    settings.READS_A_MINUTE, settings.HEAVY_READS_A_MINUTE = 5, 2


def test_reads_beyond_the_budget_are_refused_with_the_time_to_wait(api, few, clock):
    clock.now = NOON + 12.4
    for _ in range(5):
        assert api("historian").get("spaces/").status_code == 200
    refused = api("historian").get("spaces/")
    assert problem(refused, 429)["code"] == "too-often"
    assert refused.headers["Retry-After"] == "48"
    assert "Wait 48 seconds" in refused.json()["detail"]


def test_the_next_minute_has_a_budget_of_its_own(api, few, clock):
    for _ in range(6):
        answer = api("historian").get("spaces/")
    problem(answer, 429)
    clock.now = NOON + 60
    assert api("historian").get("spaces/").status_code == 200
    assert len(throttling._left) == 1, "what was counted in minutes gone by is forgotten"


def test_each_person_has_a_budget(api, few):
    for _ in range(6):
        answer = api("historian").get("spaces/")
    problem(answer, 429)
    assert api("owner").get("spaces/").status_code == 200


def test_a_script_with_a_token_takes_nothing_from_its_owners_browser_and_a_second_token_gives_it_no_more(api, cast, few, client):
    secrets = [tokens.make(cast.historian, label)[1] for label in ("one", "two")]
    answers = [client.get("/api/v1/me", headers={"Authorization": f"Token {secrets[turn % 2]}"}).status_code for turn in range(6)]
    assert answers == [200] * 5 + [429]
    assert api("historian").get("spaces/").status_code == 200


def test_heavy_reads_have_a_smaller_budget_and_leave_the_other_alone(api, few):
    assert [api("historian").get("coverage/").status_code for _ in range(3)] == [200, 200, 429]
    assert api("historian").get("spaces/").status_code == 200


def test_every_heavy_read_is_a_route():
    names = {pattern.name for pattern in next(one for one in get_resolver().url_patterns if str(one.pattern) == "api/v1/").url_patterns}
    assert names >= HEAVY


def test_that_a_read_may_be_refused_for_a_while_is_described(client):
    told = client.get("/api/v1/schema?format=json").json()
    reads = [operations["get"] for operations in told["paths"].values() if "get" in operations]
    assert len(reads) > 50
    assert all("429" in operation["responses"] for operation in reads)


def test_writes_are_not_counted_as_reads(api, few):
    for number in range(6):
        assert api("historian").post("spaces/", {"number": f"2{number}", "name": "Room", "kind": "room"}).status_code == 201


def test_who_is_not_signed_in_is_told_so_and_not_counted(api, few):
    assert [api("nobody").get("spaces/").status_code for _ in range(7)] == [401] * 7
    assert throttling._left == {}


@pytest.mark.parametrize("most", [0, -1])
def test_no_limit_is_set_by_zero(api, settings, most):
    settings.READS_A_MINUTE = most
    assert {api("historian").get("spaces/").status_code for _ in range(20)} == {200}


def test_counting_a_read_asks_the_database_nothing(api, settings, django_assert_num_queries):
    api("historian").get("/api/v1/me")
    for most in (0, 3000):
        settings.READS_A_MINUTE = most
        with django_assert_num_queries(2):  # the session and the person
            assert api("historian").get("/api/v1/me").status_code == 200


def test_many_threads_together_are_given_no_more_than_one(settings):
    settings.READS_A_MINUTE = 400
    given, refused = [], []

    def ask():
        for _ in range(100):
            try:
                throttling.read("7 browser")
                given.append(1)
            except errors.TooOften:
                refused.append(1)

    threads = [threading.Thread(target=ask) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(given), len(refused)) == (400, 400)


# -- for all processes ------------------------------------------------------------------------------------------------------------


@pytest.fixture
def shared(settings, tmp_path):
    """A cache that processes share, as a Redis is on a server; here one in files, which needs none."""
    cache = {"BACKEND": "django.core.cache.backends.filebased.FileBasedCache", "LOCATION": str(tmp_path / "cache")}
    settings.CACHES = {**settings.CACHES, "default": cache}
    settings.CACHE_URL = "redis://as-if"
    settings.READS_A_MINUTE = 100
    yield cache
    caches["default"].clear()


def given(whom, tries):
    """How many of so many reads are answered."""
    count = 0
    for _ in range(tries):
        try:
            throttling.read(whom)
        except errors.TooOften:
            continue
        count += 1
    return count


def test_reads_are_counted_for_all_processes_together(shared):
    code = (
        "import django; from django.conf import settings;"
        f"settings.configure(CACHES={{'default': {shared!r}}}, CACHE_URL='redis://as-if', READS_A_MINUTE=100, HEAVY_READS_A_MINUTE=0);"
        f"from surveys import throttling; throttling.time = type('Clock', (), {{'time': staticmethod(lambda: {NOON})}});"
        "[throttling.read('7 browser') for _ in range(30)]"
    )
    for _ in range(3):
        subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)
    assert given("7 browser", 50) == 10
    assert given("8 browser", 150) == 100


def test_the_shared_count_is_asked_once_for_a_handful(shared, monkeypatch):
    asked = []
    taken = throttling._taken
    monkeypatch.setattr(throttling, "_taken", lambda *args: asked.append(1) or taken(*args))
    assert given("7 browser", 150) == 100
    assert len(asked) == throttling.HANDFULS + 1, "and once more, to be told that there is nothing left"


def test_where_the_shared_count_is_away_each_process_counts_its_own_and_waits_for_it_once(settings, caplog):
    away = {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": "redis://127.0.0.1:1/0"}
    settings.CACHES = {**settings.CACHES, "default": away}
    settings.CACHE_URL = away["LOCATION"]
    settings.READS_A_MINUTE = 100
    assert given("7 browser", 150) == 100
    assert [record.message for record in caplog.records].count("Reads cannot be counted for all processes; this one counts its own.") == 2

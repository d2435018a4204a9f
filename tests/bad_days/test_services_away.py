"""The broker or the database is away for a while: nothing is lost, nothing is done twice, and the person is told."""

import time

import pytest

from tests.bad_days.conftest import SERVICES
from tests.bad_days.test_bad_days import runs
from tests.servers import wait_until

pytestmark = pytest.mark.skipif(not SERVICES, reason="the embedded program has no other servers: make test-services")
AWAY_SECONDS = 30


def test_a_broker_that_is_restarted_costs_no_job_that_runs_or_waits(program):
    jobs = program.ask(*(("steps", {"steps": "40"}) for _ in range(4)))
    program.until(jobs[0], runs)
    program.broker.stop()
    program.broker.start()
    rows = [program.ended(job) for job in jobs]
    assert [(row["state"], row["attempt"]) for row in rows] == [("done", 1)] * 4
    assert sorted(program.done(*jobs)) == sorted(jobs)


def test_a_job_asked_for_while_the_broker_is_away_is_done_when_it_is_back(program):
    program.broker.stop()
    try:
        (job,) = program.ask(("steps", {"steps": "3"}))
        assert program.job(job)["state"] == "queued"
    finally:
        program.broker.start()
    row = program.ended(job)
    assert (row["state"], program.done(job)) == ("done", [job])


def test_a_database_that_is_away_for_half_a_minute_is_told_in_words_and_the_jobs_are_done_once_when_it_is_back(program):
    job, act = program.ask(("steps", {"steps": "60"}), ("act", {"steps": "60", "name": "once"}))
    program.until(job, runs)
    # In the midst of its act, as an import is.
    wait_until(lambda: program.http("GET", f"jobs/{act}")[1]["progress"]["now"] == "Writing", "It does not write.")
    program.database.stop()
    away = time.monotonic() + AWAY_SECONDS
    answers = []
    try:
        while time.monotonic() < away:
            answers += [program.http("GET", f"jobs/{job}"), program.http("POST", "spaces/", {"number": "lost"})]
            time.sleep(1)
    finally:
        program.database.start()
    assert len(answers) > 10
    assert {(status, told["code"]) for status, told in answers} == {(503, "database-away")}
    assert all("The database does not answer just now" in told["detail"] for _, told in answers)
    row = program.ended(job)
    assert (row["state"], row["attempt"], program.done(job)) == ("done", 2, [job])
    row = program.ended(act)
    assert (row["state"], row["attempt"]) == ("done", 2)
    made = "SELECT id FROM surveys_change WHERE record_type = 'space' AND record_name = 'once'"
    assert len(program.rows(made)) == len(program.rows("SELECT id FROM surveys_space WHERE number = 'once'")) == 1
    status, _ = program.http("POST", "spaces/", {"number": "found"})
    assert status == 201
    assert program.rows("SELECT number FROM surveys_space WHERE number = 'lost'") == []

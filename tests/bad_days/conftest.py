"""A program of one's own to be unkind to; with UNDERCOAT_TEST_SERVICES on a PostgreSQL and a Redis of its own."""

import contextlib
import os
import signal
import sqlite3
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest
from psycopg.rows import dict_row

from tests.programs import Program, Served
from tests.race.clients import Gone, Line
from tests.servers import PostgreSQL, Redis, wait_until

SERVICES = bool(os.environ.get("UNDERCOAT_TEST_SERVICES"))
SETTINGS = "tests.bad_days.settings"
API = "/api/v1/projects/HALL"
SECONDS = 90.0
# Long enough for a step on a machine that others load, short enough to wait for.
LEASE = "8"
PREPARE = """
from surveys import records, tokens
from surveys.models import Person
person = Person.objects.create_user(username="cora", password="not-a-real-secret", name="Cora")
records.create_project(person, {"code": "HALL", "name": "The hall"})
print(tokens.make(person, "bad days")[1])
"""
RING = """
from surveys import jobs
from surveys.models import Job
for _ in range(%d):
    jobs.ring(Job.objects.get(pk=%r))
"""


class Unkind:
    """The program with kinds of job that misbehave, and whoever is unkind to it."""

    def __init__(self, program: Program, database: PostgreSQL | None, broker: Redis | None) -> None:
        self.program, self.database, self.broker = program, database, broker
        self.token = program.manage("migrate", "-v0") or program.shell(PREPARE).split()[-1]
        self.line = Line(program.port, self.token)
        self.asked = 0

    # -- asking -----------------------------------------------------------------------------------------------------------
    def http(self, method: str, path: str, body: Any = None) -> tuple[int, Any]:
        """Ask the interface; a connection that was closed meanwhile is opened again."""
        for _ in range(2):
            with contextlib.suppress(Gone):
                return self.line.ask(method, f"{API}/{path}", body)[:2]
        status, told, _ = self.line.ask(method, f"{API}/{path}", body)
        return status, told

    def ask(self, *wanted: tuple[str, dict[str, str]]) -> list[str]:
        """Ask for jobs; answer their ids. No two of them are one and the same to the program."""
        found = []
        for kind, params in wanted:
            self.asked += 1
            status, told = self.http("POST", "jobs/", {"kind": kind, "params": {"name": f"{self.asked}", **params}})
            assert status == 202, told
            found.append(told["id"])
        return found

    def ring(self, job: str, times: int) -> None:
        """Ring for a job so many times more."""
        self.program.shell(RING % (times, job))

    # -- looking ----------------------------------------------------------------------------------------------------------
    def rows(self, query: str, *values: str) -> list[dict[str, Any]]:
        """Rows of the database itself."""
        if self.database is not None:
            url = self.program.more["DATABASE_URL"].replace("postgres://", "postgresql://")
            with psycopg.connect(url, row_factory=dict_row, connect_timeout=5) as connection:
                return connection.execute(query.replace("?", "%s"), values).fetchall()
        connection = sqlite3.connect(f"file:{self.program.data / 'undercoat.sqlite3'}?mode=ro", uri=True, timeout=20)
        connection.row_factory = sqlite3.Row
        try:
            return [dict(row) for row in connection.execute(query, [value.replace("-", "") for value in values])]
        finally:
            connection.close()

    def job(self, job: str) -> dict[str, Any]:
        """A job's row as it is now."""
        return self.rows("SELECT * FROM surveys_job WHERE id = ?", job)[0]

    def done(self, *jobs: str) -> list[str]:
        """The ids put down by these jobs when they were done, as often as they were."""
        book = self.program.data / "done.txt"
        return [one for one in (book.read_text().split() if book.exists() else []) if one in jobs]

    def until(self, job: str, fits: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
        """Wait until a job's row is like that."""
        end = time.monotonic() + SECONDS
        while time.monotonic() < end:
            row = self.job(job)
            if fits(row):
                return row
            time.sleep(0.1)
        raise AssertionError(f"It stayed {self.job(job)}.\n{self.program.log()}")

    def ended(self, job: str) -> dict[str, Any]:
        """Wait until a job has ended."""
        return self.until(job, lambda row: row["state"] in ("done", "failed", "cancelled"))

    # -- being unkind ------------------------------------------------------------------------------------------------------
    def again(self, number: int = signal.SIGTERM, **more: str) -> None:
        """End everything, and start it again, perhaps in other surroundings."""
        self.program.stop(number)
        self.program.more |= more
        self.program.start()
        self.program.wait()

    def quiet(self) -> None:
        """Stop whatever waits or runs."""
        for row in self.rows("SELECT id FROM surveys_job WHERE state IN ('queued', 'running')"):
            self.http("POST", f"jobs/{uuid.UUID(str(row['id']))}/cancel")
        wait_until(lambda: not self.rows("SELECT id FROM surveys_job WHERE state IN ('queued', 'running')"), "A job goes on and on.")


@pytest.fixture(scope="session")
def standing() -> Iterator[Unkind]:
    """It runs for all tests of this process."""
    with contextlib.ExitStack() as stack:
        data = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="undercoat-bad-days-", ignore_cleanup_errors=True)))
        if SERVICES:
            data.chmod(0o755)  # PostgreSQL may have to run as another user
            folders = [data / name for name in ("program", "postgresql", "redis")]
            for folder in folders:
                folder.mkdir()
            database, broker = PostgreSQL(folders[1]), Redis(folders[2])
            stack.callback(broker.stop)
            stack.callback(_gone, database)
            database.start()
            broker.start()
            program: Program = Served(folders[0], database.create("bad"), f"redis://127.0.0.1:{broker.port}", SETTINGS)
            program.more["BAD_DAYS_LEASE"] = LEASE
            made = Unkind(program, database, broker)
        else:
            program = Program(data, SETTINGS)
            made = Unkind(program, None, None)
        stack.callback(program.stop, signal.SIGKILL)
        program.start()
        program.wait()
        yield made


def _gone(database: PostgreSQL) -> None:
    with contextlib.suppress(Exception):
        database.stop()


@pytest.fixture
def program(standing: Unkind) -> Iterator[Unkind]:
    """The same, with nothing left of the test before."""
    usual = dict(standing.program.more)
    yield standing
    if standing.program.more != usual:
        standing.program.more = usual
        standing.again()
    standing.quiet()

"""A program of one's own to be unkind to: started, asked, killed, started again."""

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
SECONDS = 60.0
PREPARE = """
from surveys import records
from surveys.models import Person
person = Person.objects.create_user(username="cora", password="not-a-real-secret", name="Cora")
records.create_project(person, {"code": "HALL", "name": "The hall"})
"""
ASK = """
import json, sys
from surveys import jobs
from surveys.models import Person, Project
person, project = Person.objects.get(), Project.objects.get()
for kind, params, rings in json.loads(%r):
    job = jobs.ask(person, project, kind, params)
    for _ in range(rings):
        jobs.ring(job)
    print(job.pk)
"""
CANCEL = """
from surveys import jobs
from surveys.models import Person, Project
jobs.cancel(Person.objects.get(), Project.objects.get(), %r)
"""


class Program:
    """The program on a data folder, with kinds of job that misbehave."""

    def __init__(self, data: Path) -> None:
        self.data = data
        self.more: dict[str, str] = {}
        self.server: subprocess.Popen[str] | None = None

    def environment(self) -> dict[str, str]:
        """Its own data, on the embedded default whatever the tests run on."""
        given = {**os.environ, "UNDERCOAT_DATA": str(self.data), "DJANGO_SETTINGS_MODULE": "tests.bad_days.settings"}
        for name in ("DATABASE_URL", "UNDERCOAT_BROKER", "UNDERCOAT_CACHE", "UNDERCOAT_DISPATCHER"):
            given.pop(name, None)
        return {**given, "PYTHONUNBUFFERED": "1", **self.more}

    def shell(self, code: str) -> str:
        """Run a few lines in it."""
        command = [sys.executable, str(ROOT / "manage.py"), "shell", "-v0", "-c", code]
        done = subprocess.run(command, cwd=ROOT, env=self.environment(), capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout

    def start(self) -> None:
        """Start it."""
        log = (self.data / "serve.log").open("a")
        command = [sys.executable, str(ROOT / "manage.py"), "serve", "--port", "0", "--no-demo"]
        self.server = subprocess.Popen(command, cwd=ROOT, env=self.environment(), stdout=log, stderr=log, text=True)

    def stop(self, number: int = signal.SIGTERM) -> None:
        """End it, gently or not."""
        if self.server is not None:
            self.server.send_signal(number)
            self.server.wait(30)
            self.server = None

    def ask(self, *wanted: tuple[str, dict[str, str], int]) -> list[str]:
        """Ask for jobs, each rung for so many more times; answer their ids."""
        return self.shell(ASK % json.dumps(wanted)).split()

    def cancel(self, job: str) -> None:
        """Stop a job."""
        self.shell(CANCEL % job)

    def job(self, job: str) -> dict[str, Any]:
        """A job's row as it is now."""
        connection = sqlite3.connect(f"file:{self.data / 'undercoat.sqlite3'}?mode=ro", uri=True, timeout=20)
        connection.row_factory = sqlite3.Row
        try:
            return dict(connection.execute("SELECT * FROM surveys_job WHERE id = ?", (job.replace("-", ""),)).fetchone())
        finally:
            connection.close()

    def done(self) -> list[str]:
        """The ids put down by jobs that were done, as often as they were."""
        book = self.data / "done.txt"
        return book.read_text().split() if book.exists() else []

    def until(self, job: str, fits: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
        """Wait until a job's row is like that."""
        end = time.monotonic() + SECONDS
        while time.monotonic() < end:
            row = self.job(job)
            if fits(row):
                return row
            time.sleep(0.1)
        raise AssertionError(f"It stayed {self.job(job)}.\n{(self.data / 'serve.log').read_text()[-3000:]}")

    def ended(self, job: str) -> dict[str, Any]:
        """Wait until a job has ended."""
        return self.until(job, lambda row: row["state"] in ("done", "failed", "cancelled"))


@pytest.fixture
def program(tmp_path) -> Iterator[Program]:
    """It is set up and not started yet; at the end it is stopped."""
    made = Program(tmp_path)
    command = [sys.executable, str(ROOT / "manage.py"), "migrate", "-v0"]
    subprocess.run(command, cwd=ROOT, env=made.environment(), check=True)
    made.shell(PREPARE)
    yield made
    made.stop(signal.SIGKILL)

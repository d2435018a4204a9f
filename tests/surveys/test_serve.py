"""The embedded default as processes: what starts does its work, and what is stopped leaves nothing behind."""

import os
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PREPARE = """
from surveys import jobs, records
from surveys.models import Person, Space
person = Person.objects.create_user(username="cora", password="not-a-real-secret", name="Cora")
project = records.create_project(person, {"code": "HALL", "name": "The hall"})
records.create(person, project, Space, {"number": "1"})
jobs.ask(person, project, "registers", {})
"""


def manage(data: Path, *arguments: str, **more) -> subprocess.Popen:
    environment = {**os.environ, "UNDERCOAT_DATA": str(data), "UNDERCOAT_DISPATCHER": "analysis.tasks.ring", "PYTHONUNBUFFERED": "1"}
    for name in ("DATABASE_URL", "UNDERCOAT_BROKER"):
        environment.pop(name, None)
    command = [sys.executable, str(ROOT / "manage.py"), *arguments]
    return subprocess.Popen(command, cwd=ROOT, env=environment, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, **more)


def job_state(data: Path) -> str:
    connection = sqlite3.connect(f"file:{data / 'undercoat.sqlite3'}?mode=ro", uri=True)
    try:
        return connection.execute("select state || ' ' || error from surveys_job").fetchone()[0]
    finally:
        connection.close()


def until(what, seconds: float = 40.0) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if what():
            return True
        time.sleep(0.2)
    return False


def workers(data: Path) -> list[int]:
    """Processes that run on this data folder."""
    found = []
    for entry in Path("/proc").glob("[0-9]*"):
        try:
            if f"UNDERCOAT_DATA={data}".encode() in (entry / "environ").read_bytes().split(b"\0"):
                found.append(int(entry.name))
        except OSError:
            continue
    return found


@pytest.fixture
def prepared(tmp_path):
    for arguments in (("migrate", "-v0"), ("shell", "-v0", "-c", PREPARE)):
        done = manage(tmp_path, *arguments)
        output, _ = done.communicate(timeout=60)
        assert done.returncode == 0, output
    # The bell rang while nobody listened, and its message is lost: the row alone must be enough.
    for message in (tmp_path / "queue" / "messages").glob("*.msg"):
        message.unlink()
    return tmp_path


@pytest.mark.skipif(not Path("/proc/self/environ").exists(), reason="counts processes by /proc")
@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGKILL])
def test_a_waiting_job_is_done_after_the_start_and_nothing_is_left_after_the_end(prepared, ending):
    server = manage(prepared, "serve", "--port", "0", "--no-demo")
    try:
        done = until(lambda: job_state(prepared).startswith(("done", "failed")))
        assert done, "no worker took the job"
        assert job_state(prepared) == "done "
    finally:
        server.send_signal(ending)
        output, _ = server.communicate(timeout=30) if ending == signal.SIGINT else ("", server.wait(30))
    if ending == signal.SIGINT:
        assert server.returncode == 0, output
        assert "Stopped." in output
    # Killed, it cannot tell its worker to end; the worker sees its input end.
    assert until(lambda: workers(prepared) == [], 20), workers(prepared)


def test_a_second_start_on_the_same_data_is_refused_in_a_sentence(prepared):
    first = manage(prepared, "serve", "--port", "0", "--no-demo")
    try:
        assert until(lambda: job_state(prepared).startswith("done"))
        second = manage(prepared, "serve", "--port", "0", "--no-demo")
        output, _ = second.communicate(timeout=30)
        assert second.returncode != 0
        assert "running already" in output
        assert "Traceback" not in output
    finally:
        first.send_signal(signal.SIGINT)
        first.communicate(timeout=30)

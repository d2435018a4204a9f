"""Machines that are started together, each of which migrates the one database first."""

import contextlib
import os
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest

from surveys.management.commands.migrate import LOCK
from tests.servers import create, wait_until

ROOT = Path(__file__).resolve().parent.parent.parent
URL = os.environ.get("DATABASE_URL", "")
pytestmark = pytest.mark.skipif(not URL.startswith("postgres"), reason="an embedded database has one machine: make test-services")
WAITS = "SELECT query FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'"
HELD = (
    "SELECT count(*) FROM pg_locks JOIN pg_database ON pg_database.oid = pg_locks.database "
    "WHERE locktype = 'advisory' AND datname = current_database()"
)
END = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'"


class There:
    """A database, and programs that migrate it."""

    def __init__(self, folder: Path, name: str, template: str = "template1") -> None:
        self.name, self.given = name, {**os.environ, "DATABASE_URL": create(URL, name, template), "UNDERCOAT_DATA": str(folder)}

    def connected(self):
        """A connection past the program, which closes itself."""
        return contextlib.closing(psycopg.connect(self.given["DATABASE_URL"].replace("postgres://", "postgresql://"), autocommit=True))

    def started(self, *arguments: str) -> subprocess.Popen[str]:
        """Somebody migrates."""
        command = [sys.executable, "manage.py", "migrate", *arguments]
        return subprocess.Popen(command, cwd=ROOT, env=self.given, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)


@pytest.fixture(scope="module")
def migrated(tmp_path_factory) -> tuple[There, list[tuple[int | None, str]]]:
    """A new database that three have migrated at once, and what became of each."""
    made = There(tmp_path_factory.mktemp("migrated"), f"together_{os.getpid()}")
    going = [made.started("-v0") for _ in range(3)]
    told = [one.communicate(timeout=120)[0] for one in going]
    return made, [(one.returncode, text) for one, text in zip(going, told, strict=True)]


@pytest.fixture
def there(migrated, tmp_path, request) -> There:
    """A copy of it."""
    return There(tmp_path, f"{migrated[0].name}_{request.node.name[:30]}", migrated[0].name)


def test_three_that_migrate_one_new_database_at_once_all_find_it_migrated(migrated):
    made, ended = migrated
    assert [code for code, _ in ended] == [0, 0, 0], ended
    assert made.started("--check").wait(60) == 0


def test_who_only_looks_waits_for_nobody_and_who_migrates_says_that_it_waits(there):
    with there.connected() as other, there.connected() as onlooker:
        with other.transaction():
            other.execute("SELECT pg_advisory_xact_lock(%s)", [LOCK])
            assert there.started("--check").wait(60) == 0
            assert "No planned migration operations" in there.started("--plan").communicate(timeout=60)[0]
            waiting = there.started()
            wait_until(lambda: onlooker.execute(WAITS).fetchone() is not None, "It does not wait.")
            # A lock of a transaction: a pooler in transaction mode would keep a session's for ever.
            assert "pg_advisory_xact_lock" in onlooker.execute(WAITS).fetchone()[0]
        told = waiting.communicate(timeout=60)[0]
    assert waiting.returncode == 0, told
    assert "Another program is migrating this database. Waiting until it is done." in told


def test_who_loses_the_database_says_so_and_holds_up_nobody(there):
    with there.connected() as other, there.connected() as onlooker:
        with other.transaction():
            other.execute("LOCK TABLE django_content_type IN ACCESS EXCLUSIVE MODE")
            going = there.started()
            wait_until(lambda: onlooker.execute(WAITS).fetchone() is not None, "It does not wait.")
            onlooker.execute(END)
            told = going.communicate(timeout=60)[0]
        assert going.returncode != 0
        assert "terminating connection due to administrator command" in told
        assert "the connection is closed" not in told
        assert other.execute(HELD).fetchone() == (0,)

"""Everything that touches a database, once more on real PostgreSQL and Redis: `make test-services`.

TEST_DATABASE_URL and TEST_REDIS_URL name servers that are running; the tests make databases of their own in the first and empty the
database number of the second. Without them private servers are started, from the programs that are installed or else from wheels. Bad days
stop and kill servers, and so always start their own.
"""

import contextlib
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.servers import FAST, PostgreSQL, Redis, free_port, programs, running

__all__ = ["free_port", "main", "postgresql", "valkey"]

ROOT = Path(__file__).resolve().parent.parent
# The kernels, the decoder of pictures, settings, the client's modules and the rules of the house have no database; the browser tests look
# at pages, which know of none; test_serve is of the embedded program alone.
WITHOUT = (
    "tests/analysis", "tests/buildings", "tests/client", "tests/house", "tests/browser", "tests/bench", "tests/surveys/test_serve.py",
    "tests/surveys/pictures/test_opening.py", "tests/surveys/pictures/test_refused.py",
    "tests/config/test_server_mode.py", "tests/config/test_inside.py", "tests/config/test_breaches.py", "tests/config/test_servers.py",
    "tests/surveys/test_modules.py",
)  # fmt: skip


def main() -> int:
    """Find or start the servers, run the tests on them, stop what was started; answer pytest's code."""
    # Told to end, it ends what it started.
    signal.signal(signal.SIGTERM, lambda number, frame: sys.exit(128 + number))
    with contextlib.ExitStack() as stack:
        database = stack.enter_context(postgresql())
        broker = stack.enter_context(valkey())
        told = database.rsplit("@", 1)[-1].split("?")[0]
        print(f"PostgreSQL at {told}, Redis at {broker.rsplit('@', 1)[-1]}", flush=True)
        given = {
            **os.environ,
            "DATABASE_URL": database,
            "UNDERCOAT_BROKER": broker,
            "UNDERCOAT_CACHE": broker,
            "UNDERCOAT_TEST_SERVICES": "1",
            "PYTHONDONTWRITEBYTECODE": "",
            # For pg_dump and pg_restore, which must be as new as the server.
            "PATH": f"{programs()}{os.pathsep}{os.environ['PATH']}",
        }
        # Some tests only, where arguments name them.
        named = any((ROOT / word.split("::")[0]).exists() for word in sys.argv[1:])
        what = [] if named else ["tests", *(f"--ignore={folder}" for folder in WITHOUT)]
        # Three on two cores: bad days are mostly waited for.
        command = [sys.executable, "-m", "pytest", "-n", "3", "--dist", "worksteal", "--durations=20", *what, *sys.argv[1:]]
        return subprocess.run(command, cwd=ROOT, env=given, check=False).returncode


@contextlib.contextmanager
def postgresql(settings: str = FAST) -> Iterator[str]:
    """The URL of a PostgreSQL in which databases may be made; one that is started here bears these settings."""
    given = os.environ.get("TEST_DATABASE_URL", "")
    if given:
        yield given
        return
    with tempfile.TemporaryDirectory(prefix="undercoat-postgresql-") as folder:
        server = PostgreSQL(Path(folder), settings)
        with running(server):
            server.create("undercoat")
            yield server.url()


@contextlib.contextmanager
def valkey() -> Iterator[str]:
    """The URL of a Redis, or of its free successor."""
    given = os.environ.get("TEST_REDIS_URL", "")
    if given:
        yield given
        return
    with tempfile.TemporaryDirectory(prefix="undercoat-redis-") as folder:
        server = Redis(Path(folder))
        with running(server):
            yield server.url()


if __name__ == "__main__":
    sys.exit(main())

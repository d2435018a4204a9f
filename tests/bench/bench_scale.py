"""200 projects and 1,000,000 layers, on SQLite or PostgreSQL: every list beside a bare answer, and what many clients at once wait for.

Run: python -m tests.bench.bench_scale sqlite|postgresql [--layers 1000000] [--projects 200] [--rounds 5] [--keep FOLDER]
It makes a database of its own in a temporary folder (2 to 4 GB for a million layers), starts the program as its users do (`manage.py
serve` on SQLite; gunicorn as README has it on PostgreSQL, with Redis), asks on loopback only, and takes all away again. With --keep the
folder stays, and what was made on SQLite is used again, brought to the tables of today. PostgreSQL writes safely here (fsync), unlike in
the tests.
"""

import argparse
import contextlib
import os
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping
from pathlib import Path

from tests import servers, services

ROOT = Path(__file__).resolve().parent.parent.parent
SECONDS = 120


def main() -> None:
    """Make, measure, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("database", choices=("sqlite", "postgresql"))
    parser.add_argument("--layers", type=int, default=1_000_000)
    parser.add_argument("--projects", type=int, default=200)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--keep", type=Path)
    given = parser.parse_args()
    with contextlib.ExitStack() as stack:
        folder = given.keep or Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="undercoat-scale-")))
        folder.mkdir(parents=True, exist_ok=True)
        settings = {"UNDERCOAT_DATA": str(folder), "UNDERCOAT_DISPATCHER": "tests.dispatch.forget", "UNDERCOAT_HOSTS": "127.0.0.1"}
        # A few people ask without a pause, as nobody may.
        settings |= {"UNDERCOAT_READS_A_MINUTE": "0", "UNDERCOAT_HEAVY_READS_A_MINUTE": "0"}
        if given.database == "sqlite":
            settings["DATABASE_URL"] = f"sqlite:///{folder / 'undercoat.sqlite3'}"
        else:
            settings["DATABASE_URL"] = created(stack.enter_context(services.postgresql(servers.SAFE)))
        # What PostgreSQL holds goes with it, whatever lies in the folder.
        done, wanted = folder / "made", f"{given.layers} layers in {given.projects} projects"
        made = given.database == "sqlite" and done.exists()
        if made and done.read_text() not in ("", wanted):
            raise SystemExit(f"{folder} holds {done.read_text()}, and not {wanted}.")
        if made:
            subprocess.run([sys.executable, "manage.py", "migrate"], cwd=ROOT, env={**os.environ, **settings}, check=True)
        else:
            part("making", settings, str(given.layers), str(given.projects))
            if given.database == "sqlite":
                done.write_text(wanted)
        part("lists", settings)
        port = services.free_port()
        with served(given.database, settings, port, folder):
            part("load", settings, str(port), str(given.rounds))


def created(url: str) -> str:
    """The database that a URL names, made if it is not there."""
    import psycopg

    name = url.rsplit("/", 1)[-1].split("?")[0]
    with psycopg.connect(url.replace(f"/{name}", "/postgres"), autocommit=True) as connection:
        there = connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone()
        if not there:
            connection.execute(f'CREATE DATABASE "{name}"')
    return url


def part(name: str, settings: Mapping[str, str], *arguments: str) -> None:
    """One part, as a process of its own."""
    print(f"\n== {name}", flush=True)
    command = [sys.executable, "-m", f"tests.bench.scale.{name}", *arguments]
    subprocess.run(command, cwd=ROOT, env={**os.environ, **settings}, check=True)


@contextlib.contextmanager
def served(database: str, settings: Mapping[str, str], port: int, folder: Path) -> Iterator[None]:
    """The program, answering on a port."""
    with contextlib.ExitStack() as stack:
        if database == "sqlite":
            command, more = [sys.executable, "manage.py", "serve", "--no-demo", "--port", str(port)], {}
        else:
            broker = stack.enter_context(services.valkey())
            more = {
                "UNDERCOAT_MODE": "server", "UNDERCOAT_SECRET_KEY": "measured-" * 8, "UNDERCOAT_SSL_REDIRECT": "false",
                "UNDERCOAT_BROKER": broker, "UNDERCOAT_CACHE": broker,
            }  # fmt: skip
            command = [str(Path(sys.executable).parent / "gunicorn"), "config.wsgi", "--worker-class", "gthread", "--workers", "2"]
            command += ["--threads", "4", "--bind", f"127.0.0.1:{port}"]
        log = stack.enter_context((folder / "server.log").open("w"))
        server = subprocess.Popen(
            command, cwd=ROOT, env={**os.environ, **settings, **more}, stdout=log, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL
        )
        try:
            wait_for(f"http://127.0.0.1:{port}/live", server)
            # The load runs in a process of its own and must name cookies as the server does.
            os.environ.update({name: value for name, value in more.items() if name in ("UNDERCOAT_MODE", "UNDERCOAT_SECRET_KEY")})
            os.environ.update({name: value for name, value in more.items() if name in ("UNDERCOAT_BROKER", "UNDERCOAT_CACHE")})
            yield
        finally:
            server.terminate()
            try:
                server.wait(SECONDS)
            except subprocess.TimeoutExpired:
                server.kill()
                server.wait()


def wait_for(address: str, server: "subprocess.Popen[bytes]") -> None:
    """Until it answers."""
    end = time.monotonic() + SECONDS
    while time.monotonic() < end and server.poll() is None:
        with contextlib.suppress(OSError, urllib.error.URLError):
            urllib.request.urlopen(address, timeout=5).close()
            return
        time.sleep(0.2)
    raise SystemExit(f"{address} does not answer; see server.log.")


if __name__ == "__main__":
    main()

"""One race: start the program, let all edit, restart it now and then, and look at what stands."""

import contextlib
import json
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from tests.programs import ROOT, Program, Served
from tests.race.clients import ROOT as API
from tests.race.clients import Client, Follower, Importer, Line
from tests.race.ledger import AWAY, BROKEN, CLASHED, KEPT, REFUSED, Ledger, check
from tests.servers import SAFE, PostgreSQL, Redis, create, running

EMBEDDED, SERVER = "embedded", "server"
SHOWN: Final = {"layers": "layer", "samples": "sample", "elements": "element", "evidence": "evidence", "interpretations": "interpretation"}
IMPORTERS: Final = 2
# One gentle end, then one as if the power had failed, and so on.
ENDS: Final = (signal.SIGTERM, signal.SIGKILL)


@dataclass
class Outcome:
    """What came of a race."""

    faults: list[str]
    figures: dict[str, Any]


def race(on: str, clients: int, seconds: float, restarts: int, think: float = 0.25) -> Outcome:
    """Race on the embedded program or on a server."""
    with contextlib.ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="undercoat-race-")))
        program = stack.enter_context(_program(on, folder))
        command = [sys.executable, "-m", "tests.race.seed", str(clients + IMPORTERS)]
        done = subprocess.run(command, cwd=ROOT, env=program.environment(), capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        people = json.loads(done.stdout.splitlines()[-1])
        program.start()
        stack.callback(program.stop, signal.SIGKILL)
        program.wait()
        return _run(program, people, clients, seconds, restarts, think)


@contextlib.contextmanager
def _program(on: str, folder: Path, given: dict[str, str] | None = None) -> Iterator[Program]:
    (folder / "data").mkdir()
    if on == EMBEDDED:
        yield Program(folder / "data")
        return
    for name in ("postgresql", "redis"):
        (folder / name).mkdir()
    folder.chmod(0o755)
    database, broker = PostgreSQL(folder / "postgresql", SAFE), Redis(folder / "redis")
    with running(database), running(broker):
        yield Served(folder / "data", create(database.url(), "race"), f"redis://127.0.0.1:{broker.port}")


def _run(program: Program, people: list[dict[str, str]], clients: int, seconds: float, restarts: int, think: float) -> Outcome:
    ledger, stop, over = Ledger(), threading.Event(), threading.Event()
    tokens = [person["token"] for person in people]
    racers: list[Client] = [Client(at, program.port, tokens[at], ledger, stop, think) for at in range(1, clients + 1)]
    racers += [Importer(at, program.port, tokens[at], ledger, stop, think) for at in range(clients + 1, clients + 1 + IMPORTERS)]
    follower = Follower(program.port, tokens[0], over)
    threads = [threading.Thread(target=_guarded, args=(racer, ledger)) for racer in racers]
    reader = threading.Thread(target=follower.run)
    for thread in (reader, *threads):
        thread.start()
    began = time.monotonic()
    for at in range(restarts):
        stop.wait(max(0.0, began + seconds * (at + 1) / (restarts + 1) - time.monotonic()))
        _restart(program, ledger, ENDS[at % 2])
    stop.wait(max(0.0, began + seconds - time.monotonic()))
    stop.set()
    for thread in threads:
        thread.join()
    lasted = time.monotonic() - began
    over.set()
    reader.join()
    line = Line(program.port, tokens[0])
    shown = {kind: _all(line, name) for name, kind in SHOWN.items()}
    faults = check(ledger, _feed(line), follower.lines, shown)
    line.close()
    return Outcome(faults, _figures(ledger, shown, len(follower.lines), lasted))


def _guarded(racer: Client, ledger: Ledger) -> None:
    try:
        racer.run()
    except Exception as error:
        ledger.read_faults.append((0.0, 0.0, f"client {racer.number} broke off: {type(error).__name__}: {error}"))


def _restart(program: Program, ledger: Ledger, end: signal.Signals) -> None:
    """End the whole program and start it again; what is asked meanwhile may go unanswered."""
    started = time.monotonic()
    ledger.restarts.append((started, float("inf")))
    program.stop(end)
    program.start()
    program.wait()
    # A little longer, for what was sent to a connection that was about to be closed.
    ledger.restarts[-1] = (started, time.monotonic() + 1)


def _all(line: Line, collection: str) -> list[dict[str, Any]]:
    rows, cursor = [], ""
    while True:
        _, page, _ = line.ask("GET", f"{API}/{collection}/?page_size=1000{cursor}")
        rows += page["results"]
        if not page.get("next"):
            return rows
        cursor = f"&cursor={page['next']}"


def _feed(line: Line) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    after = 0
    while True:
        _, page, _ = line.ask("GET", f"{API}/changes/?after={after}&limit=1000")
        if not page["changes"]:
            return found
        found += page["changes"]
        after = page["cursor"]


def _figures(ledger: Ledger, shown: dict[str, Any], lines: int, lasted: float) -> dict[str, Any]:
    kept = [write for write in ledger.writes if write.outcome == KEPT and write.kind != "import"]
    calm = [write.seconds for write in kept if not ledger.restarting(write.at, write.seconds)]
    refused = Counter(f"{write.kind}: {write.said[:70]}" for write in ledger.writes if write.outcome == REFUSED)
    return {
        "seconds": round(lasted),
        "acknowledged": ledger.count(KEPT),
        "by kind": dict(Counter(write.kind for write in ledger.writes if write.outcome == KEPT)),
        "clashes": ledger.count(CLASHED),
        "refused": ledger.count(REFUSED),
        "refused as": dict(refused.most_common(8)),
        "503 while restarting": ledger.count(AWAY),
        "unanswered": ledger.count(BROKEN),
        "write p50, p95 ms": [round(1000 * _share(calm, share)) for share in (50, 95)],
        "read p50, p95 ms": [round(1000 * _share(ledger.reads, share)) for share in (50, 95)],
        "restarts, s": [round(end - start - 1, 1) for start, end in ledger.restarts],
        "lines of history": lines,
        "records": sum(map(len, shown.values())),
    }


def _share(found: list[float], share: int) -> float:
    return statistics.quantiles(found, n=100)[share - 1] if len(found) > 1 else 0.0

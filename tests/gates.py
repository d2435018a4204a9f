"""Every gate, the same for a person and for continuous integration: `make test`."""

import os
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests import audit

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent

# What took longest is told, so that whoever makes the gates slower sees it.
ON = ("--dist", "worksteal", "--durations=20", "-n")
GATES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("style", ("ruff", "check", ".")),
    ("format", ("ruff", "format", "--check", ".")),
    ("imports", ("lint-imports",)),
    ("types", ("mypy",)),
    ("settings", ("python", "manage.py", "check", "--fail-level", "ERROR")),
    ("migrations", ("python", "manage.py", "makemigrations", "--check", "--dry-run")),
    ("schema", ("python", "manage.py", "spectacular", "--validate", "--fail-on-warn", "--file", os.devnull)),
    ("audit", ("python", "-m", "tests.audit")),
    ("client", ("python", "-m", "tests.client.run")),
    # Three on two cores: bad days are mostly waited for.
    (
        "tests",
        ("python", "-m", "pytest", *ON, "3", "--doctest-modules", "analysis", "tests", "--ignore=tests/browser"),
    ),
    # By themselves: each of the two starts the program as a person would, with a worker and a browser, and would starve beside others.
    ("browser", ("python", "-m", "pytest", *ON, "3", "tests/browser")),
)
# They only look, each at its own, and none keeps both cores busy.
TOGETHER = ("style", "format", "imports", "types", "settings", "migrations", "schema", "audit", "client")
# A real browser, server and worker on a machine that others load may miss a wait. What fails twice has failed; the log names both runs.
AGAIN = frozenset({"browser"})


PASSED, FAILED, NOT_ASKED = "passed", "FAILED", "COULD NOT BE ASKED"


def main() -> int:
    """Run all gates, even after one has failed, so that everything that is wrong is known at once; answer how many failed."""
    with ThreadPoolExecutor(2) as pool:
        # The longest first.
        order = sorted((gate for gate in GATES if gate[0] in TOGETHER), key=lambda gate: gate[0] != "types")
        came = dict(pool.map(lambda gate: (gate[0], outcome(*gate)), order))
    came |= {name: outcome(name, command, shown=True) for name, command in GATES if name not in TOGETHER}
    failed = [name for name, how in came.items() if how == FAILED]
    print(f"Failed: {', '.join(failed)}" if failed else "All gates passed.")
    not_asked = [name for name, how in came.items() if how == NOT_ASKED]
    if not_asked:
        print(f"Not checked, since it could not be asked: {', '.join(not_asked)}. Run `python -m tests.audit` where there is a connection.")
    return len(failed)


def outcome(name: str, command: tuple[str, ...], *, shown: bool = False) -> str:
    """Run one gate and tell how it came out; what it says is shown as it comes, or else in one piece at its end."""
    started = time.monotonic()
    if shown:
        print(f"== {name}: {' '.join(command)}", flush=True)
    done = _run(command, shown)
    if done.returncode and name in AGAIN:
        print(f"== {name}: what failed is run once more, alone", flush=True)
        done = _run((*command, "--last-failed", "-n", "0"), shown)
    # The advisories are elsewhere. Without them nothing is wrong with the code, and nothing is known either.
    how = NOT_ASKED if name == "audit" and done.returncode == audit.NOT_ASKED else FAILED if done.returncode else PASSED
    told = "" if shown else f"== {name}: {' '.join(command)}\n{done.stdout}"
    print(f"{told}== {name} {how} in {time.monotonic() - started:.0f} s", flush=True)
    return how


def _run(command: tuple[str, ...], shown: bool) -> subprocess.CompletedProcess[str]:
    # Compiled once, whatever the machine is set to: the tests start some five hundred processes.
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": ""}
    given = {} if shown else {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT}
    return subprocess.run([BIN / command[0], *command[1:]], cwd=ROOT, env=environment, check=False, text=True, **given)


if __name__ == "__main__":
    sys.exit(main())

"""Every gate, one after the other, the same for a person and for continuous integration: `make test`."""

import os
import subprocess
import sys
import time
from pathlib import Path

from tests import audit

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent

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
    ("tests", ("python", "-m", "pytest", "-n", "2", "--doctest-modules", "analysis", "tests", "--ignore=tests/browser")),
    # By themselves: they start the program as a person would, with a worker, and would starve beside others.
    ("browser", ("python", "-m", "pytest", "tests/browser")),
)
# A real browser, server and worker on a machine that others load may miss a wait. What fails twice has failed; the log names both runs.
AGAIN = frozenset({"browser"})


def main() -> int:
    """Run all gates, even after one has failed, so that everything that is wrong is known at once; answer how many failed."""
    failed, not_asked = [], []
    for name, command in GATES:
        started = time.monotonic()
        print(f"== {name}: {' '.join(command)}", flush=True)
        code = subprocess.run([BIN / command[0], *command[1:]], cwd=ROOT, check=False).returncode
        if code and name in AGAIN:
            print(f"== {name}: what failed is run once more, alone", flush=True)
            code = subprocess.run([BIN / command[0], *command[1:], "--last-failed"], cwd=ROOT, check=False).returncode
        if name == "audit" and code == audit.NOT_ASKED:
            # The advisories are elsewhere. Without them nothing is wrong with the code, and nothing is known either.
            print(f"== {name} COULD NOT BE ASKED in {time.monotonic() - started:.0f} s", flush=True)
            not_asked.append(name)
            continue
        print(f"== {name} {'passed' if code == 0 else 'FAILED'} in {time.monotonic() - started:.0f} s", flush=True)
        if code:
            failed.append(name)
    print(f"Failed: {', '.join(failed)}" if failed else "All gates passed.")
    if not_asked:
        print(f"Not checked, since it could not be asked: {', '.join(not_asked)}. Run `python -m tests.audit` where there is a connection.")
    return len(failed)


if __name__ == "__main__":
    sys.exit(main())

"""The full race, on both unless one is named: `python -m tests.race [--clients 50] [--seconds 120] [--restarts 2] [--on embedded]`."""

import argparse
import json
import sys

from tests.race.racing import EMBEDDED, SERVER, race


def main() -> int:
    """Race, tell, answer how many faults there were."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--clients", type=int, default=50)
    parser.add_argument("--seconds", type=float, default=120)
    parser.add_argument("--restarts", type=int, default=2)
    parser.add_argument("--think", type=float, default=0.25, help="seconds that a client waits between two edits, on average")
    parser.add_argument("--on", choices=(EMBEDDED, SERVER))
    given = parser.parse_args()
    faults = 0
    for on in [given.on] if given.on else [EMBEDDED, SERVER]:
        outcome = race(on, given.clients, given.seconds, given.restarts, given.think)
        faults += len(outcome.faults)
        print(json.dumps({"on": on, "clients": given.clients, **outcome.figures}, indent=1))
        print("\n".join(outcome.faults[:40]) or "No edit was lost.", flush=True)
    return min(faults, 100)


if __name__ == "__main__":
    sys.exit(main())

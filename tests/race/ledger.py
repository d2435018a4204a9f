"""What was asked for, what was answered, and what must therefore stand in the record."""

import threading
import time
from dataclasses import dataclass, field
from typing import Any

KEPT, CLASHED, REFUSED, AWAY, BROKEN, FAULT = "kept", "clashed", "refused", "away", "broken", "fault"


@dataclass
class Write:
    """One write: how many lines of history must bear its mark if it was done, and of which records at which versions, as answered."""

    kind: str
    mark: str
    lines: int
    outcome: str = BROKEN
    status: int = 0
    seconds: float = 0.0
    at: float = field(default_factory=time.monotonic)
    # (record id, version) as the answer gave them; the version is None where it gave none.
    records: list[tuple[str, int | None]] = field(default_factory=list)
    removed: str = ""
    said: str = ""


class Ledger:
    """All writes of all clients."""

    def __init__(self) -> None:
        self.writes: list[Write] = []
        self.reads: list[float] = []
        # (when, for how many seconds, what was said)
        self.read_faults: list[tuple[float, float, str]] = []
        # When the program was being restarted: (from, to), as time.monotonic tells.
        self.restarts: list[tuple[float, float]] = []
        self._lock = threading.Lock()

    def put(self, write: Write) -> None:
        """Put a write down."""
        with self._lock:
            self.writes.append(write)

    def restarting(self, at: float, lasted: float = 0.0) -> bool:
        """Whether the program was being restarted at some time in between."""
        return any(at <= end and at + lasted >= start for start, end in self.restarts)

    def count(self, outcome: str) -> int:
        """How many writes came out so."""
        return sum(write.outcome == outcome for write in self.writes)


def replay(feed: list[dict[str, Any]]) -> tuple[dict[str, dict[str, Any]], list[str]]:
    """What each record must be by its history, by id, with its type and version; and where the history contradicts itself."""
    standing: dict[str, dict[str, Any]] = {}
    faults = []
    for line in feed:
        record, fields = line["record_id"], line["fields"]
        where = f"line {line['sequence']} ({line['record_type']} {line['record_name']})"
        if line["action"] == "removed":
            if standing.pop(record, None) is None:
                faults.append(f"{where} removes what was not there")
            continue
        if record not in standing:
            standing[record] = {"type": line["record_type"], "version": line["version"], "fields": {}}
        known = standing[record]
        if line["action"] == "changed" and known["fields"]:
            if line["version"] != known["version"] + 1:
                faults.append(f"{where} has version {line['version']} after {known['version']}")
            for name, (before, _) in fields.items():
                if name != "citations" and blank(known["fields"].get(name)) != blank(before):
                    faults.append(f"{where} says that {name} was {before!r}, and it was {known['fields'].get(name)!r}")
        known["version"] = line["version"]
        known["fields"] |= {name: value for name, (_, value) in fields.items()}
    return standing, faults


def blank(value: Any) -> Any:
    """No value is one value, however it is written."""
    return None if value in ("", None, []) else value


def contiguous(feed: list[dict[str, Any]]) -> list[str]:
    """Where the numbers of a feed do not run 1, 2, 3 …"""
    numbers = [line["sequence"] for line in feed]
    found = [f"the feed goes from {one} to {other}" for one, other in zip([0, *numbers], numbers, strict=False) if other != one + 1]
    return found[:5]


def marked(feed: list[dict[str, Any]]) -> dict[str, list[dict[str, Any]]]:
    """The lines of a feed by the marks in them."""
    found: dict[str, list[dict[str, Any]]] = {}
    for line in feed:
        marks = {str(values[1]) for name, values in line["fields"].items() if name in ("notes", "state_reason") and values[1]}
        for mark in marks:
            found.setdefault(mark, []).append(line)
    return found


def check(ledger: Ledger, feed: list[dict[str, Any]], followed: list[dict[str, Any]], shown: dict[str, list[dict[str, Any]]]) -> list[str]:
    """Everything that is wrong, in sentences; nothing, if no edit was lost.

    `feed` is the whole feed at the end, `followed` what a reader got who followed it live, `shown` the records of each type at the end.
    """
    faults = [*contiguous(feed), *(f"live: {one}" for one in contiguous(followed))]
    if followed != feed:
        faults.append(f"who followed live read {len(followed)} lines of {len(feed)}, or others")
    standing, contradictions = replay(feed)
    return [*faults, *contradictions, *_answers(ledger, feed, standing), *_stands(standing, shown), *_holes(shown), *_statuses(ledger)]


def _answers(ledger: Ledger, feed: list[dict[str, Any]], standing: dict[str, dict[str, Any]]) -> list[str]:
    """Acknowledged is in the history, refused is not, unanswered is wholly there or not at all."""
    marks = marked(feed)
    by_version = {(line["record_id"], line["version"]): line for line in feed}
    removed = {line["record_id"] for line in feed if line["action"] == "removed"}
    faults = []
    for write in ledger.writes:
        lines = marks.get(write.mark, [])
        if write.outcome == KEPT:
            if write.removed:
                if write.removed not in removed:
                    faults.append(f"{write.mark} was acknowledged, and what it removed is not noted as removed")
                continue
            if len(lines) != write.lines:
                faults.append(f"{write.mark} was acknowledged, and {len(lines)} of its {write.lines} lines are in the history")
            for record, version in write.records:
                if version is not None and by_version.get((record, version)) not in lines:
                    faults.append(f"{write.mark} was answered with version {version} of {record}, which the history gives to another")
        elif write.outcome == BROKEN:
            if write.removed or not lines:
                continue
            if len(lines) != write.lines or len({line["act"] for line in lines}) != 1:
                faults.append(f"{write.mark} was not answered, and is there by half: {len(lines)} of {write.lines}")
        elif lines:
            faults.append(f"{write.mark} was answered {write.status} ({write.said}), and is in the history")
    return faults


def _stands(standing: dict[str, dict[str, Any]], shown: dict[str, list[dict[str, Any]]]) -> list[str]:
    """The record is what the last lines of its history say."""
    faults = []
    for kind, rows in shown.items():
        expected = {record: known for record, known in standing.items() if known["type"] == kind}
        if expected.keys() != {row["id"] for row in rows}:
            faults.append(f"of {kind} the history has {len(expected)}, the record {len(rows)}, or others")
        for row in rows:
            known = expected.get(row["id"])
            if known is None:
                continue
            if row["version"] != known["version"]:
                faults.append(f"{kind} {row['id']} is at version {row['version']}, by its history at {known['version']}")
            for name, value in known["fields"].items():
                if name in row and name not in ("citations", "author", "state_by", "state_at") and blank(row[name]) != blank(value):
                    faults.append(f"{kind} {row['id']} has {name} {row[name]!r}, and was last given {value!r}")
    return faults


def _holes(shown: dict[str, list[dict[str, Any]]]) -> list[str]:
    """Positions of layers are 1..n."""
    stacks: dict[str, list[int]] = {}
    for row in shown.get("layer", []):
        stacks.setdefault(row["sample"], []).append(row["position"])
    wrong = {sample: sorted(found) for sample, found in stacks.items() if sorted(found) != list(range(1, len(found) + 1))}
    return [f"the layers of sample {sample} have positions {found}" for sample, found in wrong.items()]


def _statuses(ledger: Ledger) -> list[str]:
    """Nothing is answered 5xx but 503 while the program is restarted."""
    faults = [f"{write.mark} was answered {write.status}: {write.said}" for write in ledger.writes if write.outcome == FAULT]
    for write in ledger.writes:
        if write.outcome == AWAY and not ledger.restarting(write.at, write.seconds):
            faults.append(f"{write.mark} was answered 503 while nothing was restarted: {write.said}")
        if write.outcome == BROKEN and not ledger.restarting(write.at, write.seconds):
            faults.append(f"{write.mark} was not answered while nothing was restarted: {write.said}")
    reads = [said for at, lasted, said in ledger.read_faults if not ledger.restarting(at, lasted)]
    return faults + [f"a read failed while nothing was restarted: {said}" for said in reads]

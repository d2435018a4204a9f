"""Those who edit: each a thread with a connection of its own, that tries again what clashed and notes whatever it was answered."""

import http.client
import json
import random
import threading
import time
import uuid
from collections.abc import Callable
from typing import Any, Final

from tests.race.ledger import AWAY, CLASHED, FAULT, KEPT, REFUSED, Ledger, Write

ROOT: Final = "/api/v1/projects/RACE"
SECONDS: Final = 90
TRIES: Final = 3
MOST_LAYERS: Final = 8
NOTED: Final = ("layers", "layers", "layers", "samples", "elements", "evidence")


class Gone(Exception):
    """No answer came. `sent`: whether the request may have arrived."""

    def __init__(self, sent: bool, why: str) -> None:
        super().__init__(why)
        self.sent = sent


class Line:
    """A connection that is opened again when it breaks."""

    def __init__(self, port: int, token: str) -> None:
        self.port, self.token = port, token
        self.connection: http.client.HTTPConnection | None = None

    def ask(self, method: str, path: str, body: Any = None, **headers: str) -> tuple[int, Any, float]:
        """Status, body and seconds; Gone, if no answer comes."""
        sent = False
        started = time.monotonic()
        data = body if isinstance(body, bytes) else None if body is None else json.dumps(body).encode()
        named = {"Authorization": f"Token {self.token}", "Content-Type": "application/json"}
        named |= {name.replace("_", "-"): value for name, value in headers.items()}
        try:
            if self.connection is None:
                self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=SECONDS)
                self.connection.connect()
            sent = True
            self.connection.request(method, path, data, named)
            answer = self.connection.getresponse()
            text = answer.read()
        except (OSError, http.client.HTTPException) as error:
            self.close()
            raise Gone(sent, f"{type(error).__name__}: {error}") from None
        return answer.status, _plain(text), time.monotonic() - started

    def close(self) -> None:
        """Hang up."""
        if self.connection is not None:
            self.connection.close()
            self.connection = None


def _plain(text: bytes) -> Any:
    try:
        return json.loads(text) if text else None
    except ValueError:
        return {"detail": text[:300].decode(errors="replace")}


def outcome_of(status: int) -> str:
    """What a status means for a write."""
    if status < 300:
        return KEPT
    if status == 412:
        return CLASHED
    return AWAY if status == 503 else FAULT if status >= 500 else REFUSED


class Client:
    """One of many who edit: singles, batches, stacks and review states mixed."""

    def __init__(self, number: int, port: int, token: str, ledger: Ledger, stop: threading.Event, think: float) -> None:
        self.number, self.line, self.ledger, self.stop, self.think = number, Line(port, token), ledger, stop, think
        self.chance = random.Random(number)
        self.made = 0
        self.deeds: list[tuple[int, Callable[[], None]]] = [
            (40, self.single), (15, self.batch), (12, self.insert), (12, self.move), (8, self.remove), (13, self.transition),
        ]  # fmt: skip

    def run(self) -> None:
        """Edit until told to stop."""
        deeds, weights = [deed for _, deed in self.deeds], [weight for weight, _ in self.deeds]
        while not self.stop.is_set():
            try:
                self.chance.choices(deeds, weights)[0]()
            except Gone:
                self.stop.wait(0.3)
            self.stop.wait(self.chance.uniform(0, 2 * self.think))
        self.line.close()

    def mark(self, kind: str) -> str:
        """A text that nobody else writes."""
        self.made += 1
        return f"{kind} {self.number}-{self.made}"

    # -- asking ----------------------------------------------------------------------------------------------------------
    def read(self, path: str) -> Any:
        """What is there; Gone while it cannot be had."""
        at = time.monotonic()
        try:
            status, body, seconds = self.line.ask("GET", f"{ROOT}/{path}")
        except Gone as gone:
            if gone.sent:
                self.ledger.read_faults.append((at, time.monotonic() - at, f"GET {path}: {gone}"))
            raise
        if status >= 500:
            self.ledger.read_faults.append((at, seconds, f"GET {path}: {status} {body}"))
            raise Gone(False, "no answer")
        self.ledger.reads.append(seconds)
        return body if status == 200 else None

    def write(self, write: Write, method: str, path: str, body: Any, **headers: str) -> Any:
        """Send a write and put down what became of it. One with a key is sent again until it is answered."""
        for _ in range(200):
            try:
                write.status, told, write.seconds = self.line.ask(method, f"{ROOT}/{path}", body, **headers)
            except Gone as gone:
                write.said, write.seconds = str(gone), time.monotonic() - write.at
                if "Idempotency_Key" in headers:
                    time.sleep(0.3)
                    continue
                if not gone.sent:
                    return None  # it never left: nothing to put down
                break
            write.outcome = outcome_of(write.status)
            write.said = (told or {}).get("detail", "") if write.outcome != KEPT else ""
            if write.outcome == AWAY and "Idempotency_Key" in headers:
                time.sleep(0.3)
                continue
            self.ledger.put(write)
            return told
        self.ledger.put(write)
        return None

    def key(self) -> dict[str, str]:
        """A key for every second POST."""
        return {"Idempotency_Key": str(uuid.uuid4())} if self.chance.random() < 0.5 else {}

    def some(self, collection: str, many: int = 1) -> list[dict[str, Any]]:
        """Records of a collection as they are now."""
        page = self.read(f"{collection}/?page_size=500&fields=id,version" + (",sample,position" if collection == "layers" else ""))
        rows = page["results"] if page else []
        return self.chance.sample(rows, min(many, len(rows)))

    # -- deeds -----------------------------------------------------------------------------------------------------------
    def single(self) -> None:
        """Change one field of one record; who comes too late looks, and tries again."""
        collection = self.chance.choice(NOTED)
        for row in self.some(collection):
            for _ in range(TRIES):
                write = Write("single", self.mark("single"), 1)
                path, tag = f"{collection}/{row['id']}", f'"{row["version"]}"'
                told = self.write(write, "PATCH", path, {"notes": write.mark}, If_Match=tag)
                if write.outcome == KEPT:
                    write.records = [(row["id"], told["version"])]
                if write.outcome != CLASHED or not told.get("current"):
                    return
                row = told["current"]

    def batch(self) -> None:
        """Change several at once."""
        collection = self.chance.choice(("layers", "samples"))
        for _ in range(TRIES):
            rows = self.some(collection, self.chance.randint(2, 8))
            write = Write("batch", self.mark("batch"), len(rows))
            told = [{"op": "change", "id": row["id"], "version": row["version"], "values": {"notes": write.mark}} for row in rows]
            answer = self.write(write, "POST", f"{collection}/batch", {"operations": told}, **self.key())
            if write.outcome == KEPT:
                write.records = [(one["id"], one["version"]) for one in answer["outcomes"]]
            if write.outcome != CLASHED:
                return

    def insert(self) -> None:
        """Put a layer into a stack; one that is high enough is left alone."""
        rows = self.some("layers", 1)
        stack = self.read(f"layers/?sample={rows[0]['sample']}&fields=position&page_size=100") if rows else None
        if not stack or len(stack["results"]) >= MOST_LAYERS:
            return
        write = Write("insert", self.mark("insert"), 1)
        place = self.chance.randint(1, len(stack["results"]) + 1)
        told = {"sample": rows[0]["sample"], "position": place, "kind": "paint", "notes": write.mark}
        answer = self.write(write, "POST", "layers/", told, **self.key())
        if write.outcome == KEPT:
            write.records = [(answer["id"], None)]

    def move(self) -> None:
        """Move a layer in its stack."""
        for row in self.some("layers"):
            write = Write("move", self.mark("move"), 1)
            place = self.chance.randint(1, 4)
            self.write(write, "PATCH", f"layers/{row['id']}", {"position": place, "notes": write.mark}, If_Match=f'"{row["version"]}"')

    def remove(self) -> None:
        """Take a layer out of a stack that has enough."""
        for row in self.some("layers"):
            if row["position"] < 4:
                continue
            write = Write("remove", self.mark("remove"), 0, removed=row["id"])
            self.write(write, "DELETE", f"layers/{row['id']}", None, If_Match=f'"{row["version"]}"')

    def transition(self) -> None:
        """Move an interpretation to another state, if one may."""
        page = self.read("interpretations/?page_size=100&fields=id,version,state")
        if not page:
            return
        row = self.chance.choice(page["results"])
        to = self.chance.choice({"for comment": ("agreed", "disputed")}.get(row["state"], ("for comment", "agreed", "disputed")))
        write = Write("transition", self.mark("transition"), 1)
        told = {"to": to, "reason": write.mark}
        answer = self.write(write, "POST", f"interpretations/{row['id']}/transitions", told, If_Match=f'"{row["version"]}"', **self.key())
        if write.outcome == KEPT:
            write.records = [(row["id"], answer["version"])]


class Importer(Client):
    """One who imports: brings a file, has it checked, has it done, waits for it."""

    ROWS: Final = 2

    def __init__(self, *given: Any) -> None:
        super().__init__(*given)
        self.deeds = [(1, self.bring)]

    def bring(self) -> None:
        """A file with new notes for some samples and a new sample: all or nothing."""
        write = Write("import", self.mark("import"), self.ROWS + 1)
        page = self.read("samples/?page_size=500&fields=number")
        if not page:
            return
        numbers = self.chance.sample([row["number"] for row in page["results"]], self.ROWS)
        rows = [f"{number},,{write.mark}" for number in numbers] + [f"N-{self.number}-{self.made},E-1,{write.mark}"]
        upload = self._bring("\r\n".join(["Sample,Element,Notes", *rows]).encode())
        check = self._job("check-import", {"upload": upload, "sheet": "Samples"})
        if check["state"] != "done":
            raise AssertionError(f"The check of an import ended as {check['state']}: {check['error']}")
        done = self._job("import", {"upload": upload, "sheet": "Samples", "checked": check["id"]})
        write.outcome = KEPT if done["state"] == "done" else REFUSED
        write.seconds, write.said, write.status = time.monotonic() - write.at, done["error"], 200 if done["state"] == "done" else 422
        self.ledger.put(write)

    def _bring(self, content: bytes) -> str:
        edge = uuid.uuid4().hex
        head = f'--{edge}\r\nContent-Disposition: form-data; name="file"; filename="race.csv"\r\nContent-Type: text/csv\r\n\r\n'
        body = head.encode() + content + f"\r\n--{edge}--\r\n".encode()
        told = self._until_answered("POST", "uploads/", body, Content_Type=f"multipart/form-data; boundary={edge}")
        return str(told["id"])

    def _job(self, kind: str, params: dict[str, str]) -> dict[str, Any]:
        """Ask for a job and wait until it has ended, through whatever restarts."""
        job = self._until_answered("POST", "jobs/", {"kind": kind, "params": params})
        end = time.monotonic() + 240
        while job["state"] in ("queued", "running"):
            if time.monotonic() > end:
                raise AssertionError(f"A job did not end: {job}")
            time.sleep(0.3)
            job = self._until_answered("GET", f"jobs/{job['id']}", None)
        return dict(job)

    def _until_answered(self, method: str, path: str, body: Any, **headers: str) -> Any:
        key = {"Idempotency_Key": str(uuid.uuid4())} if method == "POST" else {}
        for _ in range(400):
            at = time.monotonic()
            try:
                status, told, seconds = self.line.ask(method, f"{ROOT}/{path}", body, **key, **headers)
            except Gone:
                time.sleep(0.3)
                continue
            if status < 300:
                return told
            if status < 500:
                raise AssertionError(f"{method} {path} was answered {status}: {told}")
            if status != 503 or not self.ledger.restarting(at, seconds):
                self.ledger.read_faults.append((at, seconds, f"{method} {path}: {status} {told}"))
            time.sleep(0.3)
        raise AssertionError(f"{method} {path} was never answered")


class Follower:
    """Follows the changes feed live, through whatever restarts."""

    def __init__(self, port: int, token: str, stop: threading.Event) -> None:
        self.line, self.stop = Line(port, token), stop
        self.lines: list[dict[str, Any]] = []

    def run(self) -> None:
        """Read on until told to stop and nothing is left."""
        cursor = 0
        while True:
            over = self.stop.is_set()
            try:
                status, page, _ = self.line.ask("GET", f"{ROOT}/changes/?after={cursor}&limit=200")
            except Gone:
                time.sleep(0.1)
                continue
            if status != 200:
                time.sleep(0.1)
                continue
            self.lines += page["changes"]
            cursor = page["cursor"]
            if over and not page["changes"]:
                return
            if not page["more"]:
                self.stop.wait(0.1)

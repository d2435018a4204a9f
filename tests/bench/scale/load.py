"""The requests that the browser client makes most, by 1, 10 and 50 clients at once, against a server that is running.

Run by `tests.bench.bench_scale`: python -m tests.bench.scale.load PORT [rounds]
Each client is a person with a session, who works in one project; a tenth of them in the largest. They ask without a pause, each in an order
of his own, so that '50 clients' is the load of many more people. Times are of the whole answer, seen from the client, which runs beside the
server on the same machine. What is refused is told and not timed; where a client broke off, nothing is told.
"""

import http.client
import json
import os
import random
import statistics
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"

import django

django.setup()

from django.conf import settings
from django.contrib.auth import HASH_SESSION_KEY, SESSION_KEY
from django.db import connection

from surveys.models import Element, Layer, Membership, Person, Project, Sample, SessionStore, Space

CLIENTS = (1, 10, 50)
SECRET = "a" * 32
FIELDS = "id,number,status,examined_visible_on"


@dataclass
class Worker:
    """A person at a screen: session, project, and the records that are open on it."""

    code: str
    cookie: str
    space: str
    sample: str
    layers: list[str]
    versions: dict[str, int]
    sequence: int
    further: str = ""
    times: dict[str, list[float]] = field(default_factory=dict)
    refused: list[str] = field(default_factory=list)
    broken: Exception | None = None

    def requests(self) -> Iterator[tuple[str, str, str, Any, dict[str, str]]]:
        """(name, method, address, body, headers) of each request."""
        here, layer = f"/api/v1/projects/{self.code}", random.choice(self.layers)
        gets = (
            ("who am I", "/api/v1/session"),
            ("my projects", "/api/v1/projects/?page_size=1000"),
            ("news of all projects", "/api/v1/me/news"),
            ("the project", here),
            ("news of the project", f"{here}/news/"),
            ("changes since", f"{here}/changes/?after={self.sequence}&limit=200"),
            ("layers, first 1,000", f"{here}/layers/?page_size=1000"),
            ("layers, next 1,000", f"{here}/layers/?page_size=1000{self.further}"),
            ("layers of a sample", f"{here}/layers/?sample={self.sample}&ordering=position&page_size=1000"),
            ("layers by 18 ids", f"{here}/layers/?id__in={','.join(self.layers)}&page_size=100"),
            ("layers searched", f"{here}/layers/?search=seen&page_size=100"),
            ("samples, first 1,000", f"{here}/samples/?page_size=1000"),
            ("samples of a space", f"{here}/samples/?space={self.space}&fields={FIELDS}&page_size=1000"),
            ("elements, first 1,000", f"{here}/elements/?page_size=1000"),
            ("spaces", f"{here}/spaces/?page_size=1000"),
            ("chart of a space", f"{here}/spaces/{self.space}/chart"),
            ("rulings of a space", f"{here}/rulings/?space={self.space}&ordering=created_at&page_size=1000"),
            ("interpretations, 100", f"{here}/interpretations/?page_size=100&count=true"),
            ("threads by record", f"{here}/comments/threads?about_type=layer"),
            ("coverage", f"{here}/coverage/"),
            ("jobs", f"{here}/jobs/?page_size=50"),
            ("history of a record", f"{here}/history/{layer}?limit=20"),
        )
        for name, address in gets:
            yield name, "GET", address, None, {}
        yield "presence", "POST", f"{here}/presence/", {"where": "layers"}, {}
        note = f"measured {random.random():.6f}"
        yield "change a layer", "PATCH", f"{here}/layers/{layer}", {"notes": note}, {"If-Match": f'"{self.versions[layer]}"'}
        rows = [{"op": "change", "id": pk, "version": self.versions[pk], "values": {"texture": note}} for pk in self.layers]
        yield "batch of 18 layers", "POST", f"{here}/layers/batch", {"operations": rows}, {}

    def work(self, port: int, rounds: int) -> None:
        """Ask everything, that many times over; what goes wrong is kept for who started the thread."""
        try:
            self._ask(port, rounds)
        except Exception as error:
            self.broken = error

    def _ask(self, port: int, rounds: int) -> None:
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=300)
        cookies = f"{settings.SESSION_COOKIE_NAME}={self.cookie}; {settings.CSRF_COOKIE_NAME}={SECRET}"
        names = [name for name, *_ in self.requests()]
        for _ in range(rounds):
            for name in random.sample(names, len(names)):
                method, address, body, more = next(told[1:] for told in self.requests() if told[0] == name)
                headers = {
                    "Cookie": cookies,
                    "X-CSRFToken": SECRET,
                    "Content-Type": "application/json",
                    "Accept": "application/json",
                    **more,
                }
                started = time.perf_counter()
                line.request(method, address, json.dumps(body) if body is not None else None, headers)
                answer = line.getresponse()
                content = answer.read()
                taken = (time.perf_counter() - started) * 1000
                if answer.status >= 400:
                    self.refused.append(f"{name}: {answer.status} {content[:200]!r}")
                    continue
                self.times.setdefault(name, []).append(taken)
                if method == "PATCH":
                    told = json.loads(content)
                    self.versions[told["id"]] = told["version"]
                elif name.startswith("batch"):
                    self.versions |= {one["id"]: one["version"] for one in json.loads(content)["outcomes"]}
        line.close()


def session_of(person: Person) -> str:
    """A session as signing in makes one."""
    store = SessionStore()
    store[SESSION_KEY], store[HASH_SESSION_KEY] = str(person.pk), person.get_session_auth_hash()
    store["_auth_user_backend"] = "django.contrib.auth.backends.ModelBackend"
    store.create()
    assert store.session_key
    return store.session_key


def workers(many: int, *, largest: bool) -> list[Worker]:
    """So many people, each in a project and a sample of his own as far as there are enough."""
    codes = list(Project.objects.order_by("code").values_list("code", flat=True))
    made = []
    for number in range(many):
        large = largest or (many > 1 and number % 10 == 0)
        code = codes[0] if large else codes[-1 - number % max(1, len(codes) - 10)]
        project = Project.objects.get(code=code)
        members = list(Membership.objects.filter(project=project, role="consultant").order_by("person"))
        space = Space.objects.filter(project=project).order_by("sort_key")[number % 5]
        sample = Sample.objects.filter(element__in=Element.objects.filter(space=space)).order_by("number")[number // 10]
        layers = dict(Layer.objects.filter(sample=sample).values_list("pk", "version"))
        made.append(
            Worker(
                code, session_of(members[number % len(members)].person), str(space.pk), str(sample.pk), [str(pk) for pk in layers],
                {str(pk): version for pk, version in layers.items()}, project.change_sequence - 20,
            )
        )  # fmt: skip
    return made


def first_cursors(made: list[Worker], port: int) -> None:
    """Where the second page of each project's layers begins."""
    for one in made:
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=300)
        line.request(
            "GET", f"/api/v1/projects/{one.code}/layers/?page_size=1000", headers={"Cookie": f"{settings.SESSION_COOKIE_NAME}={one.cookie}"}
        )
        answer = line.getresponse()
        told = json.loads(answer.read())
        assert answer.status == 200, told
        one.further = f"&cursor={quote(told['cursor'])}" if told["cursor"] else ""
        line.close()


def measured(many: int, port: int, rounds: int, *, largest: bool = False) -> tuple[dict[str, list[float]], float]:
    """Times by request of so many clients at once, and how many requests a second were answered."""
    made = workers(many, largest=largest)
    first_cursors(made, port)
    connection.close()
    threads = [threading.Thread(target=one.work, args=(port, rounds)) for one in made]
    started = time.monotonic()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    seconds = time.monotonic() - started
    for one in made:
        if one.broken is not None:
            raise SystemExit(f"A client broke off: {one.broken!r}. See server.log.") from one.broken
    refused = [text for one in made for text in one.refused]
    if refused:
        print(f"Of {many} clients {len(refused)} requests were refused, the first: {refused[0]}")
    found: dict[str, list[float]] = {}
    for one in made:
        for name, times in one.times.items():
            found.setdefault(name, []).extend(times)
    return found, sum(map(len, found.values())) / seconds


def cell(times: list[float]) -> str:
    """p50 / p95; the longest of fewer than twenty."""
    if not times:
        return "none"
    p95 = max(times) if len(times) < 20 else statistics.quantiles(times, n=20, method="inclusive")[-1]
    return f"{statistics.median(times):.0f} / {p95:.0f}"


def main(argv: list[str]) -> None:
    """Measure and print a table."""
    port, rounds = int(argv[0]), int(argv[1]) if len(argv) > 1 else 5
    measured(1, port, 1)
    columns = [("1 client", *measured(1, port, rounds * 2)), ("1, largest project", *measured(1, port, rounds, largest=True))]
    columns += [(f"{many} clients", *measured(many, port, max(1, rounds * 3 // many))) for many in CLIENTS[1:]]
    print("| request, p50 / p95 in ms | " + " | ".join(name for name, _, _ in columns) + " |")
    print("| --- |" + " --- |" * len(columns))
    for name in [name for name, *_ in workers(1, largest=True)[0].requests()]:
        print(f"| {name} | " + " | ".join(cell(times.get(name, [])) for _, times, _ in columns) + " |")
    print("| requests answered a second | " + " | ".join(f"{rate:.1f}" for _, _, rate in columns) + " |", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])

"""Every list's page of up to 1,000 rows, beside a bare `.values()` JSON answer of the same rows, in one run.

Run by `tests.bench.bench_scale`: python -m tests.bench.scale.lists
All are asked in this process, turn about, of the largest project. The requirement is that no list is slower than twice a bare `.values()`
answer of the same rows. The bare answer is the query of the list, of the same rows in the same order and with the same columns, names and
counts, dumped as JSON: what it leaves out is all that the interface does besides. A query without the counts is no answer to the same
question; it stands in the table as 'own', for who wants to know what counts and names cost. There are three honest ways to compare:

- raw: the list as it is asked for, through session and rights, beside the bare answer. Signing in and rights take some milliseconds
  however long a list is, so that this says of a list of six rows how long they take, and of a full page how long the list takes.
- net: without what the same list takes with no row in it. Of a list of a few rows it is the difference of two noises.
- door: beside the bare answer given through the same door, that is by a view that asks for session and rights and then answers just that.
  This is what one would have to live with if there were no interface, only `.values()`; where a list is short it is the way that counts.
"""

import os
import statistics
import time
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"

import django

django.setup()

import orjson
from django.conf import settings
from django.db import connection
from django.test import Client

from surveys.api.collections import BY_NAME
from surveys.api.collections.machine import Collection
from surveys.models import Person, Project
from tests.bench.scale import door

TIMES, PAGE, TWICE = 7, 1_000, 2.0
# Beside the first page of each list: what people do with the longest.
MORE: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("layers", "cursor", {}),
    ("layers", "space=101", {"sample__element__space__number": "101"}),
    ("layers", "colour=stone", {"colour": "stone"}),
    ("layers", "kind=primer", {"kind": "primer"}),
    ("layers", "search=seen", {"notes__icontains": "seen"}),
    ("layers", "ordering=-created_at", {}),
    ("layers", "ordering=notes", {}),
    ("layers", "fields=id,version,kind,colour", {}),
    ("layers", "count=true", {}),
    ("samples", "cursor", {}),
    ("samples", "search=S00", {"number__icontains": "S00"}),
)


def own_of(collection: Collection, narrowed: dict[str, Any], asked: str) -> Callable[[Project], bytes]:
    """The rows of a list with no more than their own columns and the names of what they refer to."""
    own = [field.attname for field in collection.model._meta.concrete_fields]
    names = [column.path for column in collection.columns.values() if "__" in column.path and column.path.split("__")[0] + "_id" in own]
    # What the list puts together itself, a bare query cannot order by.
    steps = {field.name for field in collection.model._meta.get_fields()}
    terms = [term for term in order_of(collection, asked) if term.lstrip("-").split("__")[0].removesuffix("_id") in steps]

    def deed(project: Project) -> bytes:
        rows = collection.model._default_manager.filter(project=project, **narrowed).order_by(*terms)
        return orjson.dumps(list(rows.values(*dict.fromkeys([*own, *names]))[:PAGE]), default=str)

    return deed


def bare_of(collection: Collection, narrowed: dict[str, Any], asked: str, fields: str) -> Callable[[Project], bytes]:
    """The rows of a list by its own query, with every column that it asks for."""
    names = fields.split(",") if fields else list(collection.paths)
    columns, terms = dict.fromkeys(collection.paths[name] for name in names), order_of(collection, asked)

    def deed(project: Project) -> bytes:
        rows = collection.query(project).filter(**narrowed).order_by(*terms)
        return orjson.dumps(list(rows.values(*columns)[:PAGE]), default=str)

    return deed


def order_of(collection: Collection, asked: str) -> list[str]:
    """The order of a list as Django takes it: the one asked for, or the list's own."""
    names = asked.split(",") if asked else collection.order
    return [*(f"{'-' * name.startswith('-')}{collection.columns[name.lstrip('-')].path}" for name in names), "pk"]


def turns(*deeds: Callable[[], Any]) -> list[float]:
    """The median times of deeds in milliseconds, done turn about."""
    taken: list[list[float]] = [[] for _ in deeds]
    for _ in range(TIMES):
        for deed, times in zip(deeds, taken, strict=True):
            started = time.perf_counter()
            deed()
            times.append((time.perf_counter() - started) * 1000)
    return [statistics.median(times) for times in taken]


@dataclass(frozen=True)
class Measured:
    """How long a list takes, in milliseconds, and what it is held against."""

    name: str
    rows: int
    queries: int
    listed: float
    none: float
    bare: float
    door: float
    own: float

    def ratios(self) -> dict[str, float]:
        """How many times what it is held against, by the way of comparing."""
        return {"raw": self.listed / self.bare, "net": max(0.0, self.listed - self.none) / self.bare, "door": self.listed / self.door}


def measured(client: Client, project: Project, name: str, more: str, narrowed: dict[str, Any]) -> Measured | None:
    """One list; None where it has no second page to be asked for."""
    collection, here = BY_NAME[name], f"/api/v1/projects/{project.code}/{name}/?page_size={PAGE}"
    given = dict([more.split("=", 1)]) if "=" in more else {}
    address = f"{here}&{more}" if more else here
    if more == "cursor":
        cursor = client.get(here).json()["cursor"]
        if cursor is None:
            return None
        address = f"{here}&cursor={cursor}"
    bare = bare_of(collection, narrowed, given.get("ordering", ""), given.get("fields", ""))
    own = own_of(collection, narrowed, given.get("ordering", ""))
    door.DEEDS["now"] = bare
    asked: list[str] = []
    with connection.execute_wrapper(lambda run, sql, *rest: asked.append(sql) or run(sql, *rest)):
        answer = client.get(address)
    assert answer.status_code == 200, (address, answer.content[:300])
    nothing, through = f"{here}&id={uuid.UUID(int=7)}", f"/bare/{project.code}/now"
    assert client.get(through).status_code == 200, through
    deeds = (lambda: client.get(address), lambda: client.get(nothing), lambda: bare(project), lambda: client.get(through))
    return Measured(f"{name} {more}", len(answer.json()["results"]), len(asked), *turns(*deeds, lambda: own(project)))


def main() -> None:
    """Time and print."""
    settings.ALLOWED_HOSTS = ["testserver"]
    settings.ROOT_URLCONF = "tests.bench.scale.door"
    project = Project.objects.get(code="P000")
    client = Client()
    client.force_login(Person.objects.order_by("username")[0])
    print("list: as asked for; none: the same list without a row; bare: its query as .values(); door: that, through session and rights;")
    print("own: bare without counts and the like. In ms. raw = list / bare, net = (list - none) / bare, door = list / door.")
    print(f"{'list':<40}{'rows':>6}{'queries':>8}{'list':>8}{'none':>8}{'bare':>8}{'door':>8}{'own':>8} |{'raw':>6}{'net':>6}{'door':>6}")
    found = []
    for name, more, narrowed in [*((name, "", {}) for name in BY_NAME if name != "projects"), *MORE]:
        one = measured(client, project, name, more, narrowed)
        if one is None:
            continue
        found.append(one)
        times = "".join(f"{time:>8.1f}" for time in (one.listed, one.none, one.bare, one.door, one.own))
        ratios = "".join(f"{ratio:>6.2f}" for ratio in one.ratios().values())
        print(f"{one.name[:39]:<40}{one.rows:>6}{one.queries:>8}{times} |{ratios}", flush=True)
    for way in ("raw", "net", "door"):
        for which, some in (("full pages", [one for one in found if one.rows == PAGE]), ("all lists", found)):
            if some:
                worst = max(some, key=lambda one: one.ratios()[way])
                ratio = worst.ratios()[way]
                told = f"{ratio:.2f} ({worst.name[:40].strip()}, {worst.rows} rows): {'within' if ratio <= TWICE else 'NOT within'} twice"
                print(f"{way}, worst of {which}: {told}")


if __name__ == "__main__":
    main()

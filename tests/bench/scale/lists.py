"""Every list's page of up to 1,000 rows, beside a bare `.values()` JSON answer of the same rows, in one run.

Run by `tests.bench.bench_scale`: python -m tests.bench.scale.lists
Both are asked in this process, turn about, of the largest project: the list through the whole interface (session, rights, shape), the bare
answer as one query for the records' own columns and the names of what they refer to, in the list's order, dumped as JSON. No counts;
'alike' is beside one with all columns that the list itself asks for in its one query, counts too.
Beside them the same list with no row in it: what signing in, rights and so on take however long a list is. 'net' is without that.
"""

import os
import statistics
import time
import uuid
from collections.abc import Callable
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

TIMES, PAGE = 7, 1_000
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


def bare_of(collection: Collection, project: Project, narrowed: dict[str, Any], ordering: str = "") -> Callable[[], bytes]:
    """The rows of a list as plainly as Django can answer them."""
    own = [field.attname for field in collection.model._meta.concrete_fields]
    names = [column.path for column in collection.columns.values() if "__" in column.path and column.path.split("__")[0] + "_id" in own]
    asked = [ordering] if ordering else list(collection.order)
    order = [collection.columns[name.lstrip("-")].path for name in asked]
    signs = ["-" if name.startswith("-") else "" for name in asked]
    # What the list puts together itself, a bare query cannot order by.
    own_steps = {field.name for field in collection.model._meta.get_fields()}
    terms = [sign + path for sign, path in zip(signs, order, strict=True) if path.split("__")[0].removesuffix("_id") in own_steps]
    rows = collection.model._default_manager.filter(project=project, **narrowed).order_by(*terms, "pk")
    return lambda: orjson.dumps(list(rows.values(*dict.fromkeys([*own, *names]))[:PAGE]), default=str)


def alike_of(collection: Collection, project: Project, narrowed: dict[str, Any]) -> Callable[[], bytes]:
    """The same, with every column that the list asks for."""
    terms = [f"{'-' * name.startswith('-')}{collection.columns[name.lstrip('-')].path}" for name in collection.order]
    rows = collection.query(project).filter(**narrowed).order_by(*terms, "pk")
    return lambda: orjson.dumps(list(rows.values(*dict.fromkeys(collection.paths.values()))[:PAGE]), default=str)


def turns(*deeds: Callable[[], Any]) -> list[float]:
    """The median times of deeds in milliseconds, done turn about."""
    taken: list[list[float]] = [[] for _ in deeds]
    for _ in range(TIMES):
        for deed, times in zip(deeds, taken, strict=True):
            started = time.perf_counter()
            deed()
            times.append((time.perf_counter() - started) * 1000)
    return [statistics.median(times) for times in taken]


def main() -> None:
    """Time and print."""
    settings.ALLOWED_HOSTS = ["testserver"]
    project = Project.objects.get(code="P000")
    client = Client()
    client.force_login(Person.objects.order_by("username")[0])
    worst = 0.0
    print(f"{'list':<44}{'rows':>6}{'queries':>8}{'list ms':>9}{'none ms':>9}{'bare ms':>9}{'times':>7}{'net':>7}{'alike':>7}")
    for name, more, narrowed in [*((name, "", {}) for name in BY_NAME if name != "projects"), *MORE]:
        collection, here = BY_NAME[name], f"/api/v1/projects/{project.code}/{name}/?page_size={PAGE}"
        bare = bare_of(collection, project, narrowed, more.removeprefix("ordering=") if more.startswith("ordering=") else "")
        if more == "cursor":
            more = f"cursor={client.get(here).json()['cursor']}"
            if more.endswith("None"):
                continue
        address = f"{here}&{more}" if more else here
        asked = []
        with connection.execute_wrapper(lambda run, sql, *rest, asked=asked: asked.append(sql) or run(sql, *rest)):
            answer = client.get(address)
        assert answer.status_code == 200, (address, answer.content[:300])
        rows = len(answer.json()["results"])
        nothing = f"{here}&id={uuid.UUID(int=7)}"
        asks = (lambda address=address: client.get(address), lambda nothing=nothing: client.get(nothing))
        listed, none, plainly, alike = turns(*asks, bare, alike_of(collection, project, narrowed))
        ratio, net = listed / plainly, max(0.0, listed - none) / plainly
        worst = max(worst, ratio) if rows == PAGE else worst
        told = f"{f'{name} {more[:34]}':<44}{rows:>6}{len(asked):>8}"
        print(f"{told}{listed:>9.1f}{none:>9.1f}{plainly:>9.1f}{ratio:>7.2f}{net:>7.2f}{listed / alike:>7.2f}", flush=True)
    print(f"worst of the full pages: {worst:.2f} times the bare answer")


if __name__ == "__main__":
    main()

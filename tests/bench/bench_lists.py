"""Time of list pages at 100,000 layers, beside a bare `.values()` JSON answer of the same rows, in one run.

Run: python -m tests.bench.bench_lists [layers]
It makes a database of its own in a temporary folder.
"""

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable

os.environ["UNDERCOAT_DATA"] = tempfile.mkdtemp(prefix="undercoat-bench-")
os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
os.environ["UNDERCOAT_DISPATCHER"] = "tests.dispatch.forget"
# One person asks without a pause, as nobody may.
os.environ["UNDERCOAT_READS_A_MINUTE"] = os.environ["UNDERCOAT_HEAVY_READS_A_MINUTE"] = "0"

import django

django.setup()

import orjson
from django.conf import settings
from django.core.management import call_command
from django.test import Client

from surveys import records
from surveys.models import Element, Layer, Person, Project, Sample, Space

LAYERS_A_SAMPLE = 20
PAGE = 1_000


def fill(layers: int) -> tuple[Person, Project]:
    """A project of 50 spaces with that many layers."""
    person = Person.objects.create_user(username="bench", password="not-a-real-secret", name="Bench")
    project = records.create_project(person, {"code": "BENCH", "name": "Bench"})
    with records.writing(person, project) as pen:
        project = pen.project
        spaces = [Space(project=project, number=str(100 + n)) for n in range(50)]
        pen.create(spaces)
        elements = [Element(project=project, code=f"{space}-{n}", space=space, element_class="wall") for space in spaces for n in range(10)]
        pen.create(elements)
        count = layers // LAYERS_A_SAMPLE
        samples = [Sample(project=project, number=f"S{n:06}", element=elements[n % len(elements)]) for n in range(count)]
        pen.create(samples)
        pen.create(
            [
                Layer(project=project, sample=sample, position=n, kind="paint", colour="stone", munsell="10YR 7/3", notes=f"layer {n}")
                for sample in samples
                for n in range(1, LAYERS_A_SAMPLE + 1)
            ]
        )
    return person, project


def median_ms(deed: Callable[[], object], times: int = 7) -> float:
    """The median time of a deed in milliseconds of processor time."""
    taken = []
    for _ in range(times):
        started = time.process_time()
        deed()
        taken.append((time.process_time() - started) * 1000)
    return statistics.median(taken)


def main() -> None:
    """Make the database, time, and print."""
    layers = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    settings.ALLOWED_HOSTS = ["testserver"]
    call_command("migrate", verbosity=0)
    started = time.monotonic()
    person, project = fill(layers)
    print(f"{layers:,} layers with their history written in {time.monotonic() - started:.0f} s")
    client = Client()
    client.force_login(person)
    here = f"/api/v1/projects/{project.code}/layers/?page_size={PAGE}"
    fields = [field.attname for field in Layer._meta.concrete_fields]

    def bare(**chosen: object) -> bytes:
        rows = Layer.objects.filter(project=project, **chosen).order_by("created_at", "pk")
        return orjson.dumps(list(rows.values(*fields, "sample__number", "generation__ordinal")[:PAGE]), default=str)

    def page(address: str) -> None:
        answer = client.get(address)
        assert answer.status_code == 200, answer.content
        assert len(answer.json()["results"]) == PAGE

    yardstick = median_ms(bare)
    print(f"bare .values() of {PAGE:,} rows as JSON: {yardstick:.0f} ms")
    for what, more in (
        ("page", ""),
        ("page, four fields", "&fields=id,version,kind,colour"),
        ("page of one space", "&space=101"),
        ("page by colour", "&colour=stone"),
        ("page, searched", "&search=layer"),
        ("page, ordered by notes", "&ordering=-notes"),
    ):
        taken = median_ms(lambda more=more: page(here + more))
        print(f"{what:<26} {taken:6.0f} ms, {taken / yardstick:.1f} times the bare answer")


if __name__ == "__main__":
    main()

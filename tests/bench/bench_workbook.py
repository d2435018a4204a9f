"""How long a workbook of many layers takes in and out, and how much memory, beside the bare libraries in the same run.

Run as ``python -m tests.bench.bench_workbook [layers]``. Each part runs in a process of its own, so that peak memory is its own; that of
the reading process it starts is told beside it. The building is invented: spaces of 20 samples of 20 layers.
"""

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

LAYERS = 50_000
PER_SAMPLE, PER_SPACE = 20, 20
KINDS = ("primer", "paint", "paint", "varnish", "undercoat")
CHIPS = ("N 9", "5GY 6/4", "10YR 8/2", "2.5Y 7/4", "5YR 4/4", "7.5R 3/6", "10B 6/4")


def start() -> None:
    """Django, on the data folder that the environment names."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    os.environ.setdefault("UNDERCOAT_DISPATCHER", "tests.dispatch.forget")
    import django

    django.setup()


def layer_rows(count: int) -> Any:
    """Rows of the sheet Layers."""
    for index in range(count):
        sample, position = divmod(index, PER_SAMPLE)
        yield [
            f"S-{sample + 1:05d}", position + 1, KINDS[index % 5], "present", f"colour {index % 37}", CHIPS[index % 7], "exact chip",
            None, None, None, None, "eggshell", "fine, even, brush-marked", "milky white", "weak", "lead white (seen); chalk (seen)", "oil",
            "TTC 4 %: negative", 20 + index % 60 / 4, "sharp", None, f"note {index} on what was seen in the cross-section",
        ]  # fmt: skip


def make(path: Path, count: int) -> None:
    """The workbook to import, made with the bare library."""
    from openpyxl import Workbook

    start()
    from surveys.workbooks import layout

    samples = -(-count // PER_SAMPLE)
    spaces = -(-samples // PER_SPACE)
    rows = {
        "Spaces": [[f"{100 + n}", f"Room {n}", "Ground floor", "room", None] for n in range(spaces)],
        "Elements": [[f"E-{n:05d}", f"{100 + n // PER_SPACE}", "wall", "north", "plaster", None, None] for n in range(samples)],
        "Samples": [[f"S-{n + 1:05d}", f"E-{n:05d}", "field", "1", *[None] * 15] for n in range(samples)],
        "Layers": layer_rows(count),
    }
    book = Workbook(write_only=True)
    for title, some in rows.items():
        sheet = book.create_sheet(title)
        sheet.append([column.header for column in layout.BY_TITLE[title].written])
        for row in some:
            sheet.append(row)
    book.save(path)


def ready() -> tuple[Any, Any]:
    """The person and the project."""
    start()
    from django.core.management import call_command

    from surveys import records
    from surveys.models import Person, Project

    call_command("migrate", verbosity=0)
    person = Person.objects.filter(username="bench").first() or Person.objects.create_user(username="bench", password=None, name="Bench")
    project = Project.objects.filter(code="BENCH").first() or records.create_project(person, {"code": "BENCH", "name": "Bench"})
    return person, project


def timed(deed: Callable[[], Any]) -> dict[str, float]:
    """Seconds by the clock and of the processor, and peak memory, of a deed, of this process and of those that it started."""
    began, used = time.perf_counter(), sum(os.times()[:4])
    deed()
    seconds, processor = time.perf_counter() - began, sum(os.times()[:4]) - used
    peak, inner = (resource.getrusage(who).ru_maxrss / 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return {"seconds": round(seconds, 1), "processor": round(processor, 1), "peak_mib": round(peak), "reader_mib": round(inner)}


def part(name: str, path: Path, count: int) -> dict[str, float]:
    """One measurement."""
    if name == "make":
        return timed(lambda: make(path, count))
    if name == "bare write-only":
        return timed(lambda: bare_write(path.with_suffix(".bare.xlsx"), count))
    person, project = ready()
    from surveys import workbooks

    if name == "check":
        return timed(lambda: workbooks.check(person, project, "bench.xlsx", path.read_bytes()))
    if name == "load":
        return timed(lambda: workbooks.load(person, project, "bench.xlsx", path.read_bytes()))
    if name == "again":

        def again() -> None:
            report = workbooks.check(person, project, "bench.xlsx", path.with_suffix(".out.xlsx").read_bytes())
            assert all(one["created"] == one["changed"] == 0 for one in report["sheets"]), report["sheets"]
            assert report["fault_count"] == 0, report["faults"]

        return timed(again)
    if name == "export":

        def export() -> None:
            with path.with_suffix(".out.xlsx").open("wb") as stream:
                workbooks.registers(person, project, stream)

        return timed(export)
    return timed(lambda: bare_bulk_create(person, project, count))


def bare_write(path: Path, count: int) -> None:
    """The rows of the layers alone, written with the library and nothing else."""
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    sheet = book.create_sheet("Layers")
    for row in layer_rows(count):
        sheet.append(row)
    book.save(path)


def bare_bulk_create(person: Any, project: Any, count: int) -> None:
    """The layers alone, inserted with Django and nothing else: no history, no checks."""
    from django.db import transaction

    from surveys.models import Element, Layer, Sample, Space

    fields = ("kind", "completeness", "colour", "munsell", "munsell_by", "sheen", "texture", "uv_colour", "uv_strength", "pigments",
              "binder", "tests", "thickness_um", "lower_boundary", "notes")  # fmt: skip
    places = (2, 3, 4, 5, 6, 11, 12, 13, 14, 15, 16, 17, 18, 19, 21)
    with transaction.atomic():
        space = Space.objects.create(project=project, number="bare", created_by=person)
        element = Element.objects.create(project=project, code="bare", space=space, element_class="wall", created_by=person)
        samples = [Sample(project=project, number=f"bare-{n}", element=element, created_by=person) for n in range(-(-count // PER_SAMPLE))]
        Sample.objects.bulk_create(samples, batch_size=500)
        layers = [
            Layer(
                project=project,
                sample=samples[index // PER_SAMPLE],
                position=row[1],
                created_by=person,
                **{name: row[at] for name, at in zip(fields, places, strict=True)},
            )
            for index, row in enumerate(layer_rows(count))
        ]
        Layer.objects.bulk_create(layers, batch_size=500)


def main() -> None:
    """All parts, one after the other."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else LAYERS
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "UNDERCOAT_DATA": folder}
        path = Path(folder) / "bench.xlsx"
        sys.stdout.write(f"{count:,} layers\n")
        for name in ("make", "check", "load", "export", "again", "bare write-only", "bare bulk_create"):
            command = [sys.executable, "-m", "tests.bench.bench_workbook", "--part", name, str(path), str(count)]
            told = json.loads(subprocess.run(command, env=environment, check=True, capture_output=True, text=True).stdout.splitlines()[-1])
            size = f", {path.with_suffix('.out.xlsx').stat().st_size / 2**20:.1f} MiB" if name == "export" else ""
            memory = f"peak {told['peak_mib']:5.0f} MiB   reader {told['reader_mib']:5.0f} MiB{size}"
            sys.stdout.write(f"{name:18} {told['seconds']:7.1f} s   processor {told['processor']:6.1f} s   {memory}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    if "--part" in sys.argv:
        at = sys.argv.index("--part")
        sys.stdout.write(json.dumps(part(sys.argv[at + 1], Path(sys.argv[at + 2]), int(sys.argv[at + 3]))) + "\n")
    else:
        main()

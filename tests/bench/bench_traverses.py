"""Time of a list page of 500 lines, each with a reading of 1,500 px, beside a bare `.values()` JSON answer of the same columns, in one run.

Run: python -m tests.bench.bench_traverses sqlite|postgresql
It makes a database of its own; 'columns' is a bare answer without what was read, 'same' with the parts of it that the list tells.
"""

import contextlib
import os
import sys
import tempfile

PAGE, LINES_A_SAMPLE = 500, 5


def main() -> None:
    """Make the database, time, and print."""
    from tests.services import postgresql

    with contextlib.ExitStack() as stack:
        os.environ["UNDERCOAT_DATA"] = stack.enter_context(tempfile.TemporaryDirectory(prefix="undercoat-bench-"))
        if sys.argv[1:] == ["postgresql"]:
            os.environ["DATABASE_URL"] = stack.enter_context(postgresql())
        os.environ |= {"DJANGO_SETTINGS_MODULE": "config.settings", "UNDERCOAT_DISPATCHER": "tests.dispatch.forget"}
        os.environ["UNDERCOAT_READS_A_MINUTE"] = os.environ["UNDERCOAT_HEAVY_READS_A_MINUTE"] = "0"
        import django

        django.setup()
        from django.db import connections

        measure()
        connections.close_all()


def a_reading() -> dict:
    """What is kept of a line of 1,500 px across twelve films, read with a UV picture by the kernels."""
    import numpy as np

    from analysis.core.micrographs import Line, Registration, read_line
    from surveys.selectors import proposals

    rng = np.random.default_rng(4)
    films = np.repeat(rng.uniform(40, 230, (14, 3)), 120, axis=0)
    visible = np.clip(films[:, None, :] + rng.normal(0, 4, (1680, 120, 3)), 0, 255).astype(np.uint8)
    uv = np.clip(films[:, None, ::-1] * 0.3 + rng.normal(0, 4, (1680, 120, 3)), 0, 255).astype(np.uint8)
    lies = Registration(((1, 0, 0), (0, 1, 0), (0, 0, 1)), "features", "affine", 9, 0.1, 0.2, None, True, "")
    read = read_line(visible, Line(((60.0, 90.0), (60.0, 1_590.0)), 40.0), None, None, uv, lies)
    return proposals.kept(read, None, {"uv_attachment": 1, "uv_caution": ""})


def measure() -> None:
    """Fill and time."""
    import orjson
    from django.conf import settings
    from django.core.management import call_command
    from django.db import connection
    from django.test import Client

    from surveys import records
    from surveys.api.collections import TRAVERSES
    from surveys.models import Attachment, Element, Person, Sample, Space, Traverse, Upload
    from tests.bench.scale.lists import turns

    settings.ALLOWED_HOSTS = ["testserver"]
    call_command("migrate", verbosity=0)
    person = Person.objects.create_user(username="bench", password="not-a-real-secret", name="Bench")
    project = records.create_project(person, {"code": "BENCH", "name": "Bench"})
    make = lambda model, **values: records.create(person, project, model, values)  # noqa: E731
    door = make(Element, code="D", space=make(Space, number="1").pk, element_class="door leaf")
    samples = [make(Sample, number=f"S{n:03}", element=door.pk) for n in range(PAGE // LINES_A_SAMPLE)]
    upload = Upload.objects.create(project=project, created_by=person, name="a.png", size=1, sha256="0" * 64, file="a.bin")
    same = {"project": project, "created_by": person, "about_type": "sample", "upload": upload, "kind": "visible micrograph"}
    pictures = [Attachment.objects.create(number=n, about_id=one.pk, prepared="ready", **same) for n, one in enumerate(samples, start=1)]
    kept = a_reading()
    rows = [
        Traverse(
            project=project, created_by=person, sample=sample, attachment=picture, number=n, path=[[60, 90], [60, 1590]], width_px=40,
            reading=kept, read_digest="0" * 64,
        )
        for sample, picture in zip(samples, pictures, strict=True)
        for n in range(1, LINES_A_SAMPLE + 1)
    ]  # fmt: skip
    for start in range(0, len(rows), 50):
        Traverse.objects.bulk_create(rows[start : start + 50])
    told = len(orjson.dumps([kept["layers"], kept["told"]]))
    print(f"{connection.vendor}: {len(rows)} lines, each {len(orjson.dumps(kept)):,} bytes of JSON, of which {told:,} are told")
    client = Client()
    client.force_login(person)

    def page(more: str = "") -> None:
        answer = client.get(f"/api/v1/projects/BENCH/traverses/?page_size=1000{more}")
        assert answer.status_code == 200, answer.content

    def bare(*without: str) -> bytes:
        columns = [path for name, path in TRAVERSES.paths.items() if name not in without]
        query = TRAVERSES.query(project).order_by("sample__number", "number", "pk")
        return orjson.dumps(list(query.values(*dict.fromkeys(columns))[:PAGE]), default=str)

    assert len(client.get("/api/v1/projects/BENCH/traverses/?page_size=1000").json()["results"]) == PAGE
    deeds = {
        "page": page,
        "page, four fields": lambda: page("&fields=id,number,state,version"),
        "same": bare,
        "columns": lambda: bare("read"),
    }
    taken = dict(zip(deeds, turns(*deeds.values()), strict=True))
    for name, ms in taken.items():
        print(f"{name:<20}{ms:8.0f} ms, {ms / taken['same']:.2f} times the same columns bare")


if __name__ == "__main__":
    main()

"""An export between whose registers somebody writes. Prints as JSON what its sheets hold. Run by test_one_moment in its own process."""

import io
import json
import os
import threading
from collections.abc import Iterator
from typing import Any

from config.sqlite import use_current_sqlite

os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
use_current_sqlite()

import django  # noqa: E402

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402

from surveys import records  # noqa: E402
from surveys.models import Element, Person, Project, Sample, Space  # noqa: E402
from surveys.workbooks import exporting  # noqa: E402

CODE = f"RACE-{os.getpid()}"


def add(person: Person, project: Project, number: int) -> None:
    """A space with an element and a sample."""
    space = records.create(person, project, Space, {"number": f"{number}"})
    element = records.create(person, project, Element, {"code": f"{number}-BB", "space": space.pk, "element_class": "baseboard"})
    records.create(person, project, Sample, {"number": f"S-{number}", "element": element.pk})


def main() -> None:
    """Prepare, export while somebody writes, print."""
    import python_calamine

    call_command("migrate", verbosity=0)
    person = Person.objects.create(username=f"writer-{CODE}", name="Writer", password="!")
    project = records.create_project(person, {"code": CODE, "name": "Race"})
    add(person, project, 1)
    plain, added = exporting.rows_of, [1]

    def written() -> None:
        added.append(added[-1] + 1)
        add(person, project, added[-1])
        connection.close()

    def rows_of(*given: Any) -> Iterator[list[Any]]:
        yield from plain(*given)
        writer = threading.Thread(target=written)
        writer.start()
        writer.join()

    exporting.rows_of = rows_of  # type: ignore[assignment]
    out = io.BytesIO()
    exporting.registers(person, project, out)
    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(out.getvalue()))
    held = {title: len(book.get_sheet_by_name(title).to_python()) - 1 for title in ("Spaces", "Elements", "Samples")}
    print(json.dumps({"held": held, "written": len(added), "standing": Space.objects.filter(project=project).count()}))


if __name__ == "__main__":
    main()

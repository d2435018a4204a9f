"""Four threads that change one version of one space at once; prints what each was answered. Run by test_records in its own process."""

import os
import threading

from config.sqlite import use_current_sqlite

os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
use_current_sqlite()

import django  # noqa: E402

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402

from surveys import records, tokens  # noqa: E402
from surveys.models import Person, Space  # noqa: E402

MANY = 4


def main() -> None:
    """Prepare, race, print."""
    call_command("migrate", verbosity=0)
    person = Person.objects.create(username="racer", name="Racer", password="!")
    project = records.create_project(person, {"code": "RACE", "name": "Race"})
    space = records.create(person, project, Space, {"number": "1"})
    _, secret = tokens.make(person, "race")
    gate = threading.Barrier(MANY)
    answers: list[int] = []

    def change(number: int) -> None:
        client = Client(raise_request_exception=False, headers={"host": "localhost", "authorization": f"Token {secret}"})
        gate.wait()
        answer = client.patch(
            f"/api/v1/projects/RACE/spaces/{space.pk}",
            {"name": f"name {number}"},
            content_type="application/json",
            headers={"If-Match": '"1"'},
        )
        answers.append(answer.status_code)
        connection.close()

    threads = [threading.Thread(target=change, args=(number,)) for number in range(MANY)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(*sorted(answers), "version", Space.objects.get().version)


if __name__ == "__main__":
    main()

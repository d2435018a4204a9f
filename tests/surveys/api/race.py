"""Four threads that do the same at once: change one version of a space, then make a space with one Idempotency-Key.

Prints what they were answered. Run by test_records in its own process.
"""

import os
import threading
from collections.abc import Callable
from typing import Any

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
    spaces = "/api/v1/projects/RACE/spaces/"

    def change(client: Client, number: int) -> Any:
        return client.patch(f"{spaces}{space.pk}", {"name": f"name {number}"}, content_type="application/json", headers={"If-Match": '"1"'})

    def make(client: Client, number: int) -> Any:
        return client.post(spaces, {"number": "2"}, content_type="application/json", headers={"Idempotency-Key": "one"})

    print(*sorted(answer.status_code for answer in at_once(secret, change)), "version", Space.objects.get().version)
    made = at_once(secret, make)
    replayed = sum("Idempotency-Replayed" in answer.headers for answer in made)
    same = len({answer.content for answer in made}) == 1
    print(*(answer.status_code for answer in made), "replayed", replayed, "same", same, "spaces", Space.objects.count())


def at_once(secret: str, deed: Callable[[Client, int], Any]) -> list[Any]:
    """What each of the threads was answered, all starting together."""
    gate = threading.Barrier(MANY)
    answers: list[Any] = []

    def run(number: int) -> None:
        client = Client(raise_request_exception=False, headers={"host": "localhost", "authorization": f"Token {secret}"})
        gate.wait()
        answers.append(deed(client, number))
        connection.close()

    threads = [threading.Thread(target=run, args=(number,)) for number in range(MANY)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


if __name__ == "__main__":
    main()

"""Four who use one link at once: an invitation, then a link to a new password. Prints what they were answered. Run by test_people."""

import os

from config.sqlite import use_current_sqlite

os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
use_current_sqlite()

import django  # noqa: E402

django.setup()

import threading  # noqa: E402
from typing import Any  # noqa: E402

from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402

from surveys import people, records  # noqa: E402
from surveys.models import Membership, Person  # noqa: E402

MANY = 4


def main() -> None:
    """Prepare, race, print."""
    call_command("migrate", verbosity=0)
    maker = Person.objects.create(username="racer", name="Racer", password="!")
    project = records.create_project(maker, {"code": "RACE", "name": "Race"})
    _, secret = records.invite(maker, project, {"name": "Gast", "role": "owner", "discipline": "ownership"})
    account = {"name": "Gast", "password": "seventeen grey herons"}
    answers = at_once("invitations/accept", [{"secret": secret, "username": f"guest-{number}", **account} for number in range(MANY)])
    print(*answers, "members", Membership.objects.count(), "accounts", Person.objects.count())
    link = people.reset_secret(maker)
    words = [f"seventeen grey herons {number}" for number in range(MANY)]
    print(*at_once("password-resets/use", [{"secret": link, "password": word} for word in words]))


def at_once(path: str, bodies: list[dict[str, str]]) -> list[int]:
    """What each was answered, all starting together; sorted."""
    gate = threading.Barrier(len(bodies))
    answers: list[int] = []

    def run(body: Any) -> None:
        client = Client(raise_request_exception=False, headers={"host": "localhost"})
        gate.wait()
        answers.append(client.post(f"/api/v1/{path}", body, content_type="application/json").status_code)
        connection.close()

    threads = [threading.Thread(target=run, args=(body,)) for body in bodies]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(answers)


if __name__ == "__main__":
    main()

"""Four people who move one version of an interpretation at once, two of them to 'agreed', two to 'disputed'.

Prints as JSON what they were answered, and how often it moved. Run by test_interface in its own process.
"""

import json
import os
import threading
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
from surveys.models import Change, Evidence, Interpretation, Person, Project, Space  # noqa: E402

PEOPLE = ("race-one", "race-two", "race-three", "race-four")
CODE = f"RACE-{os.getpid()}"


def main() -> None:
    """Prepare, race, print."""
    call_command("migrate", verbosity=0)
    author, *others = (Person.objects.create(username=f"{name}-{CODE}", name=name, password="!") for name in ("author", *PEOPLE))
    project = records.create_project(author, {"code": CODE, "name": "Race"})
    for one in others:
        records.add_member(author, project, one.username, "consultant", "archaeology")
    record = written(author, project)
    answers = at_once(record, [tokens.make(one, "race")[1] for one in others])
    record.refresh_from_db()
    moves = Change.objects.filter(record_id=record.pk, action="changed", fields__has_key="state").count() - 1
    current = [answer.json()["current"] for answer in answers if answer.status_code == 412]
    print(json.dumps({"answers": [answer.status_code for answer in answers], "moves": moves, "current": current, "state": record.state}))


def written(author: Person, project: Project) -> Interpretation:
    """An interpretation that is for comment."""
    space = records.create(author, project, Space, {"number": "1"})
    evidence = records.create(author, project, Evidence, {"reference": "E", "statement": "x"})
    told = {"discipline": "archaeology", "subject": "space", "space": str(space.pk), "statement": "x"}
    cites = [{"type": "evidence", "id": str(evidence.pk)}]
    record: Interpretation = records.create(author, project, Interpretation, {**told, "citations": cites})
    return records.transition(author, project, record.pk, record.version, "for comment")


def at_once(record: Interpretation, secrets: list[str]) -> list[Any]:
    """What each was answered, all starting together."""
    gate = threading.Barrier(len(secrets))
    answers: list[Any] = []
    path = f"/api/v1/projects/{CODE}/interpretations/{record.pk}/transitions"

    def run(number: int, secret: str) -> None:
        client = Client(raise_request_exception=False, headers={"host": "localhost", "authorization": f"Token {secret}"})
        body = {"to": "agreed" if number % 2 else "disputed", "reason": "so"}
        gate.wait()
        answers.append(client.post(path, body, content_type="application/json", headers={"If-Match": f'"{record.version}"'}))
        connection.close()

    threads = [threading.Thread(target=run, args=told) for told in enumerate(secrets)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


if __name__ == "__main__":
    main()

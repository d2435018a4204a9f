"""Fill an empty database with the people and the 200 records of the race; print who they are as JSON. Run in the program's surroundings."""

import json
import os
import sys

import django

SPACES, ELEMENTS, SAMPLES, EACH, EVIDENCE, FINDINGS = 4, 16, 30, 4, 20, 10


def main(clients: int) -> None:
    """The database, the people with their tokens, the records."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    from config.sqlite import use_current_sqlite

    use_current_sqlite()
    django.setup()
    from django.core.management import call_command

    from surveys import records, tokens
    from surveys.models import Element, Evidence, Interpretation, Layer, Person, Sample, Space

    call_command("migrate", verbosity=0, interactive=False)
    people = [Person.objects.create(username=f"racer-{at}", name=f"Racer {at}", password="!") for at in range(clients + 1)]
    coordinator = people[0]
    project = records.create_project(coordinator, {"code": "RACE", "name": "Race"})
    for person in people[1:]:
        records.add_member(coordinator, project, person.username, "consultant", "paint conservation")
    spaces = [records.create(coordinator, project, Space, {"number": f"{101 + at}"}) for at in range(SPACES)]
    told = [{"code": f"E-{at}", "space": spaces[at % SPACES].pk, "element_class": "baseboard"} for at in range(ELEMENTS)]
    elements = [records.create(coordinator, project, Element, one) for one in told]
    for at in range(SAMPLES):
        sample = records.create(coordinator, project, Sample, {"number": f"S-{at}", "element": elements[at % ELEMENTS].pk})
        for position in range(1, EACH + 1):
            records.create(coordinator, project, Layer, {"sample": sample.pk, "position": position, "kind": "paint"})
    for at in range(EVIDENCE):
        records.create(coordinator, project, Evidence, {"reference": f"B-{at}", "statement": "A bill."})
    evidence = Evidence.objects.filter(project=project).first()
    assert evidence is not None
    for at in range(FINDINGS):
        cites = [{"type": "evidence", "id": str(evidence.pk)}]
        told = {"discipline": "archaeology", "subject": "space", "space": str(spaces[0].pk), "statement": "So it is.", "citations": cites}
        found = records.create(people[1 + at % clients], project, Interpretation, told)
        records.transition(people[1 + at % clients], project, found.pk, found.version, "for comment")
    print(json.dumps([{"name": person.username, "token": tokens.make(person, "race")[1]} for person in people]))


if __name__ == "__main__":
    main(int(sys.argv[1]))

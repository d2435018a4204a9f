"""The demonstration project: an invented building that goes through the ordinary import, correlation and dating."""

import json
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.conf import settings

from surveys import records, workbooks
from surveys.models import Evidence, Generation, Layer, Person, Project, Space
from surveys.work import correlating, dating, demonstrated, drawn_sections, scheduled, spoken

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "demo"
SIGN_INS = Path(settings.DATA_DIR) / "demonstration.json"


def quiet(done: int, total: int, now: str = "") -> None:
    """Progress that nobody watches."""


def sign_ins() -> list[dict[str, str]]:
    """How the demonstration people sign in; none if it was never loaded here."""
    if not SIGN_INS.exists():
        return []
    found: list[dict[str, str]] = json.loads(SIGN_INS.read_text(encoding="utf-8"))
    return found


def load(say: Callable[[str], None]) -> Project:
    """Load the demonstration into this database; passwords are made anew for every data folder."""
    about = json.loads((FOLDER / "project.json").read_text(encoding="utf-8"))
    say(f"Loading the demonstration project, {about['name']} …")
    people = _people(about["people"])
    first, *others = about["people"]
    coordinator = people[first["username"]]
    project = records.create_project(coordinator, {name: value for name, value in about.items() if name != "people"})
    for one in others:
        records.add_member(coordinator, project, one["username"], one["role"], one["discipline"])
    workbooks.load(coordinator, project, "demo.xlsx", (FOLDER / "demo.xlsx").read_bytes(), None, progress=quiet)
    say("Correlating its layers and deriving its dates …")
    spaces = sorted(Space.objects.filter(project=project), key=lambda space: (space.sort_key, space.number))
    correlating.correlate(coordinator, project, spaces, quiet)
    _settle(coordinator, project, json.loads((FOLDER / "after_correlation.json").read_text(encoding="utf-8")))
    dating.date(coordinator, project, quiet)
    demonstrated.findings(project, people, json.loads((FOLDER / "findings.json").read_text(encoding="utf-8")))
    said = json.loads((FOLDER / "talk.json").read_text(encoding="utf-8"))
    spoken.comments(project, people, said["comments"])
    spoken.asked(project, people, said["questions"])
    drawn_sections.attach(people["conservator"], project, json.loads((FOLDER / "pictures.json").read_text(encoding="utf-8")))
    scheduled.schedules(project, people, json.loads((FOLDER / "schedules.json").read_text(encoding="utf-8")))
    return project


def _people(wanted: list[dict[str, str]]) -> dict[str, Person]:
    people, told = {}, []
    for one in wanted:
        password = secrets.token_urlsafe(12)
        person = Person.objects.filter(username=one["username"]).first() or Person(username=one["username"])
        person.name = one["display_name"]
        person.set_password(password)
        person.save()
        people[one["username"]] = person
        told.append({"username": one["username"], "password": password, "name": person.name, **{k: one[k] for k in ("role", "discipline")}})
    SIGN_INS.touch(mode=0o600)
    SIGN_INS.write_text(json.dumps(told, ensure_ascii=False, indent=1), encoding="utf-8")
    return people


def _settle(actor: Person, project: Project, agreed: dict[str, list[dict[str, Any]]]) -> None:
    """What the team says once it sees the generations: which belong to which phase, which bill means which generation."""

    def generation_of(name: str) -> Generation | None:
        number, _, position = name.rpartition("/")
        return Layer.objects.select_related("generation").get(project=project, sample__number=number, position=position).generation

    phases = {str(phase.ordinal): phase for phase in project.phases.all()}
    chosen = {generation.pk: (generation, phases[one["phase"]]) for one in agreed["phases"] if (generation := generation_of(one["layer"]))}
    changes = [
        records.Operation("change", {"phase": phase.pk}, str(generation.pk), generation.version) for generation, phase in chosen.values()
    ]
    records.batch(actor, project, Generation, changes, reason="Phases agreed by the team.")
    for one in agreed["evidence"]:
        evidence = Evidence.objects.get(project=project, reference=one["evidence"])
        values: dict[str, Any] = {name: one[name] for name in ("relation", "earliest", "latest") if name in one}
        values |= {"bears_on": "generation", "space": None, "element": None, "phase": None}
        found = generation_of(one["layer"])
        if found is not None:
            records.change(actor, project, Evidence, evidence.pk, evidence.version, {**values, "generation": found.pk})

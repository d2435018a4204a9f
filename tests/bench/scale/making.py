"""An invented survey by the million layers, written past the rules: rows go in by the database's quickest way.

Run by `tests.bench.bench_scale` with DATABASE_URL and UNDERCOAT_DATA set: python -m tests.bench.scale.making LAYERS PROJECTS
One project in 200 holds a twentieth of all layers, nine a fiftieth each, the rest share what is left. Every record has its line of
history; two layers in five were changed once more.
"""

import datetime as dt
import os
import random
import sys
import time
import uuid
from collections.abc import Iterable, Iterator
from typing import Any

os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"

import django

django.setup()

import orjson
from django.core.management import call_command
from django.db import connection, transaction

from config.sqlite import take_stock
from surveys.models import (
    Change,
    Citation,
    Comment,
    Element,
    Evidence,
    Generation,
    Interpretation,
    Job,
    Layer,
    Membership,
    Person,
    Phase,
    Project,
    Question,
    Ruling,
    Sample,
    Seen,
    Space,
)

LAYERS_A_SAMPLE, SAMPLES_AN_ELEMENT, ELEMENTS_A_SPACE, GENERATIONS = 18, 1.5, 8, 16
PEOPLE, MEMBERS = 120, 6
SQLITE = connection.vendor == "sqlite"
CLASSES = ("wall", "ceiling", "cornice", "baseboard", "door leaf", "door casing", "window sash", "dado")
COLOURS = (("stone", "10YR 7/3"), ("cream", "5Y 9/2"), ("grey", "N 6"), ("green", "5GY 6/4"), ("brown", "5YR 3/4"), ("white", "N 9"))
START = dt.datetime(2025, 1, 6, 9, tzinfo=dt.UTC)
chance = random.Random(20_261_130)


def new_id() -> uuid.UUID:
    """An id like any other, the same at every run."""
    return uuid.UUID(int=chance.getrandbits(128), version=4)


def sizes(layers: int, projects: int) -> list[int]:
    """How many layers each project holds, the largest first."""
    large = [layers // 20, *([layers // 50] * 9)][:projects]
    rest = max(0, projects - len(large))
    return [*large, *([max(LAYERS_A_SAMPLE, (layers - sum(large)) // rest)] * rest)] if rest else large


class Table:
    """Rows of one model, on their way into the database."""

    def __init__(self, model: Any) -> None:
        self.model = model
        self.fields = [field for field in model._meta.concrete_fields if field.column != "id" or model._meta.pk.name != "id" or "UUID" in
                       type(model._meta.pk).__name__]  # fmt: skip
        self.place = {field.attname: index for index, field in enumerate(self.fields)}
        self.usual = [plain(START if field.get_internal_type() == "DateTimeField" and not field.null else field.get_default())
                      for field in self.fields]  # fmt: skip
        self.rows: list[list[Any]] = []

    def add(self, **values: Any) -> None:
        """One row: the values given, else the fields' own defaults."""
        row = list(self.usual)
        for name, value in values.items():
            row[self.place[name]] = plain(value)
        self.rows.append(row)

    def write(self) -> int:
        """Put the rows in; answer how many."""
        many, columns = len(self.rows), ", ".join(connection.ops.quote_name(field.column) for field in self.fields)
        table = connection.ops.quote_name(self.model._meta.db_table)
        with connection.cursor() as cursor:
            if SQLITE:
                marks = ", ".join(["%s"] * len(self.fields))
                cursor.executemany(f"INSERT INTO {table} ({columns}) VALUES ({marks})", self.rows)
            else:
                with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
                    for row in self.rows:
                        copy.write_row(row)
        self.rows = []
        return many


def plain(value: Any) -> Any:
    """A value as the database takes it."""
    if isinstance(value, dict | list):
        return orjson.dumps(value).decode()
    if SQLITE and isinstance(value, uuid.UUID):
        return value.hex
    if SQLITE and isinstance(value, dt.datetime):
        return str(value.replace(tzinfo=None))
    return value


class Building:
    """One invented project with everything in it."""

    def __init__(self, tables: dict[Any, Table], number: int, layers: int, people: list[int]) -> None:
        self.tables, self.people = tables, people
        self.maker, self.id, self.sequence = people[0], new_id(), 0
        self.code = f"P{number:03}"
        self.wanted = layers
        self.found: list[uuid.UUID] = []

    def record(self, model: Any, called: str, told: dict[str, Any], /, **values: Any) -> uuid.UUID:
        """A record of the project and its first line of history."""
        pk = new_id()
        at = START + dt.timedelta(seconds=self.sequence * 7)
        self.tables[model].add(id=pk, project_id=self.id, created_by_id=self.maker, created_at=at, **values)
        self.line(model, pk, called, "created", {key: [None, value] for key, value in told.items()}, self.sequence // 40)
        return pk

    def line(self, model: Any, pk: uuid.UUID, name: str, action: str, fields: dict[str, Any], act: int) -> None:
        """A line of history."""
        self.sequence += 1
        self.tables[Change].add(
            project_id=self.id, sequence=self.sequence, at=START + dt.timedelta(seconds=self.sequence * 7), action=action, fields=fields,
            actor_id=self.people[self.sequence % len(self.people)], record_type=model._meta.model_name, record_id=pk, record_name=name,
            version=1 if action == "created" else 2, act=uuid.uuid5(self.id, str(act)),
        )  # fmt: skip

    def make(self) -> None:
        """All of it."""
        samples = max(1, self.wanted // LAYERS_A_SAMPLE)
        spaces = max(1, round(samples / SAMPLES_AN_ELEMENT / ELEMENTS_A_SPACE))
        phases = [self.record(Phase, f"phase {n}", {"ordinal": n}, ordinal=n, label=f"Phase {n}") for n in range(1, 9)]
        room = [self._space(number, phases) for number in range(spaces)]
        elements = [
            (*one, self._element(one[0], one[1], place)) for one in room for place in range(ELEMENTS_A_SPACE)
        ]  # (number, space, generations, element)
        for number in range(samples):
            self._sample(number, elements[number % len(elements)])
        for number in range(20):
            self.tables[Job].add(
                id=new_id(), project_id=self.id, created_by_id=self.maker, kind="correlate", params={"space": str(room[0][1])},
                state="done", digest=f"{number:064}", created_at=START + dt.timedelta(days=number), done=1, total=1, result={"spaces": 1},
            )  # fmt: skip
        for place, person in enumerate(self.people):
            role = "coordinator" if place < 2 else ("consultant" if place < len(self.people) - 1 else "owner")
            self.record(Membership, role, {"role": role}, person_id=person, role=role, discipline="paint conservation")
            self.tables[Seen].add(person_id=person, project_id=self.id, sequence=max(0, self.sequence - chance.randrange(300)))
        self.tables[Project].add(
            id=self.id, code=self.code, name=f"Invented building {self.code}", created_by_id=self.maker, created_at=START,
            change_sequence=self.sequence, element_classes=list(CLASSES), first_year=1780, last_year=1960,
        )  # fmt: skip

    def _space(self, number: int, phases: list[uuid.UUID]) -> tuple[str, uuid.UUID, list[uuid.UUID]]:
        name = str(101 + number)
        space = self.record(
            Space, name, {"number": name}, number=name, name=f"Room {name}", kind="room", sort_key=f"{number:08}", correlated_at=START,
            correlated_by="correlation 1.3", correlated_digest="0" * 64,
        )  # fmt: skip
        generations = [
            self.record(
                Generation, f"{name}/{n}", {"ordinal": n}, space_id=space, ordinal=n, phase_id=phases[n // 2 % 8], distinctness=0.8,
                earliest=1780 + 10 * n, latest=1795 + 10 * n,
            )
            for n in range(1, GENERATIONS + 1)
        ]  # fmt: skip
        self.record(
            Evidence, f"D-{name}", {"statement": "x"}, reference=f"D-{name}", discipline="architectural history", kind="document",
            statement=f"Bill of a painter for room {name}.", bears_on="space", space_id=space, relation="made after", earliest=1800,
            certainty="likely",
        )  # fmt: skip
        found = self.record(
            Interpretation, f"interpretation {number + 1}", {"statement": "x"}, number=number + 1, discipline="paint conservation",
            subject="space", space_id=space, statement=f"Room {name} was painted throughout in its third campaign.", state="for comment",
        )  # fmt: skip
        self.record(
            Question, f"question {number + 1}", {"text": "x"}, number=number + 1, about_type="space", about_id=space,
            to_discipline="architectural history", text=f"When was room {name} divided?",
        )  # fmt: skip
        self.found.append(found)
        return name, space, generations

    def _element(self, number: str, space: uuid.UUID, place: int) -> uuid.UUID:
        code = f"{number}-{place}"
        told = {"code": code, "element_class": CLASSES[place]}
        return self.record(Element, code, told, code=code, space_id=space, element_class=CLASSES[place], substrate="plaster")

    def _sample(self, number: int, at: tuple[str, uuid.UUID, list[uuid.UUID], uuid.UUID]) -> None:
        name = f"S{number:05}"
        sample = self.record(
            Sample, name, {"number": name}, number=name, element_id=at[3], location="by the door, 1.2 m", status="examined", mount="M1",
            examined_visible_on=START.date(), taken_on=START.date(), taken_by="A. Painter",
        )  # fmt: skip
        below: uuid.UUID | None = None
        for position in range(1, LAYERS_A_SAMPLE + 1):
            below = self._layer(sample, name, number, position, at[2], below)
        assert below is not None
        if number % 20 == 0:
            self.record(
                Citation, "citation", {}, interpretation_id=self.found[number // 20 % len(self.found)], kind="layer", layer_id=below
            )

    def _layer(self, sample: uuid.UUID, name: str, number: int, position: int, generations: list[uuid.UUID], below: Any) -> uuid.UUID:
        colour, munsell = COLOURS[(number + position) % len(COLOURS)]
        kind = "primer" if position == 1 else "paint"
        told = {"kind": kind, "colour": colour, "munsell": munsell, "position": position, "sample": str(sample)}
        layer = self.record(
            Layer, f"{name}/{position}", told, sample_id=sample, position=position, kind=kind, colour=colour, munsell=munsell,
            munsell_by="exact chip", sheen="matt", lower_boundary="sharp", notes="" if number % 3 else f"seen twice, layer {position}",
            generation_id=generations[min(position, GENERATIONS) - 1], placed_by="computed", confidence=0.55 + position / 50,
            version=2 if number % 5 < 2 else 1,
        )  # fmt: skip
        if number % 5 < 2:
            self.line(Layer, layer, f"{name}/{position}", "changed", {"colour": ["white", colour]}, 10_000_000 + self.sequence)
        if below is not None and position == 5 and number % 6 == 0:
            self.record(Ruling, "bar", {"kind": "bar"}, kind="bar", first_layer_id=below, second_layer_id=layer, reason="A break between.")
        if position == 7 and number % 6 == 1:
            self.record(Comment, "comment", {"text": "x"}, about_type="layer", about_id=layer, text="Is this the same green as below?")
        return layer


def people() -> list[int]:
    """Those who sign in: the first is a member of every project."""
    made = [Person(username=f"p{number:03}", name=f"Person {number}", password="!") for number in range(PEOPLE)]
    Person.objects.bulk_create(made)
    return list(Person.objects.order_by("username").values_list("pk", flat=True))


def make(layers: int, projects: int) -> Iterator[tuple[str, int]]:
    """Write it all; tell how many rows of what."""
    everybody = people()
    order = (Project, Membership, Seen, Phase, Space, Generation, Element, Evidence, Sample, Layer, Ruling, Interpretation, Citation,
             Question, Comment, Job, Change)  # fmt: skip
    tables = {model: Table(model) for model in order}
    counts = dict.fromkeys(order, 0)
    for number, size in enumerate(sizes(layers, projects)):
        members = [everybody[0], *(everybody[1 + (number * 5 + place) % (PEOPLE - 1)] for place in range(MEMBERS - 1))]
        Building(tables, number, size, members).make()
        with transaction.atomic():
            for model in order:
                counts[model] += tables[model].write()
    yield from ((model._meta.model_name, many) for model, many in counts.items())


def main(argv: Iterable[str]) -> None:
    """Make the database and say how large it is."""
    layers, projects = (int(one) for one in argv)
    call_command("migrate", verbosity=0)
    started = time.monotonic()
    counts = list(make(layers, projects))
    print(f"made in {time.monotonic() - started:.0f} s: " + ", ".join(f"{many:,} {name}" for name, many in counts))
    if SQLITE:
        # As the program does at its start.
        take_stock(connection, of_all=True)
    else:
        # What its own housekeeping does within minutes.
        with connection.cursor() as cursor:
            cursor.execute("VACUUM ANALYZE")


if __name__ == "__main__":
    main(sys.argv[1:])

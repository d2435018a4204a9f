"""The pen: the only code that writes a record. Each act holds the project's lock, checks the actor, and leaves its history."""

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from django.db import IntegrityError, models, transaction
from django.utils import timezone

from surveys import access, history, jobs, rules
from surveys.errors import Conflict, Fault, Invalid, NotFound, Stale, VersionMissing
from surveys.models import Change, Layer, Person, Project, Record
from surveys.records.hanging import take_along
from surveys.records.reopening import reopen

BATCH = 500


class Pen:
    """Writes records of one project for one person; made by `writing`."""

    def __init__(self, actor: Person, project: Project, act: history.Act) -> None:
        self.actor = actor
        self.project = project
        self.act = act
        self._at_the_end: dict[Any, Callable[[], None]] = {}

    # -- finding ---------------------------------------------------------------------------------------------------------
    def find(self, model: type[Record], record_id: Any, version: int | None, *, row: int | None = None) -> Any:
        """A record of this project as it is now, if the version named is its present one."""
        record = model._default_manager.filter(project=self.project, pk=record_id).first() if rules.is_id(record_id) else None
        if record is None:
            raise NotFound(f"There is no such {model._meta.verbose_name} in {self.project.code}.")
        if version is None:
            raise VersionMissing("Say which version you changed (If-Match, or 'version' in a batch), so that nobody's work is overwritten.")
        if version != record.version:
            raise Stale(f"{record} was changed meanwhile: it is at version {record.version}, you had {version}.", record, row=row)
        return record

    def resolve(self, model: type[models.Model], rows: Sequence[Mapping[str, Any]]) -> tuple[list[dict[str, Any]], list[Fault]]:
        """Replace ids by records of this project, one query a field; ids of another project are not found."""
        resolved = [dict(row) for row in rows]
        faults: list[Fault] = []
        for field in model._meta.concrete_fields:
            if not field.is_relation or field.name == "project":
                continue
            asked = [row[field.name] for row in resolved if row.get(field.name) is not None]
            ids = {str(value) for value in asked if not isinstance(value, models.Model) and rules.is_id(value)}
            target_model: Any = field.related_model
            found = self._of_project(target_model, ids) if ids else {}
            for place, row in enumerate(resolved):
                value = row.get(field.name)
                if value is None or isinstance(value, models.Model):
                    continue
                target = found.get(str(value).lower())
                if target is None:
                    name = target_model._meta.verbose_name
                    faults.append(Fault(field.name, "not-found", f"There is no such {name} in {self.project.code}.", place))
                row[field.name] = target
        return resolved, faults

    def _of_project(self, model: Any, ids: Iterable[str]) -> dict[str, models.Model]:
        wanted = list(ids)
        found: dict[str, models.Model] = {}
        if model is Person:
            raise AssertionError("a person is found by name, not by id")
        for start in range(0, len(wanted), BATCH):
            part = model._default_manager.filter(project=self.project, pk__in=wanted[start : start + BATCH])
            found |= {str(record.pk): record for record in part}
        return found

    def number(self, records: Sequence[Any]) -> None:
        """Give new records of one kind their numbers, going on from the highest that was ever given: a removed one's is not used again."""
        if not records:
            return
        model = type(records[0])
        highest = model._default_manager.filter(project=self.project).aggregate(highest=models.Max("number"))["highest"] or 0
        made = Change.objects.filter(project=self.project, record_type=model._meta.model_name, action="created").count()
        for number, record in enumerate(records, start=max(highest, made) + 1):
            record.number = number

    # -- writing ---------------------------------------------------------------------------------------------------------
    def create(self, records: Sequence[Any], *, action: str = "created", makers: Mapping[Any, Person] | None = None) -> None:
        """Insert new records, and note each. `makers` says who made those that are brought back."""
        if not records:
            return
        for record in records:
            record.created_by = (makers or {}).get(record.pk, self.actor)
        try:
            type(records[0])._default_manager.bulk_create(records, batch_size=BATCH)
        except IntegrityError as error:
            raise _taken(error, records) from error
        for record in records:
            self.act.created(record, action)

    def change(self, record: Any, values: Mapping[str, Any]) -> dict[str, list[Any]]:
        """Set fields of one record; answer what changed. Nothing changed is nothing written."""
        return self.change_many([(record, values)]).get(record.pk, {})

    def change_many(self, changes: Sequence[tuple[Any, Mapping[str, Any]]]) -> dict[Any, dict[str, list[Any]]]:
        """Set fields of many records of one kind; answer the differences of those that changed, by id."""
        altered: dict[Any, dict[str, list[Any]]] = {}
        records, names = [], set()
        for record, values in changes:
            before = history.snapshot(record)
            for name, value in values.items():
                setattr(record, name, value)
            difference = history.differences(before, history.snapshot(record))
            if not difference:
                continue
            record.version += 1
            altered[record.pk] = difference
            names |= set(difference)
            records.append(record)
            self.act.note("changed", record, difference)
        if records:
            try:
                type(records[0])._default_manager.bulk_update(records, [*sorted(names), "version"], batch_size=BATCH)
            except IntegrityError as error:
                raise _taken(error, records) from error
        return altered

    def move(self, record: Any, guard: Mapping[str, Any], values: Mapping[str, Any]) -> None:
        """Set fields of one record by one UPDATE that holds only while it stands as the guard says; Stale, if it no longer does."""
        before = history.snapshot(record)
        held = {**guard, "version": record.version}
        changed = {**values, "version": record.version + 1}
        if not type(record)._default_manager.filter(pk=record.pk, **held).update(**changed):
            record.refresh_from_db()
            raise Stale(f"{record} was changed meanwhile.", record)
        for name, value in changed.items():
            setattr(record, name, value)
        self.act.note("changed", record, history.differences(before, history.snapshot(record)))

    def touch(self, record: Any, difference: dict[str, list[Any]]) -> None:
        """Count a change of what hangs on a record (its citations) as a change of the record, and note it."""
        type(record)._default_manager.filter(pk=record.pk).update(version=models.F("version") + 1)
        record.version += 1
        self.act.note("changed", record, difference)

    def remove(self, records: Sequence[Any]) -> None:
        """Delete records, after what is said and asked about them, and note all that they held, so that they can be brought back."""
        records = take_along(self, records) if records else ()
        if not records:
            return
        for record in records:
            record.version += 1
            self.act.note("removed", record, {name: [value, None] for name, value in history.snapshot(record).items()})
        model = type(records[0])
        ids = [record.pk for record in records]
        for start in range(0, len(ids), BATCH):
            model._default_manager.filter(pk__in=ids[start : start + BATCH]).delete()

    def shift(self, model: type[models.Model], ids: Sequence[Any], field: str, by: int) -> None:
        """Move numbers out of the way of a unique constraint, within an act that sets them afterwards; no history of its own."""
        for start in range(0, len(ids), BATCH):
            model._default_manager.filter(pk__in=ids[start : start + BATCH]).update(**{field: models.F(field) + by})

    def mark(self, record: models.Model, **values: Any) -> None:
        """Set bookkeeping fields (what was computed from what, and when) that are no part of the record's history."""
        type(record)._default_manager.filter(pk=record.pk).update(**values)
        for name, value in values.items():
            setattr(record, name, value)

    def date(self, records: Sequence[Any], moments: Mapping[Any, dt.datetime]) -> None:
        """Let records that are brought back say when they were first made."""
        for record in records:
            record.created_at = moments.get(record.pk, record.created_at)
        if records:
            type(records[0])._default_manager.bulk_update(records, ["created_at"], batch_size=BATCH)

    def beside(self, model: type[models.Model], gone: Mapping[str, Any], made: Sequence[models.Model]) -> None:
        """Replace rows that only follow from a record (whom a text calls); they have no history of their own."""
        model._default_manager.filter(**gone).delete()
        model._default_manager.bulk_create(made, batch_size=BATCH)

    def want(self, kind: str, params: Mapping[str, Any]) -> None:
        """Ask for a job when the act is committed, as the person whose act it is; the same is asked for once."""
        key = ("job", kind, *sorted(params.items()))
        actor, project = self.actor, self.project
        ask = lambda: jobs.ask(actor, project, kind, params)  # noqa: E731
        self.at_the_end(key, lambda: transaction.on_commit(ask, robust=True))

    def at_the_end(self, key: Any, deed: Callable[[], None]) -> None:
        """Do something once, when all of the act's writes are made."""
        self._at_the_end.setdefault(key, deed)

    def settle(self) -> None:
        """Do what was put off to the end."""
        while self._at_the_end:
            key = next(iter(self._at_the_end))
            self._at_the_end.pop(key)()


@contextmanager
def writing(actor: Person, project: Project, capability: str = access.WRITE, *, reason: str = "") -> Iterator[Pen]:
    """A transaction in which one person writes in one project. All of it happens, or nothing."""
    access.require(actor, project, capability)
    with opened(actor, project, reason=reason) as pen:
        # Asked again under the lock: who was let go while he waited for it writes no more.
        access.require(actor, pen.project, capability)
        yield pen


@contextmanager
def opened(actor: Person, project: Project, *, reason: str = "") -> Iterator[Pen]:
    """The same for who needs no capability, as who comes in by an invitation or leaves; whoever calls it has made sure that he may."""
    with transaction.atomic():
        locked = Project.objects.select_for_update().get(pk=project.pk)
        pen = Pen(actor, locked, history.Act(actor, locked, reason))
        yield pen
        pen.settle()
        reopen(pen)
        pen.act.close()


def refuse(faults: Sequence[Fault], what: str = "") -> None:
    """Raise Invalid if there are faults."""
    if not faults:
        return
    first = faults[0].detail
    more = f" ({len(faults) - 1} more)" if len(faults) > 1 else ""
    raise Invalid(f"{what}{first}{more}", faults=tuple(faults))


def now() -> str:
    """The present moment, as history and JSON fields write it."""
    return timezone.now().isoformat(timespec="seconds")


def _taken(error: IntegrityError, records: Sequence[Any]) -> Conflict | Invalid:
    """A breach of a database constraint, in words: almost always a number that is taken."""
    record = records[0]
    name = rules.NAMES.get(type(record))
    if name and "unique" in str(error).lower():
        return Conflict(
            f"This {record._meta.verbose_name} number is already used in the project.",
            code="taken",
            faults=(Fault(name, "taken", "This is already used in the project. Choose another."),),
        )
    if isinstance(record, Layer):
        return Invalid("These layers break a rule of the record (a position twice, or a value out of its range).")
    return Conflict(f"This clashes with another {record._meta.verbose_name} of the project (each may exist only once).", code="taken")

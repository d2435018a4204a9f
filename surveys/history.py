"""The change history: append-only, written inside the caller's transaction, and read as the changes feed.

The project's row is locked from the start of a write to its commit, and the lines are numbered from a counter in it. So within a project
the numbers run in the order of commits, without gaps, however many write at once, and a reader who has seen number n has
seen all up to n.
"""

import datetime as dt
import uuid
from collections.abc import Iterable, Sequence
from typing import Any

from django.db import models
from django.db.models import QuerySet

from surveys.models import Change, Person, Project

# Not a person's doing, or said elsewhere in the line.
UNTOLD = frozenset(
    [
        "id",
        "project",
        "created_at",
        "created_by",
        "version",
        "change_sequence",
        "dated_digest",
        "dated_at",
        "correlated_digest",
        "correlated_by",
        "correlated_at",
        # Of an issue of a schedule: what it holds never changes, and is large.
        "content",
        "changes",
        "basis",
        "files",
        # Of a picture and of a line on it: made from the file, again whenever it is wanted.
        "shown",
        "reading",
        "read_digest",
        "read_at",
        # Of an invitation: for the one who is invited only.
        "digest",
        "email",
    ]
)
BATCH = 1_000


def plain(value: Any) -> Any:
    """A field's value as JSON can hold it."""
    if isinstance(value, uuid.UUID):
        return str(value)
    if isinstance(value, dt.datetime | dt.date):
        return value.isoformat()
    return value


def snapshot(record: models.Model) -> dict[str, Any]:
    """All told fields of a record, a reference as the id it holds."""
    return {field.name: plain(getattr(record, field.attname)) for field in record._meta.concrete_fields if field.name not in UNTOLD}


def differences(before: dict[str, Any], after: dict[str, Any]) -> dict[str, list[Any]]:
    """What differs between two snapshots, as {field: [from, to]}."""
    return {name: [before[name], value] for name, value in after.items() if before[name] != value}


class Act:
    """One deed of one person in one project: a save, a paste, an import. Its lines are written together when it closes."""

    def __init__(self, actor: Person, project: Project, reason: str = "") -> None:
        self.id = uuid.uuid4()
        self.actor = actor
        self.project = project
        self.reason = reason
        self._lines: list[Change] = []

    def note(self, action: str, record: Any, fields: dict[str, list[Any]]) -> None:
        """Put a line down for one record."""
        self._lines.append(
            Change(
                project=self.project,
                actor=self.actor,
                action=action,
                record_type=record._meta.model_name,
                record_id=record.pk,
                record_name=str(record)[:200],
                version=record.version,
                fields=fields,
                act=self.id,
                reason=self.reason[:400],
            )
        )

    def created(self, record: Any, action: str = "created") -> None:
        """A record was made, or brought back: its fields, from nothing to what they are."""
        self.note(action, record, {name: [None, value] for name, value in snapshot(record).items() if value not in ("", None, [])})

    @property
    def lines(self) -> Sequence[Change]:
        """What was put down so far."""
        return self._lines

    def close(self) -> int:
        """Number the lines and write them; return the last number. Call it once, last, inside the transaction."""
        sequence = self.project.change_sequence
        for line in self._lines:
            sequence += 1
            line.sequence = sequence
        if self._lines:
            Change.objects.bulk_create(self._lines, batch_size=BATCH)
            Project.objects.filter(pk=self.project.pk).update(change_sequence=sequence)
            self.project.change_sequence = sequence
            self._lines = []
        return sequence


def after(project: Project, cursor: int, limit: int) -> QuerySet[Change]:
    """The changes after a cursor, oldest first, at most `limit`."""
    return Change.objects.filter(project=project, sequence__gt=cursor).select_related("actor").order_by("sequence")[:limit]


def of_act(project: Project, act: uuid.UUID | str) -> Iterable[Change]:
    """All lines of one act, in order."""
    return Change.objects.filter(project=project, act=act).order_by("sequence")

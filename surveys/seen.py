"""How far each person has read each project's history: on the screens, and by the daily e-mail."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Q
from django.utils import timezone

from surveys.errors import Fault, Invalid
from surveys.models import Person, Project, Seen


def mark(person: Person, project: Project, sequence: int) -> Seen:
    """A person has seen all up to that change. It never goes back: a window left open does not make old news new."""
    if not 0 <= sequence <= project.change_sequence:
        text = f"The history of {project.code} has no change number {sequence}: the last is {project.change_sequence}."
        raise Invalid(text, faults=(Fault("sequence", "ahead", text),))
    begin([Seen(person=person, project=project)])
    Seen.objects.filter(person=person, project=project, sequence__lte=sequence).update(sequence=sequence, seen_at=timezone.now())
    return Seen.objects.get(person=person, project=project)


def begin(rows: Iterable[Seen]) -> None:
    """Make rows of persons in projects where there are none yet; two that do so at once make one."""
    Seen.objects.bulk_create(rows, ignore_conflicts=True)


@dataclass(frozen=True, slots=True)
class Claim:
    """The right to write one person's e-mail of a day: the row that stands for it, and what it said before."""

    row: int
    at: dt.datetime
    before: dt.datetime | None


def claim(person: Person, due: dt.datetime) -> Claim | None:
    """Take it upon oneself to write to a person whose last e-mail went before a moment; None where somebody else has, or did.

    One conditional UPDATE of the first of the person's rows decides, so that of many workers one writes.
    """
    first = Seen.objects.filter(person=person).order_by("pk").first()
    if first is None:
        return None
    now = timezone.now()
    free = Q(digest_at__isnull=True) | Q(digest_at__lt=due)
    taken = Seen.objects.filter(free, pk=first.pk).update(digest_at=now)
    return Claim(first.pk, now, first.digest_at) if taken else None


def release(claimed: Claim) -> None:
    """The e-mail did not go out: it may be tried again."""
    Seen.objects.filter(pk=claimed.row, digest_at=claimed.at).update(digest_at=claimed.before)


def told(person: Person, upto: Mapping[Any, int]) -> None:
    """The e-mail told of all up to these changes, by project."""
    for project, sequence in upto.items():
        Seen.objects.filter(person=person, project=project, digest_sequence__lt=sequence).update(digest_sequence=sequence)

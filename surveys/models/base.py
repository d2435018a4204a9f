"""What every record has: an id, a project, who made it and when, and a version."""

import uuid
from collections.abc import Iterable

from django.conf import settings
from django.db import models


def choices(words: Iterable[str]) -> list[tuple[str, str]]:
    """A closed list of words as Django choices; the word is its own label."""
    return [(word, word) for word in words]


def one_of(field: str, words: Iterable[str], *, name: str, blank: bool = True) -> models.CheckConstraint:
    """A database constraint that keeps a field to a closed list (and '' = not recorded, where blank)."""
    allowed = [*words, ""] if blank else list(words)
    return models.CheckConstraint(condition=models.Q(**{f"{field}__in": allowed}), name=name)


def word(words: Iterable[str], *, length: int = 40) -> models.CharField:
    """A field of one word from a closed list; '' means not recorded."""
    return models.CharField(max_length=length, choices=choices(words), blank=True, default="")


def text(length: int = 0) -> models.CharField | models.TextField:
    """A field of free text; '' means not recorded."""
    if length:
        return models.CharField(max_length=length, blank=True, default="")
    return models.TextField(blank=True, default="", max_length=20_000)


class Versioned(models.Model):
    """Anything whose changes are counted, so that two people who change it at once are told."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        abstract = True


class Record(Versioned):
    """A record of one project."""

    project = models.ForeignKey("surveys.Project", on_delete=models.PROTECT, related_name="%(class)ss")

    class Meta:
        abstract = True

    @property
    def human_name(self) -> str:
        """What a person calls this record."""
        return str(self)

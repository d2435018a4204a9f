"""Persons, their tokens, and which project they belong to in which role."""

import uuid
from typing import ClassVar

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.db import models

from analysis.core.vocabulary import DISCIPLINES, ROLES
from surveys.models.base import Record, choices, one_of


class Person(AbstractUser):
    """Somebody who signs in. The name is one field: names are not everywhere first and last."""

    first_name = None  # type: ignore[assignment]
    last_name = None  # type: ignore[assignment]
    name = models.CharField(max_length=120)
    # What is new, once a day by e-mail.
    daily_digest = models.BooleanField(default=True)

    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    def __str__(self) -> str:
        return self.name or self.username

    def get_full_name(self) -> str:
        """The person's name, as Django asks for it."""
        return str(self)

    def get_short_name(self) -> str:
        """The person's name, as Django asks for it."""
        return str(self)


class Token(models.Model):
    """A secret by which a script acts as a person. Only its hash is kept; the text is shown once, when it is made."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="tokens")
    label = models.CharField(max_length=80)
    digest = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField(auto_now_add=True)
    last_used_at = models.DateTimeField(null=True)
    revoked_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return self.label


class Membership(Record):
    """A person's place in a project."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=20, choices=choices(ROLES))
    discipline = models.CharField(max_length=40, choices=choices(DISCIPLINES))

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "person"], name="one_membership_a_person"),
            one_of("role", ROLES, name="membership_role_known", blank=False),
            one_of("discipline", DISCIPLINES, name="membership_discipline_known", blank=False),
        ]

    def __str__(self) -> str:
        return f"{self.person} ({self.role})"


class Invitation(Record):
    """A place in a project, offered by a link that works once and expires. Only the hash of its secret is kept."""

    email = models.EmailField(blank=True, default="")
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=20, choices=choices(ROLES))
    discipline = models.CharField(max_length=40, choices=choices(DISCIPLINES))
    digest = models.CharField(max_length=64, unique=True)
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            one_of("role", ROLES, name="invitation_role_known", blank=False),
            one_of("discipline", DISCIPLINES, name="invitation_discipline_known", blank=False),
        ]

    def __str__(self) -> str:
        return f"invitation of {self.name}"


class Seen(models.Model):
    """How far a person has read a project's history: on the screens, and by the daily e-mail."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="seen")
    project = models.ForeignKey("surveys.Project", on_delete=models.CASCADE, related_name="+")
    sequence = models.BigIntegerField(default=0)
    seen_at = models.DateTimeField(null=True)
    digest_sequence = models.BigIntegerField(default=0)
    digest_at = models.DateTimeField(null=True)

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["person", "project"], name="seen_once")]

    def __str__(self) -> str:
        return f"{self.person} in {self.project}: {self.sequence}"


class SavedView(models.Model):
    """How one person likes to see one register of a project: filters, order, columns, grouping, under a name."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    project = models.ForeignKey("surveys.Project", on_delete=models.CASCADE, related_name="+")
    register = models.CharField(max_length=20)
    name = models.CharField(max_length=80)
    arrangement = models.JSONField(default=dict)
    version = models.PositiveIntegerField(default=1)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["person", "project", "register", "name"], name="view_name_once")]

    def __str__(self) -> str:
        return self.name

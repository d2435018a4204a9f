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

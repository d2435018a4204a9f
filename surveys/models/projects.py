"""The project: one structure under study and everybody who studies it."""

from typing import ClassVar

from django.core.validators import RegexValidator
from django.db import models

from analysis.core.vocabulary import ELEMENT_CLASSES
from surveys.models.base import Versioned, text


def usual_element_classes() -> list[str]:
    """The list of element classes that a new project starts with."""
    return list(ELEMENT_CLASSES)


class Project(Versioned):
    """One structure under study."""

    code = models.CharField(
        max_length=20,
        unique=True,
        validators=[RegexValidator(r"^[A-Za-z0-9][A-Za-z0-9_-]*\Z", "A code is made of letters, digits, - and _ only.")],
    )
    name = models.CharField(max_length=200)
    place = text(200)
    summary = text()
    first_year = models.IntegerField(null=True, blank=True)
    last_year = models.IntegerField(null=True, blank=True)
    notes = text()
    element_classes = models.JSONField(default=usual_element_classes)
    # The number of the last change; the row's lock, held from a write's start to its commit, makes the numbers run in commit order.
    change_sequence = models.BigIntegerField(default=0)
    # What the years of the generations were last derived from.
    dated_digest = models.CharField(max_length=64, blank=True, default="")
    dated_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(first_year__isnull=True)
                | models.Q(last_year__isnull=True)
                | models.Q(first_year__lte=models.F("last_year")),
                name="project_years_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.code

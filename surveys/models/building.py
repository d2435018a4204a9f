"""The building as painted: spaces and the elements in them."""

from typing import ClassVar

from django.db import models

from analysis.core.vocabulary import SPACE_KINDS
from surveys.models.base import Record, one_of, text, word


class Space(Record):
    """A numbered room, a passage, or an exterior elevation; the unit in which paint generations are numbered."""

    number = models.CharField(max_length=40)
    name = text(200)
    storey = text(80)
    kind = word(SPACE_KINDS)
    sort_key = text(80)
    notes = text()
    # What the generations of this space were last found from, by which version of the kernel, and when.
    correlated_digest = models.CharField(max_length=64, blank=True, default="")
    correlated_by = models.CharField(max_length=40, blank=True, default="")
    correlated_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "number"], name="space_number_unique"),
            one_of("kind", SPACE_KINDS, name="space_kind_known"),
        ]

    def __str__(self) -> str:
        return self.number


class Element(Record):
    """A building part in a space that was painted as one thing."""

    code = models.CharField(max_length=60)
    space = models.ForeignKey(Space, on_delete=models.PROTECT, related_name="elements")
    element_class = models.CharField(max_length=60)
    position = text(200)
    substrate = text(80)
    description = text()
    notes = text()

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["project", "code"], name="element_code_unique")]
        indexes: ClassVar = [models.Index(fields=["project", "element_class"])]

    def __str__(self) -> str:
        return self.code

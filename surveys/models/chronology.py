"""What was inferred in time: generations, phases, and the evidence that other disciplines bring."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from analysis.core.vocabulary import CERTAINTIES, DISCIPLINES, EVIDENCE_KINDS, RELATIONS
from surveys.models.base import Record, one_of, text, word

BEARS_ON = ("structure", "phase", "space", "element", "generation")


def years_in_order(name: str) -> models.CheckConstraint:
    """A database constraint: the earliest year is not after the latest."""
    return models.CheckConstraint(condition=Q(earliest__isnull=True) | Q(latest__isnull=True) | Q(earliest__lte=F("latest")), name=name)


class Phase(Record):
    """A building-wide period agreed by the team, to which generations of many spaces belong."""

    ordinal = models.PositiveIntegerField()
    label = text(120)
    earliest = models.IntegerField(null=True, blank=True)
    latest = models.IntegerField(null=True, blank=True)
    description = text()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "ordinal"], name="phase_ordinal_unique"),
            models.CheckConstraint(condition=Q(ordinal__gte=1), name="phase_ordinal_from_one"),
            years_in_order("phase_years_in_order"),
        ]

    def __str__(self) -> str:
        return f"phase {self.ordinal}"


class Generation(Record):
    """A campaign as the record knows it: a row of a space's chart, 1 = oldest. Its id survives renumbering."""

    space = models.ForeignKey("surveys.Space", on_delete=models.PROTECT, related_name="generations")
    ordinal = models.PositiveIntegerField()
    label = text(120)
    description = text()
    technique = text(200)
    phase = models.ForeignKey(Phase, null=True, blank=True, on_delete=models.PROTECT, related_name="generations")
    # Numbers that it bore before, newest last: [{"ordinal": 3, "until": "2026-05-14T09:30:00Z"}].
    earlier_ordinals = models.JSONField(default=list, blank=True)
    # Derived: how surely it is another campaign than the one below it; its years, and the records that set each bound.
    distinctness = models.FloatField(null=True, blank=True)
    earliest = models.IntegerField(null=True, blank=True)
    latest = models.IntegerField(null=True, blank=True)
    earliest_by = models.JSONField(default=list, blank=True)
    latest_by = models.JSONField(default=list, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["space", "ordinal"], name="generation_ordinal_unique"),
            models.CheckConstraint(condition=Q(ordinal__gte=1), name="generation_ordinal_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.space.number}/{self.ordinal}"


class Evidence(Record):
    """What another discipline brings, and what it says about the year of something."""

    reference = models.CharField(max_length=60)
    discipline = word(DISCIPLINES)
    kind = word(EVIDENCE_KINDS)
    source = text()
    statement = models.TextField(max_length=20_000)
    bears_on = word(BEARS_ON)
    phase = models.ForeignKey(Phase, null=True, blank=True, on_delete=models.PROTECT, related_name="evidence")
    space = models.ForeignKey("surveys.Space", null=True, blank=True, on_delete=models.PROTECT, related_name="evidence")
    element = models.ForeignKey("surveys.Element", null=True, blank=True, on_delete=models.PROTECT, related_name="evidence")
    generation = models.ForeignKey(Generation, null=True, blank=True, on_delete=models.PROTECT, related_name="evidence")
    relation = word(RELATIONS)
    earliest = models.IntegerField(null=True, blank=True)
    latest = models.IntegerField(null=True, blank=True)
    # The years as they were written ('c.1840'), where that says more than the numbers do.
    years_as_written = text(80)
    certainty = word(CERTAINTIES)
    notes = text()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "reference"], name="evidence_reference_unique"),
            one_of("discipline", DISCIPLINES, name="evidence_discipline_known"),
            one_of("kind", EVIDENCE_KINDS, name="evidence_kind_known"),
            one_of("bears_on", BEARS_ON, name="evidence_bears_on_known"),
            one_of("relation", RELATIONS, name="evidence_relation_known"),
            one_of("certainty", CERTAINTIES, name="evidence_certainty_known"),
            years_in_order("evidence_years_in_order"),
        ]

    def __str__(self) -> str:
        return self.reference

"""What leaves the building for a contractor: finish schedules, what a person adds to their rows, and their frozen issues."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from analysis.core.vocabulary import ISSUE_PURPOSES, REVIEW_STATES
from surveys.models.base import Record, choices, one_of, text


class Schedule(Record):
    """Which finish goes where, for a year or a phase. Its rows are computed from the record; people add to them, and issue it."""

    number = models.PositiveIntegerField()
    title = models.CharField(max_length=200)
    year = models.IntegerField(null=True, blank=True)
    phase = models.ForeignKey("surveys.Phase", null=True, blank=True, on_delete=models.PROTECT, related_name="schedules")
    notes = text()
    state = models.CharField(max_length=20, choices=choices(REVIEW_STATES), default="working")
    state_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    state_at = models.DateTimeField(null=True, blank=True)
    state_reason = text(2_000)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "number"], name="schedule_number_unique"),
            one_of("state", REVIEW_STATES, name="schedule_state_known", blank=False),
            models.CheckConstraint(
                condition=Q(year__isnull=True, phase__isnull=False) | Q(year__isnull=False, phase__isnull=True),
                name="schedule_year_or_phase",
            ),
        ]

    def __str__(self) -> str:
        return f"schedule {self.number}"


class ScheduleRow(Record):
    """What a person adds to a schedule's row of one element: for the contractor, and where needed in place of what was computed."""

    schedule = models.ForeignKey(Schedule, on_delete=models.PROTECT, related_name="rows")
    element = models.ForeignKey("surveys.Element", on_delete=models.PROTECT, related_name="schedule_rows")
    group = text(120)
    quantity = text(80)
    preparation = text(2_000)
    hold_point = text(400)
    remarks = text(2_000)
    # In place of the computed finish; each says so on the row, by whom and why.
    finish = text(400)
    munsell = text(40)
    sheen = text(60)
    override_reason = text(2_000)
    overridden_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["schedule", "element"], name="schedule_row_once"),
            models.CheckConstraint(
                condition=Q(finish="", munsell="", sheen="") | ~Q(override_reason=""), name="schedule_row_override_has_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"row {self.element.code} of schedule {self.schedule.number}"


class ScheduleIssue(Record):
    """A schedule as it went out: frozen, with a revision letter, the files that went out and what it rested on. It never changes."""

    schedule = models.ForeignKey(Schedule, on_delete=models.PROTECT, related_name="issues")
    revision = models.CharField(max_length=4)
    issued_on = models.DateField()
    purpose = models.CharField(max_length=20, choices=choices(ISSUE_PURPOSES))
    note = text(2_000)
    # What the issue says, what changed since the one before, and what it rests on: {"sequence": last change, "rows": {element: [ids]}}.
    content = models.JSONField()
    changes = models.JSONField(default=list)
    basis = models.JSONField(default=dict)
    # [{"name", "content_type", "size", "sha256", "path"}]
    files = models.JSONField(default=list)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["schedule", "revision"], name="schedule_revision_once"),
            one_of("purpose", ISSUE_PURPOSES, name="schedule_issue_purpose_known", blank=False),
        ]

    def __str__(self) -> str:
        return f"schedule {self.schedule.number}, revision {self.revision}"

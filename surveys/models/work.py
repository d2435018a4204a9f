"""Changes, jobs and what they need to be done once and only once."""

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from surveys.models.base import choices

JOB_STATES = ("queued", "running", "done", "failed", "cancelled")
ACTIONS = ("created", "changed", "removed", "restored")


class Change(models.Model):
    """One line of the history: who did what to which record, when, and from what to what. Never altered."""

    id = models.BigAutoField(primary_key=True)
    # Without an index of its own: that of its numbers begins with the project, and every write would keep both.
    project = models.ForeignKey("surveys.Project", on_delete=models.PROTECT, related_name="changes", db_index=False)
    sequence = models.BigIntegerField()
    at = models.DateTimeField(auto_now_add=True)
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    action = models.CharField(max_length=10, choices=choices(ACTIONS))
    record_type = models.CharField(max_length=20)
    record_id = models.UUIDField()
    record_name = models.CharField(max_length=200)
    version = models.PositiveIntegerField()
    # {"colour": ["cream", "stone"]}; for a removed record every field, from its value to null.
    fields = models.JSONField()
    # All lines of one act (a paste, an import, the removal of a sample with its layers) bear one number.
    act = models.UUIDField()
    reason = models.CharField(max_length=400, blank=True, default="")

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["project", "sequence"], name="change_sequence_unique")]
        indexes: ClassVar = [
            models.Index(fields=["record_id", "sequence"]),
            models.Index(fields=["act"]),
            # What was removed is looked up among a hundred times as many lines.
            models.Index(fields=["project", "sequence"], condition=Q(action="removed"), name="change_removed"),
        ]

    def __str__(self) -> str:
        return f"{self.record_type} {self.record_name} {self.action}"


class Upload(models.Model):
    """A file that somebody brought, kept as it came."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    project = models.ForeignKey("surveys.Project", on_delete=models.CASCADE, related_name="uploads")
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=200)
    size = models.PositiveBigIntegerField()
    sha256 = models.CharField(max_length=64)
    file = models.FileField(upload_to="uploads/", max_length=200)

    def __str__(self) -> str:
        return self.name


class Job(models.Model):
    """Long work: what, for whom, how far. This row is the truth; the message broker only rings a bell."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    project = models.ForeignKey("surveys.Project", on_delete=models.CASCADE, related_name="jobs")
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=30)
    params = models.JSONField(default=dict)
    state = models.CharField(max_length=10, choices=choices(JOB_STATES), default="queued")
    # Of the kind, its version, its params and all that it reads: an identical job on unchanged input is found by this.
    digest = models.CharField(max_length=64)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    now = models.CharField(max_length=200, blank=True, default="")
    result = models.JSONField(null=True)
    # [{"name", "content_type", "size", "sha256", "path"}]
    files = models.JSONField(default=list)
    error = models.TextField(blank=True, default="")
    started_at = models.DateTimeField(null=True)
    finished_at = models.DateTimeField(null=True)
    cancel_asked = models.BooleanField(default=False)
    worker = models.CharField(max_length=120, blank=True, default="")
    heartbeat = models.DateTimeField(null=True)
    attempt = models.PositiveIntegerField(default=0)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["project", "digest"], condition=Q(state__in=["queued", "running"]), name="one_open_job_on_an_input"
            ),
            models.CheckConstraint(condition=Q(state__in=JOB_STATES), name="job_state_known"),
        ]
        indexes: ClassVar = [models.Index(fields=["project", "created_at"]), models.Index(fields=["state", "heartbeat"])]

    def __str__(self) -> str:
        return f"{self.kind} {self.state}"


class Answer(models.Model):
    """What a POST with an Idempotency-Key was answered, so that a retry is answered the same and does nothing twice."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=200)
    request_digest = models.CharField(max_length=64)
    created_at = models.DateTimeField(auto_now_add=True)
    status = models.PositiveSmallIntegerField(null=True)
    headers = models.JSONField(default=dict)
    body = models.JSONField(null=True)

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["person", "key"], name="answer_once_a_key")]

    def __str__(self) -> str:
        return self.key

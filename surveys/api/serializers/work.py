"""Files that were brought, and jobs."""

from rest_framework import serializers

from surveys.api.serializers.common import Body
from surveys.api.typed import Anything, Text
from surveys.models import Job, Upload


class UploadShape(serializers.ModelSerializer):
    """A file that was brought."""

    created_by = serializers.CharField(source="created_by.name", read_only=True)

    class Meta:
        model = Upload
        fields = ("id", "created_at", "created_by", "name", "size", "sha256")
        read_only_fields = fields


class UploadRequest(serializers.Serializer):
    """A file."""

    file = serializers.FileField()


class Progress(serializers.Serializer):
    """How far a job is."""

    done = serializers.IntegerField()
    total = serializers.IntegerField()
    now = serializers.CharField(allow_blank=True)


class OutputFile(serializers.Serializer):
    """A file that a job made."""

    name = serializers.CharField()
    size = serializers.IntegerField()
    sha256 = serializers.CharField()
    content_type = serializers.CharField()
    url = serializers.CharField()


class JobShape(serializers.ModelSerializer):
    """A job: what was asked for, how far it is, what came of it."""

    created_by = serializers.CharField(source="created_by.name")
    progress = Progress()
    params = serializers.DictField()
    result = serializers.JSONField()
    files = OutputFile(many=True)

    class Meta:
        model = Job
        fields = (
            "id", "created_at", "created_by", "kind", "params", "state", "progress", "result", "files", "error", "started_at",
            "finished_at", "cancel_asked", "attempt",
        )  # fmt: skip
        read_only_fields = fields


class JobRequest(Body):
    """A kind of job, and its parameters."""

    kind = Text()
    params = Anything(required=False)

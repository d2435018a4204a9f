"""Large files on their way, part by part."""

from typing import IO, Any, Final
from uuid import UUID

from django.conf import settings
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, sendings
from surveys.api import bodies
from surveys.api.problems import Malformed
from surveys.api.serializers import pictures as shapes
from surveys.api.views.base import View
from surveys.errors import TooLarge
from surveys.models import Project, Sending

LONGEST_START: Final = 2**40


class Part(BaseParser):
    """Reads a part of a file as it comes."""

    media_type = "application/octet-stream"

    def parse(self, stream: IO[Any], media_type: str | None = None, parser_context: Any = None) -> Any:
        """The bytes; refused where there are more than a part may have, or fewer than the request announced."""
        limit = settings.PART_BYTES
        content = b""
        # A socket gives what has come.
        while len(content) <= limit and (piece := stream.read(limit + 1 - len(content))):
            content += piece
        if len(content) > limit:
            raise TooLarge(f"A part may have at most {limit // 1024 // 1024} MiB.")
        announced = (parser_context or {})["request"].META.get("CONTENT_LENGTH")
        if announced and len(content) < int(announced):
            raise Malformed("The connection was lost within this part. Send it again.", code="cut-short")
        return content


def _shown(sending: Sending) -> dict[str, Any]:
    names = ("id", "created_at", "name", "size", "sha256", "received")
    upload = sending.upload
    told = ("id", "created_at", "name", "size", "sha256")
    return {
        **{name: getattr(sending, name) for name in names},
        "part_size": settings.PART_BYTES,
        "upload": upload and {**{name: getattr(upload, name) for name in told}, "created_by": upload.created_by.name},
    }


class Sendings(View):
    """Announcing a large file."""

    repeatable = ("POST",)
    sends = {"POST": shapes.SendingRequest}
    answers = {"POST": {201: shapes.SendingShape}}

    def post(self, request: Request, code: str) -> Response:
        """Announce a file, which then comes in parts."""
        return self.once(request, request.data, lambda: self._begin(request, code))

    def _begin(self, request: Request, code: str) -> Response:
        project = self.project(code, access.IMPORT)
        body = bodies.take(shapes.SendingRequest, request.data)
        made = sendings.begin(self.actor, project, body["name"], body["size"], body.get("sha256", ""))
        return Response(_shown(made), status=201, headers={"Location": _address(project, made)})


def _address(project: Project, sending: Sending) -> str:
    return f"/api/v1/projects/{project.code}/sendings/{sending.pk}"


class OneSending(View):
    """A file of one's own on its way."""

    answers = {"GET": {200: shapes.SendingShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """How much of it is here: where to go on."""
        return Response(_shown(sendings.one(self.actor, self.project(code, access.IMPORT), record_id)))

    def delete(self, request: Request, code: str, record_id: UUID) -> Response:
        """Give it up. A file that is whole already stays."""
        sendings.give_up(self.actor, self.project(code, access.IMPORT), record_id)
        return Response(status=204)


class SendingParts(View):
    """The parts of a file on its way."""

    parser_classes = [Part]
    sends = {"PUT": {"application/octet-stream": {"type": "string", "format": "binary"}}}
    answers = {"PUT": {200: shapes.SendingShape}}

    def put(self, request: Request, code: str, record_id: UUID, start: int) -> Response:
        """Bring the part that begins at this byte. The same part again is answered as the first time."""
        project = self.project(code, access.IMPORT)
        content = request.data if isinstance(request.data, bytes) else b""
        if start > LONGEST_START:
            raise sendings.OutOfPlace(sendings.one(self.actor, project, record_id).received)
        return Response(_shown(sendings.put(self.actor, project, record_id, start, content)))


class SendingEnd(View):
    """Joining the parts."""

    repeatable = ("POST",)
    answers = {"POST": {200: shapes.SendingShape}}

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """Put the parts together and compare size and SHA-256; the whole may be used wherever a file that was brought is."""
        return self.once(request, None, lambda: self._finish(code, record_id))

    def _finish(self, code: str, record_id: UUID) -> Response:
        return Response(_shown(sendings.finish(self.actor, self.project(code, access.IMPORT), record_id)))

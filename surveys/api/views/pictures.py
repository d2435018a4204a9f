"""The file of an attachment as it came, and the sizes in which a picture is shown."""

from typing import Any, Final
from uuid import UUID

from django.http import FileResponse
from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access
from surveys.api.files import ANSWERS, BYTES, picture, sent
from surveys.api.serializers import pictures as shapes
from surveys.api.views.base import View
from surveys.errors import Conflict, NotFound
from surveys.models import Attachment
from surveys.pictures import pyramid
from surveys.selectors import pictures

# Addresses without it are answered as well, by what is shown now.
VERSION: Final = {"GET": ("version",)}
DESCRIBED: Final = {
    "version": ({"type": "string", "minLength": 1}, "Of what is shown, as the picture's row tells it; 404 once it is another.")
}


class PictureView(View):
    """What belongs to one attachment."""

    def attachment(self, code: str, record_id: UUID) -> Attachment:
        """The attachment of the address."""
        return access.get(self.actor, self.project(code), Attachment, record_id)

    def ready(self, code: str, record_id: UUID) -> tuple[Attachment, str]:
        """The same, and where its sizes lie; refused in words where there are none, or none of the version that is asked for."""
        found = self.attachment(code, record_id)
        folder = found.shown.get("folder")
        if folder and found.width and found.height:
            if self.given.get("version", self.version(found)) != self.version(found):
                raise NotFound(f"Attachment {found.number} was made anew since. Load it again.")
            return found, folder
        if found.prepared == "waiting":
            why = pictures.waits_for(found) or "Wait a moment."
            raise Conflict(f"Attachment {found.number} is not ready to be shown yet. {why}", code="waiting")
        raise NotFound(f"Attachment {found.number} is not shown as a picture. {found.refusal}".strip())

    @staticmethod
    def version(found: Attachment) -> str:
        """Of what is shown of a picture."""
        return pictures.version_of(found.upload.sha256, found.shown)


class Original(PictureView):
    """The file as it came."""

    ranged = ("GET",)
    answers = {"GET": ANSWERS}

    def get(self, request: Request, code: str, record_id: UUID) -> FileResponse:
        """The file, unaltered, to be kept and not shown: it never runs in the program's own pages."""
        found = self.attachment(code, record_id)
        upload = found.upload
        told = {"name": upload.name, "path": upload.file.name, "content_type": found.content_type, "sha256": upload.sha256}
        return sent(
            request, [told], upload.name, f"The file {upload.name} is missing from where it is kept. Tell whoever runs the program."
        )


class Thumbnail(PictureView):
    """A small picture."""

    takes = VERSION
    described = DESCRIBED
    answers = {"GET": {(200, "image/jpeg"): BYTES}}

    def get(self, request: Request, code: str, record_id: UUID) -> FileResponse:
        """The picture in at most 320 px. Under its version it never changes, so a browser may keep it."""
        _, folder = self.ready(code, record_id)
        return picture(f"{folder}/thumbnail.jpg", for_ever="version" in self.given)


class Tiles(PictureView):
    """The sizes of a picture."""

    takes = VERSION
    described = DESCRIBED
    answers = {"GET": {200: shapes.TilesShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """Its sizes, each half the next, and how many tiles each has."""
        found, _ = self.ready(code, record_id)
        levels: list[dict[str, Any]] = [
            {name: getattr(one, name) for name in ("level", "width", "height", "columns", "rows")}
            for one in pyramid.levels(found.width or 1, found.height or 1)
        ]
        told = {"width": found.width, "height": found.height, "tile_size": pyramid.TILE, "overlap": 0, "format": "jpeg"}
        version = self.version(found)
        tile = f"/api/v1/projects/{code}/attachments/{record_id}/tiles/{{level}}/{{column}}_{{row}}?version={version}"
        return Response({**told, "version": version, "tile": tile, "levels": levels})


class Tile(PictureView):
    """One tile."""

    takes = VERSION
    described = DESCRIBED
    answers = {"GET": {(200, "image/jpeg"): BYTES}}

    def get(self, request: Request, code: str, record_id: UUID, level: int, column: int, row: int) -> FileResponse:
        """A tile of one size. Under its version it never changes, so a browser may keep it."""
        found, folder = self.ready(code, record_id)
        levels = pyramid.levels(found.width or 1, found.height or 1)
        if level >= len(levels) or column >= levels[level].columns or row >= levels[level].rows:
            raise NotFound(f"Attachment {found.number} has no such tile.")
        return picture(f"{folder}/{level}/{column}_{row}.jpg", for_ever="version" in self.given)

"""Files that are kept and handed out: to be kept, not shown, so that none ever runs in the program's own pages."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.core.files.storage import default_storage
from django.http import FileResponse

from surveys.api.middleware import DRAWING
from surveys.errors import NotFound


def sent(files: Iterable[Mapping[str, Any]], name: str, otherwise: str) -> FileResponse:
    """The file of that name among those that a row describes; NotFound with the sentence given where there is none."""
    found = next((file for file in files if file["name"] == name), None)
    if found is None or not default_storage.exists(found["path"]):
        raise NotFound(otherwise)
    answer = FileResponse(default_storage.open(found["path"]), as_attachment=True, filename=name, content_type=found["content_type"])
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Security-Policy"] = DRAWING
    answer.headers["ETag"] = f'"{found["sha256"]}"'
    return answer


def picture(path: str) -> FileResponse:
    """A picture that the program made, to be shown. What lies there is never altered: a picture made anew lies elsewhere."""
    if not default_storage.exists(path):
        raise NotFound("This picture is gone from where it is kept. Have it made ready again.")
    answer = FileResponse(default_storage.open(path), content_type="image/jpeg")
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Security-Policy"] = DRAWING
    answer.headers["Cache-Control"] = "private, immutable, max-age=31536000"
    return answer

"""Files that are kept and handed out: to be kept, not shown, so that none ever runs in the program's own pages.

A download that broke off goes on where it broke off (RFC 9110, section 14): one range of bytes is answered; the file's SHA-256 is its tag.
A request for several ranges, or in a unit that is not known, or whose `If-Range` names another file, is answered with the whole.
"""

import re
from collections.abc import Iterable, Mapping
from typing import IO, Any, Final

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.http import FileResponse, HttpRequest
from rest_framework.request import Request

from surveys.api.middleware import DRAWING
from surveys.api.problems import NoSuchBytes
from surveys.errors import NotFound

BYTES: Final = {"type": "string", "format": "binary"}
# What a view that hands out files answers, in whole and in part.
ANSWERS: Final[dict[Any, Any]] = {(200, "*/*"): BYTES, (206, "*/*"): BYTES}
# The first and last byte, or how many of the last.
_ONE_RANGE: Final = re.compile(r"bytes=[ \t]*([0-9]{0,40})-([0-9]{0,40})[ \t]*", re.IGNORECASE)


class Part:
    """So many bytes of an open file from where it stands; closing it closes the file."""

    def __init__(self, source: IO[Any] | File, length: int) -> None:
        self._source = source
        self._left = length

    def read(self, size: int = -1) -> bytes:
        """The next bytes, none at the end of the part."""
        found: bytes = self._source.read(self._left if size < 0 else min(size, self._left))
        self._left -= len(found)
        return found

    def close(self) -> None:
        """Close the file."""
        self._source.close()


def sent(request: Request | HttpRequest, files: Iterable[Mapping[str, Any]], name: str, otherwise: str) -> FileResponse:
    """The file of that name among those that a row describes, or the part that is asked for; NotFound, in the words given, without one."""
    found = next((file for file in files if file["name"] == name), None)
    if found is None:
        raise NotFound(otherwise)
    tag = f'"{found["sha256"]}"'
    kept = _opened(found["path"], otherwise)
    size = kept.size
    try:
        part = _asked_for(request, size, tag)
    except NoSuchBytes:
        kept.close()
        raise
    content = kept if part is None and not hasattr(kept, "obj") else _from(kept, part)
    answer = FileResponse(
        content, as_attachment=True, filename=name, content_type=with_charset(found["content_type"]), status=206 if part else 200
    )
    answer.headers["Content-Length"] = str(part[1] if part else size)
    answer.headers["Accept-Ranges"] = "bytes"
    if part:
        answer.headers["Content-Range"] = f"bytes {_said(part)}/{size}"
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Security-Policy"] = DRAWING
    answer.headers["ETag"] = tag
    return answer


def with_charset(content_type: str) -> str:
    """A content type as a header bears it: of text it says the charset too. The program writes and takes UTF-8 alone."""
    is_text = content_type.startswith("text/") or content_type.endswith(("+xml", "/xml"))
    return f"{content_type}; charset=utf-8" if is_text else content_type


def _opened(path: str, otherwise: str) -> File:
    # Not asked whether it is there before: it may go in between.
    try:
        return default_storage.open(path)
    except FileNotFoundError:
        raise NotFound(otherwise) from None


def _asked_for(request: Request | HttpRequest, size: int, tag: str) -> tuple[int, int] | None:
    """Where the part begins that is asked for, and its length; None where it is the whole. NoSuchBytes where the file has no such part."""
    asked = _ONE_RANGE.fullmatch(request.headers.get("Range", "").strip()) if request.method == "GET" else None
    if asked is None or request.headers.get("If-Range", tag).strip() != tag:
        return None
    first, last = asked.groups()
    if not first and not last:
        return None
    if first and last and int(last) < int(first):
        return None
    start = int(first) if first else max(size - int(last), 0)
    end = min(int(last), size - 1) if first and last else size - 1
    if start > end:
        raise NoSuchBytes(size)
    return start, end - start + 1


def _said(part: tuple[int, int]) -> str:
    return f"{part[0]}-{part[0] + part[1] - 1}"


def _from(kept: File, part: tuple[int, int] | None) -> Any:
    """A part of a kept file, without the rest; or what an object store has of it, as it comes."""
    if hasattr(kept, "obj"):
        # Its library would fetch the whole before the first byte is had; the store itself sends it as it is read, and parts of it.
        return kept.obj.get(**({"Range": f"bytes={_said(part)}"} if part else {}))["Body"]
    assert part is not None
    kept.seek(part[0])
    return Part(kept, part[1])


def picture(path: str, *, for_ever: bool) -> FileResponse:
    """A picture that the program made, to be shown; kept for ever where its address says which one it is."""
    kept = _opened(path, "This picture is gone from where it is kept. Have it made ready again.")
    answer = FileResponse(kept, content_type="image/jpeg")
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Security-Policy"] = DRAWING
    answer.headers["Cache-Control"] = "private, immutable, max-age=31536000" if for_ever else "private, max-age=3600"
    return answer

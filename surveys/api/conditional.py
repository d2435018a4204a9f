"""Conditional requests: a record's version as its ETag, If-None-Match on reading, If-Match on writing.

A tag is `"<version>-<digest>"`. The digest is of the answer, since a record is shown with names that belong to others (an element's code
beside a sample) and may change without it. For writing only the version counts: `If-Match: "7"` does as well.
"""

import hashlib
import re
from typing import Any, Final

from rest_framework.request import Request
from rest_framework.response import Response

from surveys.api.problems import unknown_parameter
from surveys.api.rendering import dump
from surveys.errors import VersionMissing

TAG: Final = r'^"[0-9]{1,9}(-[0-9a-f]{1,64})?"$'
MISSING: Final = 'Say which version you changed: send its ETag as If-Match (as in "7"), so that nobody\'s work is overwritten.'


def tag_of(row: dict[str, Any]) -> str:
    """The tag of a record as it is shown."""
    return f'"{row["version"]}-{hashlib.sha256(dump(row)).hexdigest()[:12]}"'


def shown(request: Request, row: dict[str, Any], status: int = 200, headers: dict[str, str] | None = None) -> Response:
    """A record with its tag; 304 without it, if the reader has just that."""
    tag = tag_of(row)
    headers = {"ETag": tag, **(headers or {})}
    if request.method in ("GET", "HEAD") and _matches(request.headers.get("If-None-Match", ""), tag):
        return Response(None, status=304, headers=headers)
    return Response(row, status=status, headers=headers)


def _matches(wanted: str, tag: str) -> bool:
    """Weak comparison, as RFC 9110 asks for If-None-Match."""
    return any(one.strip().removeprefix("W/") in (tag, "*") for one in wanted.split(",")) if wanted else False


def version_named(request: Request) -> int:
    """The version that a writer says he changed."""
    given = request.headers.get("If-Match", "").strip()
    if not given:
        raise VersionMissing(MISSING)
    if given == "*":
        # It would mean 'whatever is there', and overwrite what somebody else wrote unseen.
        raise VersionMissing(f"'If-Match: *' names no version. {MISSING}")
    if not re.match(TAG, given):
        raise unknown_parameter("If-Match", 'If-Match takes one tag as ETag gave it, in quotes, as in "7".')
    return int(given.strip('"').split("-")[0])

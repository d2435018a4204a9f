"""The one error handler: every refusal becomes a problem document (RFC 9457), none shows what the program looks like inside."""

import errno
import logging
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.core.exceptions import RequestDataTooBig, SuspiciousOperation
from django.db import InterfaceError, OperationalError
from django.http import Http404, HttpRequest, HttpResponse
from rest_framework import exceptions
from rest_framework.response import Response

from surveys import errors, jobs
from surveys.api.rendering import dump

MEDIA_TYPE: Final = "application/problem+json"
TITLES: Final = {
    400: "The request cannot be understood",
    401: "Nobody is signed in",
    403: "Not allowed",
    404: "Not found",
    405: "Not done here",
    409: "It clashes with the record",
    412: "Changed meanwhile",
    413: "Too large",
    415: "Not in a form that is read here",
    416: "Beyond the end of the file",
    422: "Not acceptable to the record",
    428: "The version is missing",
    429: "Too often",
    500: "Something went wrong in the program",
    503: "Not to be had just now",
}
NOT_OURS: Final = "This request did not come from a page of this program, or the page was open too long. Reload it and try again."
# Seconds after which one tries again what could not be had.
RETRY: Final = "2"
SIGN_IN: Final = "Sign in, or send a token: 'Authorization: Token …'."
log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Place:
    """Where in a request a fault is: a JSON pointer into the body, or the name of a parameter or header."""

    pointer: str
    code: str
    detail: str
    parameter: str = ""

    def plain(self) -> dict[str, str]:
        """As the document says it."""
        told = {"pointer": self.pointer, "code": self.code, "detail": self.detail}
        return {**told, "parameter": self.parameter} if self.parameter else told


class Malformed(errors.DomainError):
    """A request whose form is wrong: an unknown field or parameter, a parameter that cannot be read."""

    code = "malformed"

    def __init__(self, detail: str, *places: Place, code: str | None = None) -> None:
        super().__init__(detail, code=code)
        self.places = places


class NoSuchBytes(errors.DomainError):
    """A range of bytes that a file does not have; `size` is what it has."""

    code = "no-such-bytes"

    def __init__(self, size: int) -> None:
        super().__init__(
            f"The file ends before what was asked for: it has {size:,} bytes. If you have as many, it is all here; else begin anew."
        )
        self.size = size


class WrongPassword(errors.DomainError):
    """A name and a password that do not belong together; which of the two is wrong is not said."""

    code = "wrong-password"


def unknown_parameter(name: str, detail: str, code: str = "invalid") -> Malformed:
    """A refusal of one query parameter or header."""
    return Malformed(detail, Place("", code, detail, name))


STATUS: Final[tuple[tuple[type[errors.DomainError], int], ...]] = (
    (Malformed, 400),
    (WrongPassword, 401),
    (NoSuchBytes, 416),
    (errors.NotFound, 404),
    (errors.Forbidden, 403),
    (errors.Stale, 412),
    (errors.VersionMissing, 428),
    (errors.TooLarge, 413),
    (errors.TooOften, 429),
    (errors.Invalid, 422),
    (errors.Conflict, 409),
    (errors.DomainError, 422),
)


def escape(name: str) -> str:
    """One step of a JSON pointer (RFC 6901)."""
    return name.replace("~", "~0").replace("/", "~1")


def pointer(fault: errors.Fault, *, many: bool) -> str:
    """Where a fault is in the body: of one record (which is written as a batch of one row), or of a row of a batch."""
    if not many:
        return f"/{escape(fault.field)}" if fault.field else ""
    if fault.row is None:
        # Otherwise it lies between rows; the sentence names the records.
        return "/operations" if fault.field == "operations" else ""
    row = f"/operations/{fault.row}"
    return f"{row}/values/{escape(fault.field)}" if fault.field else row


def document(status: int, code: str, detail: str, places: list[dict[str, str]] | None = None, **more: Any) -> dict[str, Any]:
    """A problem document."""
    told = {"type": f"urn:undercoat:problem:{code}", "title": TITLES.get(status, "Refused"), "status": status, "detail": detail}
    return {**told, "code": code, **({"errors": places} if places else {}), **more}


def answer(error: Exception, context: Mapping[str, Any]) -> Response:
    """What an exception in a view is answered with. Never a trace: that goes to the log."""
    status, told, headers = _told(error, context)
    if status >= 500:
        request = context.get("request")
        log.error("%s %s failed.", getattr(request, "method", "?"), getattr(request, "path", "?"), exc_info=error)
    elif status in (401, 403, 429) and told["code"] != "not-signed-in":
        _note(told["code"], context.get("request"))
    return Response(told, status=status, headers=headers, content_type=MEDIA_TYPE)


def _note(code: str, request: Any) -> None:
    """Write down who was refused what: for whoever looks whether somebody tries doors. Nothing that was sent is in it but the address."""
    who = getattr(getattr(request, "_user", None), "pk", None)
    where = getattr(request, "META", {}).get("REMOTE_ADDR", "")
    log.info("Refused (%s): %s %r, person %s, from %s.", code, getattr(request, "method", "?"), getattr(request, "path", "?"), who, where)


def _told(error: Exception, context: Mapping[str, Any]) -> tuple[int, dict[str, Any], dict[str, str]]:
    if isinstance(error, errors.DomainError):
        return _domain(error, context)
    if isinstance(error, exceptions.APIException):
        return _framework(error)
    if isinstance(error, Http404):
        return 404, document(404, "not-found", "There is nothing at this address."), {}
    if isinstance(error, RequestDataTooBig):
        return 413, document(413, "too-large", "This request is larger than is read here. Send it in parts."), {}
    if isinstance(error, SuspiciousOperation):
        return 400, document(400, "malformed", "This request cannot be read."), {}
    away = _away(error)
    if away is not None:
        return 503, document(503, *away), {"Retry-After": RETRY}
    return 500, document(500, "unexpected", "Something went wrong in the program, and nothing was changed. It has been noted."), {}


NO_ROOM: Final = "The disk is full, so this was not kept. Tell whoever runs the program, then try again."


def _away(error: BaseException | None) -> tuple[str, str] | None:
    """Where a service that the program needs does not do what it must: code and sentence; None where the fault is another."""
    if isinstance(error, OperationalError) and "locked" in str(error):
        return "busy", "The record is being written by somebody else and did not come free in time. Nothing was changed; try again."
    if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT):
        return "no-room", NO_ROOM
    if isinstance(error, OperationalError | InterfaceError):
        if jobs.no_room(error):
            return "no-room", NO_ROOM
        return (
            "database-away",
            "The database does not answer just now. Wait a moment, look whether your last change was kept, and try again.",
        )
    # By its name, since without a Redis its library is not loaded.
    if type(error).__module__.startswith("redis."):
        return "cache-away", "A service that the program needs does not answer just now. Wait a moment and try again."
    return None


def _domain(error: errors.DomainError, context: Mapping[str, Any]) -> tuple[int, dict[str, Any], dict[str, str]]:
    status = next(number for kind, number in STATUS if isinstance(error, kind))
    if isinstance(error, Malformed):
        return status, document(status, error.code, error.detail, [place.plain() for place in error.places]), {}
    if status == 401:
        return status, document(status, error.code, error.detail), {"WWW-Authenticate": "Token"}
    if isinstance(error, NoSuchBytes):
        return status, document(status, error.code, error.detail), {"Content-Range": f"bytes */{error.size}"}
    if isinstance(error, errors.TooOften):
        return status, document(status, error.code, error.detail), {"Retry-After": str(error.seconds)}
    view = context.get("view")
    many = bool(getattr(view, "many", False))
    places = [{"pointer": pointer(fault, many=many), "code": fault.code, "detail": fault.detail} for fault in error.faults]
    if isinstance(error, errors.Stale):
        current = view.current(error.current) if view is not None and hasattr(view, "current") else None
        if error.row is not None and many:
            places = [{"pointer": f"/operations/{error.row}", "code": error.code, "detail": error.detail}]
        return status, document(status, error.code, error.detail, places, current=current), {}
    return status, document(status, error.code, error.detail, places, **error.told), {}


def _framework(error: exceptions.APIException) -> tuple[int, dict[str, Any], dict[str, str]]:
    status = error.status_code
    headers: dict[str, str] = {}
    if isinstance(error, exceptions.NotAuthenticated | exceptions.AuthenticationFailed):
        headers["WWW-Authenticate"] = getattr(error, "auth_header", "") or "Token"
        detail = SIGN_IN if isinstance(error, exceptions.NotAuthenticated) else str(error.detail)
        return 401, document(401, "not-signed-in", detail), headers
    if isinstance(error, exceptions.Throttled):
        wait = max(1, int(getattr(error, "wait", None) or 60) + 1)
        return 429, document(429, "too-often", f"Too many tries. Wait {wait} seconds and try again."), {"Retry-After": str(wait)}
    code = {403: "forbidden", 404: "not-found", 405: "method", 406: "form", 415: "media-type"}.get(status, "malformed")
    return status, document(status, code, str(error.detail)), headers


def page(status: int, code: str, detail: str) -> HttpResponse:
    """A problem document outside a view of the interface."""
    return HttpResponse(dump(document(status, code, detail)), status=status, content_type=MEDIA_TYPE)


def missing_page(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Nothing at an address: a document for programs, a line for people."""
    if request.path.startswith("/api/"):
        return page(404, "not-found", "There is nothing at this address. The interface is described at /api/v1/docs.")
    return HttpResponse("There is nothing at this address.\n", status=404, content_type="text/plain; charset=utf-8")


def failed_page(request: HttpRequest) -> HttpResponse:
    """Something went wrong outside the interface's own handler."""
    away = _away(sys.exception())
    if away is not None:
        told = page(503, *away)
        told.headers["Retry-After"] = RETRY
        return told
    return page(500, "unexpected", "Something went wrong in the program, and nothing was changed. It has been noted.")


def bad_page(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """A request that Django itself refuses."""
    return page(400, "malformed", "This request cannot be read.")


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form of another site, or a page left open too long."""
    return page(403, "csrf", NOT_OURS)

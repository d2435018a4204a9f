"""Headers that every answer bears."""

from collections.abc import Callable
from typing import Final

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from surveys.api import problems

STRICT: Final = (
    "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
# Swagger UI sets styles from its script and in its page; scripts are still our own files only.
DOCUMENTS: Final = f"{STRICT}; style-src 'self' 'unsafe-inline'"
# A drawing is looked at, never run.
DRAWING: Final = (
    "sandbox; default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:; object-src 'none'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'"
)


def with_styles(nonce: str, script: str = "") -> str:
    """The strict policy for a page whose script makes style sheets that bear this nonce (the grid: one, for its columns' widths).

    `script` is the digest of the one thing that stands in the page between script tags: its import map.
    """
    scripts = f"; script-src 'self' {script}" if script else ""
    return f"{STRICT}; style-src 'self' 'nonce-{nonce}'{scripts}"


class ContentSecurityPolicy:
    """Only our own files, nothing inline. A view may set a stricter policy of its own."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Add the policy to the answer; refuse what should have come by HTTPS."""
        response = in_the_open() if _is_in_the_open(request) else self.get_response(request)
        policy = DOCUMENTS if request.path.rstrip("/") == "/api/v1/docs" else STRICT
        response.headers.setdefault("Content-Security-Policy", policy)
        # No other site's page may embed or read what is answered here.
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        if request.path.startswith("/api/") and "Cache-Control" not in response.headers:
            # What one person was told is not kept on the machine for the next.
            response.headers["Cache-Control"] = "no-store"
        return response


def _is_in_the_open(request: HttpRequest) -> bool:
    return settings.SECURE_SSL_REDIRECT and request.path.startswith("/api/") and not request.is_secure()


def in_the_open() -> HttpResponse:
    """What a request of the interface is told that came without HTTPS."""
    return problems.page(403, "not-secure", "Ask by https. If this request bore a token, it went in the open: revoke it and make another.")

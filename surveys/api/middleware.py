"""Headers that every answer bears."""

from collections.abc import Callable
from typing import Final

from django.http import HttpRequest, HttpResponse

STRICT: Final = (
    "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
# Swagger UI sets styles from its script and in its page; scripts are still our own files only.
DOCUMENTS: Final = f"{STRICT}; style-src 'self' 'unsafe-inline'"
# A drawing is looked at, never run.
DRAWING: Final = "sandbox; default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:"


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
        """Add the policy to the answer."""
        response = self.get_response(request)
        policy = DOCUMENTS if request.path.rstrip("/") == "/api/v1/docs" else STRICT
        response.headers.setdefault("Content-Security-Policy", policy)
        if request.path.startswith("/api/") and "Cache-Control" not in response.headers:
            # 'no-cache' keeps conditional requests working; what is one person's must not be kept for the next.
            response.headers["Cache-Control"] = "private, no-cache"
        return response

"""The one page that the program serves: the shell in which the client shows its screens. What is in them comes from the interface."""

import secrets

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_safe

from surveys.api.middleware import with_styles


@require_safe
@never_cache
@ensure_csrf_cookie
def client(request: HttpRequest, within: str = "") -> HttpResponse:
    """The shell, the same for everybody and every address: it holds nothing of any project, and the client reads the address itself."""
    nonce = secrets.token_urlsafe(16)
    response = render(request, "surveys/client.html", {"upload_limit": settings.UPLOAD_MAX_BYTES, "nonce": nonce})
    response.headers["Content-Security-Policy"] = with_styles(nonce)
    return response

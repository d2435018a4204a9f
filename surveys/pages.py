"""The one page that the program serves: the shell in which the client shows its screens. What is in them comes from the interface."""

import base64
import hashlib
import json
import secrets
from functools import cache

from django.conf import settings
from django.contrib.staticfiles.storage import ManifestFilesMixin, staticfiles_storage
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_safe

from surveys.api.middleware import with_styles


@cache
def module_names() -> tuple[str, str]:
    """The import map of the client's modules, and what a policy calls it; both '' where files do not bear their digest in their names.

    Modules import each other by plain names. With the map a browser asks for the names with digests, which it may keep for ever.
    """
    if not isinstance(staticfiles_storage, ManifestFilesMixin):
        return "", ""
    known = staticfiles_storage.hashed_files
    names = {
        f"{settings.STATIC_URL}{name}": staticfiles_storage.url(name)
        for name in sorted(known)
        if name.startswith("client/") and name.endswith(".js")
    }
    text = json.dumps({"imports": names}, separators=(",", ":")).replace("<", "\\u003c")
    return text, f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


@require_safe
@never_cache
@ensure_csrf_cookie
def client(request: HttpRequest, within: str = "") -> HttpResponse:
    """The shell, the same for everybody and every address: it holds nothing of any project, and the client reads the address itself."""
    nonce = secrets.token_urlsafe(16)
    names, digest = module_names()
    response = render(request, "surveys/client.html", {"upload_limit": settings.UPLOAD_MAX_BYTES, "nonce": nonce, "module_names": names})
    response.headers["Content-Security-Policy"] = with_styles(nonce, digest)
    return response

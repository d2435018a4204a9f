"""Whether the program lives, and whether it is ready to be given requests.

Of a part that fails only the name is told; the reason goes to the log.
"""

import contextlib
import logging
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from config.celery import app
from config.operations import backup

BROKER_SECONDS: Final = 2
# For how many seconds what was found is told again. Everybody may ask, and to look costs a file, a query and a connection.
KEPT = 1.0
_looking: Final = threading.Lock()
_found: tuple[float, dict[str, str]] | None = None
log = logging.getLogger(__name__)


class NotReady(Exception):
    """A part answers, but not as it must."""


def _database() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")


def _migrations() -> None:
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise NotReady("The database lacks migrations: manage.py migrate.")


def _broker() -> None:
    with app.connection_for_write(connect_timeout=BROKER_SECONDS) as broker:
        broker.ensure_connection(max_retries=1, interval_start=0, timeout=BROKER_SECONDS)


def _files() -> None:
    if not settings.S3_BUCKET and backup.interrupted(Path(settings.MEDIA_ROOT)):
        raise NotReady("A restore was cut short, and files are not where they are looked for: manage.py check.")
    name = default_storage.save(f"ready/{uuid.uuid4()}", ContentFile(b"ready"))
    default_storage.delete(name)


PARTS: Final[dict[str, Callable[[], None]]] = {"database": _database, "migrations": _migrations, "broker": _broker, "files": _files}


@contextlib.contextmanager
def _told(parts: dict[str, str], name: str) -> Iterator[None]:
    try:
        yield
    except Exception:
        log.exception("Not ready: %s.", name)
        parts[name] = "failing"
    else:
        parts[name] = "ok"


def _looked() -> dict[str, str]:
    """How each part is. One at a time looks, and who asks meanwhile, or right after, is told what that one found."""
    global _found
    with _looking:
        if _found is None or time.monotonic() - _found[0] > KEPT:
            parts: dict[str, str] = {}
            for name, check in PARTS.items():
                with _told(parts, name):
                    check()
            _found = (time.monotonic(), parts)
        return _found[1]


@never_cache
@require_safe
def live(request: HttpRequest) -> HttpResponse:
    """The process answers. Start it again if it does not."""
    return HttpResponse("alive\n", content_type="text/plain; charset=utf-8")


@never_cache
@require_safe
def ready(request: HttpRequest) -> JsonResponse:
    """Everything that requests need is there; 503 where something is not. Send it no requests until it is."""
    parts = _looked()
    whole = all(state == "ok" for state in parts.values())
    return JsonResponse({"ready": whole, **parts}, status=200 if whole else 503)

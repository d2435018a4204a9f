"""Whether the program lives, and whether it is ready to be given requests.

Of a part that fails only the name is told; the reason goes to the log.
"""

import contextlib
import logging
import uuid
from collections.abc import Callable, Iterator
from typing import Final

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from config.celery import app

BROKER_SECONDS: Final = 2
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


@never_cache
@require_safe
def live(request: HttpRequest) -> HttpResponse:
    """The process answers. Start it again if it does not."""
    return HttpResponse("alive\n", content_type="text/plain; charset=utf-8")


@never_cache
@require_safe
def ready(request: HttpRequest) -> JsonResponse:
    """Everything that requests need is there; 503 where something is not. Send it no requests until it is."""
    parts: dict[str, str] = {}
    for name, check in PARTS.items():
        with _told(parts, name):
            check()
    whole = all(state == "ok" for state in parts.values())
    return JsonResponse({"ready": whole, **parts}, status=200 if whole else 503)

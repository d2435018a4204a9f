"""Doing a thing once, however often it is asked for with the same key.

The answer's row is written first, in the transaction of the deed itself. So a retry that comes while the first is still under way
waits for it at the row (or, on SQLite, at the database's lock) and then finds the answer; and if the first came to nothing, so did its row.
"""

import datetime as dt
import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Final

from django.db import IntegrityError, transaction
from django.utils import timezone

from surveys.errors import Fault, Invalid
from surveys.models import Answer, Person

LONGEST_KEY: Final = 200
# After this a key may be used again; nobody retries for so long.
KEPT: Final = dt.timedelta(days=7)
log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Reply:
    """An answer as it can be kept: status, headers that belong to it, and a body of plain JSON values."""

    status: int
    body: Any
    headers: dict[str, str] = field(default_factory=dict)
    replayed: bool = False


def check_key(key: str) -> str:
    """The key, if it can be one."""
    if not 0 < len(key) <= LONGEST_KEY or not key.isascii() or not key.isprintable():
        raise Invalid(f"An Idempotency-Key is 1 to {LONGEST_KEY} printable characters.", code="bad-key")
    return key


def once(person: Person, key: str, request_digest: str, deed: Callable[[], Reply], refusal: Callable[[Exception], Reply]) -> Reply:
    """Do a deed, or answer as it was answered before. `refusal` puts a refusal into an answer, which is kept as well.

    A deed that fails for a reason that is no refusal (refusal answers 5xx, or raises) leaves nothing behind: it may be tried again.
    """
    with transaction.atomic():
        try:
            with transaction.atomic():
                row = Answer.objects.create(person=person, key=check_key(key), request_digest=request_digest)
        except IntegrityError:
            return _replay(person, key, request_digest)
        try:
            with transaction.atomic():
                reply = deed()
        except Exception as error:
            reply = refusal(error)
        if reply.status >= 500:
            transaction.set_rollback(True)
            return reply
        Answer.objects.filter(pk=row.pk).update(status=reply.status, headers=reply.headers, body=reply.body)
    return reply


def _replay(person: Person, key: str, request_digest: str) -> Reply:
    row = Answer.objects.get(person=person, key=key)
    if row.request_digest != request_digest:
        text = "This Idempotency-Key was used for another request already. Use a new key for each new request."
        raise Invalid(text, code="key-reused", faults=(Fault("", "key-reused", text),))
    assert row.status is not None, "an answer is seen by others only when it is whole"
    return Reply(row.status, row.body, dict(row.headers), replayed=True)


def forget_old() -> int:
    """Drop answers that nobody will ask for again; answer how many."""
    count, _ = Answer.objects.filter(created_at__lt=timezone.now() - KEPT).delete()
    return count

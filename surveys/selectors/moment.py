"""Reading all at one moment: what others write meanwhile is not seen."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def one_moment() -> Iterator[None]:
    """All that is read within is as it was at one moment, and nobody who writes has to wait. Only for reading.

    PostgreSQL reads a snapshot in REPEATABLE READ; SQLite, by its write-ahead log, in a transaction that was begun without the wish to
    write (Django's own begin IMMEDIATE, which would keep all writers out). Within a transaction that stands already that one is used.
    """
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("BEGIN DEFERRED")
        try:
            yield
        finally:
            with connection.cursor() as cursor:
                cursor.execute("ROLLBACK")
    else:
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield

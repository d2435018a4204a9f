"""What is noted in passing: that a token or a session was used. Nobody waits for that, and nothing fails by it."""

import contextlib
from collections.abc import Iterator

from django.db import OperationalError, connection


@contextlib.contextmanager
def in_passing() -> Iterator[None]:
    """Write if that can be done at once. SQLite has one writer, and an import may be it for a minute: then it is noted another time."""
    if connection.vendor != "sqlite":
        yield
        return
    connection.ensure_connection()
    before = connection.connection.execute("PRAGMA busy_timeout").fetchone()[0]
    connection.connection.execute("PRAGMA busy_timeout = 0")
    try:
        yield
    except OperationalError as error:
        if "locked" not in str(error):
            raise
    finally:
        connection.connection.execute(f"PRAGMA busy_timeout = {before}")

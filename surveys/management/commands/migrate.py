"""Django's `migrate`, one at a time: machines that start together on one PostgreSQL wait for each other instead of failing half-way."""

import contextlib
from collections.abc import Iterator
from typing import Any

from django.core.management.commands import migrate
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

# Any number that nothing else of ours locks by.
LOCK = 1_790_011_830


class Command(migrate.Command):
    """As Django's; the lock ends with its connection, so one that was killed holds up nobody."""

    def handle(self, *args: Any, **options: Any) -> None:
        """Wait for who is migrating, then see what is left to do. Who only looks waits for nobody."""
        connection = connections[options["database"]]
        if connection.vendor != "postgresql" or options["plan"] or options["check_unapplied"]:
            super().handle(*args, **options)
            return
        with self._alone(connection.copy()):
            super().handle(*args, **options)

    @contextlib.contextmanager
    def _alone(self, other: BaseDatabaseWrapper) -> Iterator[None]:
        """Hold the lock in a transaction of another connection.

        It is that transaction's and not its session's: a pooler in transaction mode would give the session away with the lock. The other
        connection has nothing to do with what is migrated, so that a migration that fails or loses its own is told as what it is.
        """
        try:
            other.set_autocommit(False)
            with other.cursor() as cursor:
                cursor.execute("SELECT pg_try_advisory_xact_lock(%s)", [LOCK])
                if not cursor.fetchone()[0]:
                    self.stderr.write("Another program is migrating this database. Waiting until it is done.")
                    cursor.execute("SELECT pg_advisory_xact_lock(%s)", [LOCK])
                # It says nothing while the other works, and must not be ended for that.
                cursor.execute("SET LOCAL idle_in_transaction_session_timeout = 0")
            yield
        finally:
            other.close()

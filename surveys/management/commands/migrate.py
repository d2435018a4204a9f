"""Django's `migrate`, one at a time: machines that start together on one PostgreSQL wait for each other instead of failing half-way."""

from typing import Any

from django.core.management.commands import migrate
from django.db import connections

# Any number that nothing else of ours locks by.
LOCK = 1_790_011_830


class Command(migrate.Command):
    """As Django's; the lock ends with its connection, so one that was killed holds up nobody."""

    def handle(self, *args: Any, **options: Any) -> None:
        """Wait for who is migrating, then see what is left to do."""
        connection = connections[options["database"]]
        if connection.vendor != "postgresql":
            return super().handle(*args, **options)
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_lock(%s)", [LOCK])
        try:
            return super().handle(*args, **options)
        finally:
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_unlock(%s)", [LOCK])

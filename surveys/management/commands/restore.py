"""Put a backup back."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from config.operations import alone, backup
from surveys import sessions


class Command(BaseCommand):
    """`restore FILE.tar [--replace]`."""

    # After one that was killed the folder for files is not whole, and `check` says so: this command mends it.
    requires_system_checks = ()
    help = "Put the database and the files of a backup in the place of this installation's. Stop the program first."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("source", type=Path, metavar="FILE.tar")
        parser.add_argument("--replace", action="store_true", help="put it in the place of the projects that are here")

    def handle(self, *args: Any, **options: Any) -> None:
        """Verify it, put it back, bring the database to this version, and have everybody sign in anew."""
        try:
            with alone.on(Path(settings.DATA_DIR)):
                manifest = self._put_back(options["source"], replace=options["replace"])
                self._bring_up()
        except (backup.Refused, alone.NotAlone) as refusal:
            raise CommandError(str(refusal)) from None
        self.stdout.write(f"Put back what was saved at {manifest['made_at']}: {len(manifest['parts']):,} parts, each as it was.")
        self.stdout.write("Everybody has to sign in anew.")

    def _put_back(self, source: Path, *, replace: bool) -> dict[str, Any]:
        try:
            return backup.put_back(source, replace=replace)
        except OSError as error:
            raise CommandError(f"Nothing was put back: {backup.reason(error)}.") from None
        except DatabaseError as error:
            raise CommandError(f"Nothing was put back: the database does not do what it must ({str(error).strip()}).") from None

    def _bring_up(self) -> None:
        try:
            call_command("migrate", verbosity=0, interactive=False)
            # Those that were ended since would live again, and open pages would go on with versions of records that are no more.
            sessions.end_everybodys()
        except DatabaseError as error:
            text = f"It was put back, but not brought to this version of the program ({str(error).strip()}). Say: manage.py migrate"
            raise CommandError(text) from None

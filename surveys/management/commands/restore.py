"""Put a backup back."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from config.operations import alone, backup


class Command(BaseCommand):
    """`restore FILE.tar [--replace]`."""

    help = "Put the database and the files of a backup in the place of this installation's. Stop the program first."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("source", type=Path, metavar="FILE.tar")
        parser.add_argument("--replace", action="store_true", help="put it in the place of the projects that are here")

    def handle(self, *args: Any, **options: Any) -> None:
        """Verify it, put it back, and bring the database to this version."""
        try:
            with alone.on(Path(settings.DATA_DIR)):
                manifest = backup.put_back(options["source"], replace=options["replace"])
                call_command("migrate", verbosity=0, interactive=False)
        except (backup.Refused, alone.NotAlone) as refusal:
            raise CommandError(str(refusal)) from None
        except OSError as error:
            raise CommandError(f"Nothing was put back: {backup.reason(error)}.") from None
        self.stdout.write(f"Put back what was saved at {manifest['made_at']}: {len(manifest['parts']):,} parts, each as it was.")

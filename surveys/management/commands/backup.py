"""Back up the whole installation, while people work."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from config.operations import backup


class Command(BaseCommand):
    """`backup FILE.tar`."""

    help = "Write the database and all files, as they are at one moment, to one file. People may go on working."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("out", type=Path, metavar="FILE.tar")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write it and say how large it is."""
        try:
            manifest = backup.make(options["out"])
        except backup.Refused as refusal:
            raise CommandError(str(refusal)) from None
        except OSError as error:
            raise CommandError(f"The backup was not made: {backup.reason(error)}.") from None
        self.stdout.write(
            f"{options['out']}: {options['out'].stat().st_size:,} bytes, {len(manifest['parts']):,} parts, read back and whole."
        )
        if manifest["files"] != "here":
            self.stdout.write("Files lie in a store of their own and are no part of it: back up that bucket by its own means as well.")

"""Write a whole project to one file."""

import shutil
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from surveys.errors import DomainError
from surveys.management.commands._progress import line
from surveys.work import archiving
from surveys.work.shell import project_for


class Command(BaseCommand):
    """`archive --project CODE --out FILE.zip [--outputs]`."""

    help = "Write a whole project (records, history, files) to one file, from which `unarchive` makes the same project elsewhere."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("--project", required=True, metavar="CODE")
        parser.add_argument("--out", required=True, type=Path, metavar="FILE.zip")
        parser.add_argument("--outputs", action="store_true", help="also the papers that the program made")
        parser.add_argument("--as", dest="username", default="", help="for whom to work; else the project's coordinator")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the archive beside its place, then move it there: a broken run leaves no half file."""
        actor, project = project_for(options["project"], username=options["username"])
        out: Path = options["out"]
        part = out.with_name(f".{out.name}.part")
        try:
            with archiving.archive(actor, project, line, outputs=options["outputs"]) as (stream, told), part.open("wb") as kept:
                stream.seek(0)
                shutil.copyfileobj(stream, kept)
            part.replace(out)
        except DomainError as refusal:
            raise CommandError(refusal.detail) from None
        except OSError as error:
            raise CommandError(f"{out} cannot be written: {error.strerror}.") from None
        finally:
            part.unlink(missing_ok=True)
        self.stdout.write(f"{out}: {out.stat().st_size:,} bytes, {told['changes']:,} changes")

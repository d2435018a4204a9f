"""Write the registers of a project to a workbook."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from surveys import workbooks
from surveys.errors import DomainError
from surveys.management.commands._progress import line
from surveys.work.shell import project_for


class Command(BaseCommand):
    """`registers --project CODE --out FILE.xlsx`."""

    help = "Write the registers of a project, and its generations, to a workbook that can be imported again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("--project", required=True, metavar="CODE")
        parser.add_argument("--out", required=True, type=Path, metavar="FILE.xlsx")
        parser.add_argument("--as", dest="username", default="", help="for whom to work; else the project's coordinator")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the workbook beside its place, then move it there: a broken run leaves no half file."""
        actor, project = project_for(options["project"], username=options["username"])
        out: Path = options["out"]
        part = out.with_name(f".{out.name}.part")
        try:
            with part.open("wb") as stream:
                workbooks.registers(actor, project, stream, line, on=timezone.now().date())
            part.replace(out)
        except DomainError as refusal:
            raise CommandError(refusal.detail) from None
        finally:
            part.unlink(missing_ok=True)
        self.stdout.write(f"{out}: {out.stat().st_size:,} bytes")

"""Write the generation chart of a space to a file."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from analysis.parameters import CHART_FORMATS
from surveys.errors import DomainError
from surveys.jobs import space_named
from surveys.work import drawing
from surveys.work.shell import project_for


class Command(BaseCommand):
    """`chart --project CODE --space N --format json|svg|pdf|png --out FILE`."""

    help = "Write the generation chart of a space to a file."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("--project", required=True, metavar="CODE")
        parser.add_argument("--space", required=True, metavar="NUMBER")
        parser.add_argument("--format", choices=CHART_FORMATS, default="svg")
        parser.add_argument("--paper", choices=("A3", "A4", "tabloid"), default="A3")
        parser.add_argument("--out", required=True, type=Path, metavar="FILE")
        parser.add_argument("--as", dest="username", default="", help="for whom to work; else the project's coordinator")

    def handle(self, *args: Any, **options: Any) -> None:
        """Draw, and write the file."""
        actor, project = project_for(options["project"], username=options["username"])
        try:
            space = space_named(project, options["space"])
            _, _, content = drawing.chart(actor, project, space, options["format"], options["paper"])
        except DomainError as refusal:
            raise CommandError(refusal.detail) from None
        options["out"].write_bytes(content)
        self.stdout.write(f"{options['out']}: {len(content):,} bytes")

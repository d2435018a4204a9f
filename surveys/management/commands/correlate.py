"""Correlate the layers of a project's spaces into generations, and date them."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from surveys.errors import DomainError
from surveys.jobs import space_named
from surveys.management.commands._progress import line
from surveys.models import Space
from surveys.work import correlating, dating
from surveys.work.shell import project_for


class Command(BaseCommand):
    """`correlate --project CODE [--space N]`."""

    help = "Correlate the layers of one space, or of every space of a project, into generations, and derive their years."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("--project", required=True, metavar="CODE")
        parser.add_argument("--space", metavar="NUMBER")
        parser.add_argument("--as", dest="username", default="", help="for whom to work; else the project's coordinator")

    def handle(self, *args: Any, **options: Any) -> None:
        """Correlate, and print what was found."""
        actor, project = project_for(options["project"], username=options["username"])
        try:
            chosen = [space_named(project, options["space"])] if options["space"] else list(Space.objects.filter(project=project))
            chosen.sort(key=lambda space: (space.sort_key, space.number))
            found = correlating.correlate(actor, project, chosen, line)
            dated = dating.date(actor, project, lambda done, total, now: None)
        except DomainError as refusal:
            raise CommandError(refusal.detail) from None
        for space in found["spaces"]:
            if "refused" in space:
                self.stderr.write(f"Space {space['space']}: {space['refused']}")
            else:
                self.stdout.write(f"Space {space['space']}: {space['layers']} layers in {space['generations']} generations")
        for conflict in dated["conflicts"]:
            self.stdout.write(f"Conflict: {conflict['sentence']}")
        if any("refused" in space for space in found["spaces"]):
            raise CommandError("Some spaces were not correlated.")

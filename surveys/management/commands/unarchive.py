"""Make a project from an archive, all or nothing."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from surveys.errors import DomainError
from surveys.management.commands._progress import line
from surveys.models import Project
from surveys.work import archiving
from surveys.work.shell import project_for


class Command(BaseCommand):
    """`unarchive FILE.zip --code NEW`."""

    help = "Make a new project from an archive that `archive` wrote: all of it, or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("file", type=Path)
        parser.add_argument("--code", required=True, help="the code of the project that it becomes here")
        parser.add_argument("--as", dest="username", default="", help="who is to be its coordinator; else a person 'shell'")

    def handle(self, *args: Any, **options: Any) -> None:
        """Bring it, and print what came."""
        path: Path = options["file"]
        if Project.objects.filter(code__iexact=options["code"]).exists():
            raise CommandError(f"There is a project {options['code']} already. Choose another code.")
        try:
            # A project made for an archive that is then refused is not left behind.
            with path.open("rb") as stream, transaction.atomic():
                actor, project = project_for(options["code"], create=True, username=options["username"])
                told = archiving.bring(actor, project, path.name, stream, line)
        except DomainError as refusal:
            raise CommandError(refusal.detail) from None
        except OSError as error:
            raise CommandError(f"{path} cannot be read: {error.strerror}.") from None
        self.stdout.write(
            f"{sum(told['records'].values()):,} records, {told['changes']:,} changes, {told['files']:,} files; ids {told['ids']}"
        )
        for name in told["strangers"]:
            self.stdout.write(
                f"{name} is not known here by the name that the archive gives, and stands in it as somebody who cannot sign in."
            )

"""Import a workbook or a CSV file, all or nothing."""

import json
from argparse import ArgumentParser
from contextlib import nullcontext
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from surveys import workbooks
from surveys.errors import DomainError
from surveys.management.commands._progress import line
from surveys.models import Project
from surveys.work.shell import project_for


class Command(BaseCommand):
    """`load FILE --project CODE [--create] [--dry-run]`."""

    help = "Import a workbook (.xlsx) or one sheet as CSV into a project: all of it, or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("file", type=Path)
        parser.add_argument("--project", required=True, metavar="CODE")
        parser.add_argument("--sheet", help="for CSV: which sheet the file is; else told by its columns")
        parser.add_argument("--create", action="store_true", help="make the project if there is none of that code")
        parser.add_argument("--dry-run", action="store_true", help="say what would be done, and do nothing")
        parser.add_argument("--as", dest="username", default="", help="for whom to work; else the project's coordinator")
        parser.add_argument("--json", action="store_true", help="print the whole report as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        """Import, and print what was done."""
        path: Path = options["file"]
        try:
            content = path.read_bytes()
        except OSError as error:
            raise CommandError(f"{path} cannot be read: {error.strerror}.") from None
        do = workbooks.check if options["dry_run"] else workbooks.load
        # A project made for a file that is then refused, or only looked at, is not left behind.
        fresh = not Project.objects.filter(code=options["project"]).exists()
        try:
            with transaction.atomic() if fresh else nullcontext():
                actor, project = project_for(options["project"], create=options["create"], username=options["username"])
                report = do(actor, project, path.name, content, options["sheet"], progress=line)
                if fresh and options["dry_run"]:
                    transaction.set_rollback(True)
        except DomainError as refusal:
            if isinstance(refusal, workbooks.ImportRefused):
                self._tell(refusal.report, options["json"])
            raise CommandError(refusal.detail) from None
        self._tell(report, options["json"])
        if report["faults"]:
            raise CommandError(f"{report['fault_count']} faults. Nothing was changed.")

    def _tell(self, report: dict[str, Any], as_json: bool) -> None:
        if as_json:
            self.stdout.write(json.dumps(report, ensure_ascii=False, indent=1))
            return
        for sheet in report["sheets"]:
            self.stdout.write(f"{sheet['sheet']}: {sheet['created']} created, {sheet['changed']} changed, {sheet['unchanged']} left alone")
        for notice in report["notices"]:
            self.stdout.write(f"Note: {notice if isinstance(notice, str) else notice['detail']}")
        for fault in report["faults"]:
            self.stderr.write(f"{fault['sheet']} row {fault['row']}, {fault['column']}: {fault['detail']}")

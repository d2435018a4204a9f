"""A schedule's files, as a draft to look at or as an issue that goes out and stays."""

import datetime as dt
import io
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final

from django.utils import timezone

from surveys import access, records
from surveys.errors import Conflict, NotFound
from surveys.jobs import Progress, conclude, keep_file
from surveys.models import Job, Project, Schedule, ScheduleIssue
from surveys.records import InputChanged, Issued
from surveys.rules import is_id
from surveys.work import schedules

if TYPE_CHECKING:
    from surveys.workbooks.schedule_sheets import Stamp

ATTEMPTS: Final = 3
TYPES: Final = {
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "pdf": "application/pdf",
    "csv": "text/csv",
}


def schedule_named(project: Project, schedule_id: Any) -> Schedule:
    """A schedule of the project by its id."""
    query = Schedule.objects.select_related("project", "phase")
    found = query.filter(project=project, pk=schedule_id).first() if is_id(schedule_id) else None
    if found is None:
        raise NotFound(f"There is no such schedule in {project.code}.")
    return found


def draft(job: Job, progress: Progress) -> tuple[Any, list[dict[str, Any]]]:
    """The files of a schedule as it is now; each page says that it was not issued."""
    from surveys.workbooks.schedule_sheets import Stamp

    access.require(job.created_by, job.project, access.SEE)
    schedule = schedule_named(job.project, job.params["schedule"])
    stamp = Stamp("", "", timezone.localdate(), str(job.created_by))
    made = schedules.content(schedule)
    return {"schedule": schedule.number}, _files(job, made, [], stamp, job.params.get("paper", "A3"), progress)


def issue(job: Job, progress: Progress) -> tuple[Any, list[dict[str, Any]]]:
    """Issue a schedule: reckon it, make its files, and put all on record; again from the start if the record moved on meanwhile."""
    from surveys.workbooks.schedule_sheets import Stamp

    on = dt.date.fromisoformat(job.params["issued_on"]) if "issued_on" in job.params else timezone.localdate()
    for _ in range(ATTEMPTS):
        schedule = schedule_named(job.project, job.params["schedule"])
        revision = records.next_revision(schedule)
        made = schedules.content(schedule)
        changes = schedules.since_last_issue(schedule, made.rows)
        stamp = Stamp(revision, job.params["purpose"], on, str(job.created_by), job.params.get("note", ""))
        files = _files(job, made, changes, stamp, job.params.get("paper", "A3"), progress)
        issued = Issued(stamp.purpose, on, stamp.note, made.content, changes, made.basis, files)
        told = {"revision": revision, "schedule": schedule.number, "changes": len(changes)}
        try:
            record = records.issue(job.created_by, job.project, schedule.pk, revision, issued, _conclusion(job, told, files))
        except InputChanged:
            continue
        return {"issue": str(record.pk), **told}, files
    raise Conflict("The record was changed each time while the files were made. Issue it when less is written.", code="busy")


def _conclusion(job: Job, told: dict[str, Any], files: list[dict[str, Any]]) -> Callable[[ScheduleIssue], None]:
    """Ends the job in the act that puts the issue on record, so that no issue is made twice."""
    return lambda issue: conclude(job, {"issue": str(issue.pk), **told}, files)


def _files(
    job: Job, made: schedules.Content, changes: list[dict[str, Any]], stamp: "Stamp", size: str, progress: Progress
) -> list[dict[str, Any]]:
    from analysis.papers import schedule as paper
    from surveys.workbooks import schedule_sheets

    name = f"{job.project.code} schedule {made.content['schedule']} {f'revision {stamp.revision}' if stamp.revision else 'draft'}"
    progress(1, 4, "Writing the workbook")
    book = io.BytesIO()
    schedule_sheets.write(made.content, changes, stamp, book, paper=size)
    progress(2, 4, "Drawing the pages")
    pages = paper.schedule_pdf(made.content, changes, str(stamp), paper=size)
    progress(3, 4, "Keeping the files")
    contents = {"xlsx": book.getvalue(), "pdf": pages, "csv": schedule_sheets.as_csv(made.content, stamp)}
    kept = [keep_file(job, f"{name}.{form}", TYPES[form], content) for form, content in contents.items()]
    progress(4, 4, "")
    return kept

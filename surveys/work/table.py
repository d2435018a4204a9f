"""Which work belongs to which kind of job."""

import io
from collections.abc import Callable
from typing import Any

from django.utils import timezone

from analysis.kinds import KINDS
from surveys import jobs, workbooks
from surveys.errors import Conflict, Invalid
from surveys.jobs import Progress, keep_file, space_named, upload_named
from surveys.models import Job, Space
from surveys.rules import is_id
from surveys.work import (
    answering,
    archiving,
    chapter,
    correlating,
    dating,
    drawing,
    issuing,
    labelling,
    picture_colours,
    pictures,
    planning,
    plates,
    preview,
    reading,
    registering,
)

Done = tuple[Any, list[dict[str, Any]]]
PDF = "application/pdf"
ARCHIVE = "application/zip"
WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def do(job: Job, progress: Progress) -> Done:
    """Do a job's work; answer its result and the files it made."""
    return TABLE[job.kind](job, progress)


def _correlate(job: Job, progress: Progress) -> Done:
    spaces = [space_named(job.project, job.params["space"])] if "space" in job.params else list(Space.objects.filter(project=job.project))
    spaces.sort(key=lambda space: (space.sort_key, space.number))
    if not spaces:
        raise Invalid(f"{job.project} has no spaces yet. Import or enter some first.")
    found = correlating.correlate(job.created_by, job.project, spaces, progress)
    # Generations that were found anew have no years yet.
    dated = dating.date(job.created_by, job.project, lambda done, total, now: None)
    refused = [one["refused"] for one in found["spaces"] if "refused" in one]
    if refused and len(refused) == len(spaces):
        raise Conflict(refused[0])
    return {**found, **dated}, []


def _date(job: Job, progress: Progress) -> Done:
    return dating.date(job.created_by, job.project, progress), []


def _preview(job: Job, progress: Progress) -> Done:
    space = space_named(job.project, job.params["space"])
    now = f"Working out what would change in space {space}"
    return preview.preview(job.created_by, job.project, space, job.params["rulings"], lambda done, of: progress(done, of, now)), []


def _chart(job: Job, progress: Progress) -> Done:
    space = space_named(job.project, job.params["space"])
    progress(0, 1, f"Drawing the chart of space {space}")
    made = drawing.chart(job.created_by, job.project, space, job.params["format"], job.params.get("paper", "A3"))
    progress(1, 1)
    return {"space": space.number}, [keep_file(job, *made)]


def _registers(job: Job, progress: Progress) -> Done:
    stream = io.BytesIO()
    workbooks.registers(job.created_by, job.project, stream, progress, on=timezone.now().date(), look=progress.look)
    return {}, [keep_file(job, f"{job.project.code} registers.xlsx", WORKBOOK, stream.getvalue())]


def _check_import(job: Job, progress: Progress) -> Done:
    upload = upload_named(job.project, job.params["upload"])
    content = upload.file.read()
    return workbooks.check(job.created_by, job.project, upload.name, content, job.params.get("sheet"), progress), []


def _import(job: Job, progress: Progress) -> Done:
    upload = upload_named(job.project, job.params["upload"])
    checks = Job.objects.filter(project=job.project, kind="check-import", state="done")
    checked = checks.filter(pk=job.params["checked"]).first() if is_id(job.params["checked"]) else None
    if checked is None or checked.params.get("upload") != str(upload.pk) or checked.params.get("sheet") != job.params.get("sheet"):
        raise Invalid("Check this file first, and look at what it would do; then import it, naming that check.")
    assert checked.result is not None, "a check that is done has a report"
    expected = checked.result["digest"]
    content = upload.file.read()
    sheet, conclude = job.params.get("sheet"), lambda report: jobs.conclude(job, report, [])
    return workbooks.load(job.created_by, job.project, upload.name, content, sheet, expected, progress, conclude), []


def _labels(job: Job, progress: Progress) -> Done:
    progress(0, 1, "Setting labels")
    result, made = labelling.labels(job.created_by, job.project, _space_of(job), job.params)
    progress(1, 1)
    return result, [keep_file(job, name, PDF, content) for name, content in made]


def _sampling_plan(job: Job, progress: Progress) -> Done:
    progress(0, 2, "Working out where samples are wanted")
    result, made = planning.plan(job.created_by, job.project, _space_of(job), job.params, lambda: progress(1, 2, "Setting the sheets"))
    progress(2, 2)
    return result, [keep_file(job, *one) for one in made]


def _chapter(job: Job, progress: Progress) -> Done:
    result, made = chapter.chapter(job.created_by, job.project, job.params, progress)
    return result, [keep_file(job, *one) for one in made]


def _space_of(job: Job) -> Space | None:
    return space_named(job.project, job.params["space"]) if "space" in job.params else None


def _archive(job: Job, progress: Progress) -> Done:
    with archiving.archive(job.created_by, job.project, progress, outputs=bool(job.params.get("outputs"))) as (stream, told):
        file = jobs.keep_stream(job, f"{job.project.code} archive.zip", ARCHIVE, stream)
    return told, [file]


def _import_archive(job: Job, progress: Progress) -> Done:
    upload = upload_named(job.project, job.params["upload"])
    with upload.file.open("rb") as stream:
        conclude = lambda told: jobs.conclude(job, told, [])  # noqa: E731
        return archiving.bring(job.created_by, job.project, upload.name, stream, progress, conclude), []


TABLE: dict[str, Callable[[Job, Progress], Done]] = {
    "correlate": _correlate,
    "preview": _preview,
    "date": _date,
    "chart": _chart,
    "registers": _registers,
    "check-import": _check_import,
    "import": _import,
    "answers": answering.sheets,
    "schedule": issuing.draft,
    "issue-schedule": issuing.issue,
    "labels": _labels,
    "sampling-plan": _sampling_plan,
    "chapter": _chapter,
    "picture-colour": picture_colours.correct,
    "register-pictures": registering.register,
    "read-line": reading.read,
    "plate": plates.plate,
    "archive": _archive,
    "import-archive": _import_archive,
    "picture": pictures.prepare,
}
assert TABLE.keys() == KINDS.keys(), "every kind of job has its work"

"""Making a picture ready to be shown: its tiles in halving sizes and a small one, made anew so that nothing but pixels is in them."""

import contextlib
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.base import File
from django.core.files.storage import default_storage

from surveys import access, jobs, pictures
from surveys.errors import Invalid, TooLarge
from surveys.jobs import Progress
from surveys.models import Attachment, Job
from surveys.pictures import pyramid
from surveys.records import pictures as writes
from surveys.rules import is_id

# Of a hundred steps, those of the decoder; the rest is putting away.
DECODED = 70


def prepare(job: Job, progress: Progress) -> tuple[Any, list[dict[str, Any]]]:
    """Make ready the picture that a job names; one that cannot be opened says so itself, and its file stays as it came."""
    attachment = _named(job)
    progress(0, 100, f"Looking at {attachment.upload.name}")
    try:
        with pictures.opened(attachment) as picture, tempfile.TemporaryDirectory(dir=settings.FILE_UPLOAD_TEMP_DIR) as room:
            picture.verify()
            made = picture.prepare(Path(room), lambda done, total, now: progress(done * DECODED // 100, 100, now))
            folder = f"pictures/{attachment.pk}/{job.pk}-{job.attempt}"
            _keep(folder, Path(room), made, progress)
    except (Invalid, TooLarge) as refusal:
        writes.refused(job.created_by, job.project, attachment, refusal.detail)
        raise
    told = {"width": made.width, "height": made.height, "bits": made.bits}
    shown = {"folder": folder, "remarks": list(made.remarks), "pyramid": pyramid.VERSION}
    result = {"attachment": str(attachment.pk), "number": attachment.number, **told, "remarks": list(made.remarks)}
    try:
        before = writes.ready(job.created_by, job.project, attachment, {**told, "shown": shown}, lambda: jobs.conclude(job, result, []))
    except BaseException:
        forget(folder, made.width, made.height)
        raise
    if before.get("folder") not in (None, folder):
        forget(before["folder"], attachment.width or made.width, attachment.height or made.height)
    return result, []


def _named(job: Job) -> Attachment:
    access.require(job.created_by, job.project, access.WRITE)
    attachment = jobs.picture_named(job.project, job.params["attachment"])
    if attachment.content_type not in pictures.PICTURES:
        raise Invalid(f"Attachment {attachment.number} is no picture, so there is nothing to be made of it.")
    return attachment


def _keep(folder: str, room: Path, made: pictures.Prepared, progress: Progress) -> None:
    """Put the files where files are kept; all, or none where there is no room for them."""
    wanted = list(_files(folder, made.width, made.height))
    here = {f"{folder}/thumbnail.jpg": room / "thumbnail.jpg"}
    here |= {path: room / "tiles_files" / Path(path).relative_to(folder) for path in wanted if path not in here}
    try:
        for done, path in enumerate(wanted):
            progress(DECODED + done * (100 - DECODED) // len(wanted), 100, "Keeping the sizes in which it is shown")
            with here[path].open("rb") as content:
                default_storage.save(path, File(content))
    except BaseException:
        forget(folder, made.width, made.height)
        raise


def _files(folder: str, width: int, height: int) -> Iterable[str]:
    """Where everything that is made of a picture of that size is kept."""
    yield f"{folder}/thumbnail.jpg"
    for level, column, row in pyramid.tiles(width, height):
        yield f"{folder}/{level}/{column}_{row}.jpg"


def forget(folder: str, width: int, height: int) -> None:
    """Delete what was made of a picture; what is not there is gone already."""
    for path in _files(folder, width, height):
        with contextlib.suppress(OSError):
            default_storage.delete(path)
    for one in (*(f"{folder}/{level.level}" for level in pyramid.levels(width, height)), folder):
        # Empty folders, in a store that has them.
        with contextlib.suppress(OSError):
            default_storage.delete(one)


def tidy() -> int:
    """Delete what was made of pictures that are gone, or was left by a try that failed; answer how many folders went."""
    try:
        folders, _ = default_storage.listdir("pictures")
    except (FileNotFoundError, NotImplementedError):
        return 0
    gone = 0
    for name in folders:
        standing = Attachment.objects.filter(pk=name).first() if is_id(name) else None
        if standing is not None and Job.objects.filter(kind=writes.JOB, params__attachment=name, state__in=("queued", "running")).exists():
            continue
        kept = standing.shown.get("folder") if standing else None
        tries, _ = default_storage.listdir(f"pictures/{name}")
        for folder in (f"pictures/{name}/{one}" for one in tries):
            if folder != kept:
                _delete_all(folder)
                gone += 1
        if kept is None:
            with contextlib.suppress(OSError):
                default_storage.delete(f"pictures/{name}")
    return gone


def _delete_all(folder: str) -> None:
    """Delete a folder with all that is in it."""
    folders, files = default_storage.listdir(folder)
    for name in folders:
        _delete_all(f"{folder}/{name}")
    for name in files:
        with contextlib.suppress(OSError):
            default_storage.delete(f"{folder}/{name}")
    with contextlib.suppress(OSError):
        default_storage.delete(folder)

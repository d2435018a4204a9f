"""The files of jobs: what people bring, and what jobs make."""

import hashlib
import io
from contextlib import suppress
from typing import IO, Any

from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage

from surveys import access
from surveys.models import Job, Person, Project, Upload


def upload(actor: Person, project: Project, name: str, content: bytes) -> Upload:
    """Keep a file that somebody brought to be imported."""
    access.require(actor, project, access.IMPORT)
    kept = Upload(project=project, created_by=actor, name=name[-200:], size=len(content), sha256=hashlib.sha256(content).hexdigest())
    # The name that it came with is shown, never used as a path.
    path = f"uploads/{kept.pk}.bin"
    try:
        kept.file.name = default_storage.save(path, ContentFile(content))
        kept.save(force_insert=True)
    except BaseException:
        # What no row names would lie there for ever.
        with suppress(OSError):
            default_storage.delete(path)
        raise
    return kept


def keep_file(job: Job, name: str, content_type: str, content: bytes) -> dict[str, Any]:
    """Keep a file that a job made; answer how its row describes it."""
    return keep_stream(job, name, content_type, io.BytesIO(content))


def forget_others(job: Job, keep: int | None) -> None:
    """Forget the files that attempts at a job have left up to this one, but for the attempt that it was done by, if any."""
    top = f"outputs/{job.pk}"
    with suppress(FileNotFoundError):
        for attempt in default_storage.listdir(top)[0]:
            if attempt.isdigit() and int(attempt) <= job.attempt and int(attempt) != keep:
                for name in default_storage.listdir(f"{top}/{attempt}")[1]:
                    default_storage.delete(f"{top}/{attempt}/{name}")
                default_storage.delete(f"{top}/{attempt}")


def keep_stream(job: Job, name: str, content_type: str, content: IO[bytes]) -> dict[str, Any]:
    """Keep a file that is too large for memory, from its beginning; answer how its row describes it."""
    content.seek(0)
    sha256 = hashlib.file_digest(content, "sha256").hexdigest()  # type: ignore[arg-type]
    size = content.seek(0, io.SEEK_END)
    content.seek(0)
    wanted = f"outputs/{job.pk}/{job.attempt}/{hashlib.sha256(name.encode()).hexdigest()[:16]}"
    try:
        path = default_storage.save(wanted, File(content))
    except OSError:
        # Half a file on a full disk is of no use to anybody.
        default_storage.delete(wanted)
        raise
    return {"name": name, "content_type": content_type, "size": size, "sha256": sha256, "path": path}

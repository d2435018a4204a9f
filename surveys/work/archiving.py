"""A whole project in one file, out and in."""

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import IO, Any

from django.conf import settings

from surveys import archives
from surveys.archives import Progress
from surveys.models import Person, Project


@contextmanager
def archive(actor: Person, project: Project, progress: Progress, *, outputs: bool = False) -> Iterator[tuple[IO[bytes], dict[str, Any]]]:
    """The archive of a project, on disk and not in memory, and what is in it."""
    with tempfile.TemporaryFile(dir=settings.FILE_UPLOAD_TEMP_DIR) as stream:
        manifest = archives.write(actor, project, stream, progress, outputs=outputs)
        yield stream, {"changes": manifest["changes"], "counts": manifest["counts"]}


def bring(
    actor: Person,
    project: Project,
    name: str,
    stream: IO[bytes],
    progress: Progress,
    conclude: Callable[[dict[str, Any]], None] | None = None,
) -> dict[str, Any]:
    """Put an archive into a project that holds nothing yet; what came of it. `conclude` is part of the same act."""
    return archives.bring(actor, project, name, stream, progress, conclude)

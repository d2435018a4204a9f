"""A whole project in one file, out and in.

`layout` says what an archive holds, `writing` writes one, `guard` looks at one that was brought before anything of it is believed,
`reading` makes records of its rows, each value by `values`; `surveys.records.archives` puts them back.
"""

from collections.abc import Callable
from typing import IO, Any

from surveys import access
from surveys.archives.reading import Archive
from surveys.archives.writing import write
from surveys.models import Person, Project
from surveys.records import archives as putting_back

Progress = Callable[[int, int, str], object]

__all__ = ["Archive", "bring", "write"]


def bring(
    actor: Person,
    project: Project,
    name: str,
    stream: IO[bytes],
    progress: Progress,
    conclude: Callable[[dict[str, Any]], None] | None = None,
) -> dict[str, Any]:
    """Put an archive into a project that holds nothing yet; all of it, or nothing. Answers what came of it."""
    access.require(actor, project, access.MANAGE)
    tell = lambda done, total, now="": progress(done, total, now)  # noqa: E731
    return putting_back.bring(actor, project, Archive(name, stream, progress), tell, conclude)

"""What it takes to put a project back: an archive as `surveys.archives` reads it, and somebody who is told how far the work is."""

from collections.abc import Iterator, Mapping
from typing import IO, Any, Protocol
from uuid import UUID

from surveys.models import Change, Job, Mention, Person, Project, Upload


class Archive(Protocol):
    """What is brought: `surveys.archives` reads it."""

    name: str
    code: str
    told_people: list[tuple[str, str]]
    people: Mapping[str, Person]
    ids: dict[str, set[UUID]]
    known: set[UUID]
    project_id: UUID

    def renumber(self, project: Project, *, all_new: bool) -> None:
        """Where it goes, and whether every id is to be a new one."""

    def count(self) -> int:
        """How many records and changes."""

    def about(self) -> dict[str, Any]:
        """The project's own fields."""

    def records(self, name: str, project: Project) -> Iterator[list[Any]]:
        """The records of a kind, some at a time."""

    def mentions(self) -> Iterator[Mention]:
        """Who is called by name in which comment."""

    def lines(self, project: Project) -> Iterator[list[Change]]:
        """The history."""

    def uploads(self, project: Project) -> Iterator[tuple[Upload, str]]:
        """Files that were brought, with their digests."""

    def outputs(self, project: Project) -> Iterator[Job]:
        """Papers that were made."""

    def file(self, sha256: str) -> IO[bytes]:
        """A file by its digest."""


class Tell(Protocol):
    """What is told how far the work is."""

    def __call__(self, done: int, total: int, now: str = "") -> object:
        """So far."""

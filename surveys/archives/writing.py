"""A project written to one file. The same record gives the same bytes; a record that changes meanwhile is written anew."""

import hashlib
import re
import zipfile
from collections.abc import Callable, Iterable, Iterator
from typing import IO, Any

import orjson
from django.core.files.storage import default_storage
from django.db import models

from surveys import access, history
from surveys.archives.layout import (
    FIELDS,
    FORMAT,
    HISTORY,
    KINDS,
    MANIFEST,
    OUTPUTS,
    PEOPLE,
    PROJECT,
    README,
    README_TEXT,
    TOLD,
    UPLOADS,
    VERSION,
    described,
    fields_of,
    names_person,
)
from surveys.errors import Conflict
from surveys.models import Change, Comment, Job, Person, Project, ScheduleIssue, Upload

Progress = Callable[[int, int, str], object]
Row = dict[str, Any]
TRIES = 3
CHUNK = 1024 * 1024
SOME = 500
# A kind that would hold itself.
NOT_KEPT = ("archive",)


def write(actor: Person, project: Project, stream: IO[bytes], progress: Progress, *, outputs: bool = False) -> dict[str, Any]:
    """Write the archive of a project to a stream that can be rewound; answer its manifest."""
    access.require(actor, project, access.MANAGE)
    for _ in range(TRIES):
        project.refresh_from_db()
        seen = (project.change_sequence, project.version, project.dated_at)
        stream.seek(0)
        stream.truncate()
        with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
            manifest = _Writing(project, packed, progress, outputs).run()
        project.refresh_from_db()
        if seen == (project.change_sequence, project.version, project.dated_at):
            return manifest
    raise Conflict("The record is being changed faster than it can be archived. Try again when the team pauses.")


class _Writing:
    """One pass over a project."""

    def __init__(self, project: Project, packed: zipfile.ZipFile, progress: Progress, outputs: bool) -> None:
        self.project = project
        self.packed = packed
        self.progress = progress
        self.outputs = outputs
        self.parts: list[Row] = []
        self.counts: dict[str, int] = {}
        self.names = {person.pk: _sign_in(person, project) for person in Person.objects.all()}
        self.named: set[Any] = set()
        self.files: dict[str, tuple[str, str]] = {}

    def run(self) -> Row:
        """All parts, the manifest last."""
        self._part(README, [README_TEXT.encode()])
        self._part(FIELDS, [orjson.dumps(described(), option=orjson.OPT_INDENT_2)])
        self._part(PROJECT, [orjson.dumps(self._plain(self.project), option=orjson.OPT_INDENT_2)])
        total = len(KINDS) + 2
        for done, (name, model) in enumerate(KINDS.items()):
            self.progress(done, total, f"Packing the records: {model._meta.verbose_name}")
            self._lines(f"records/{name}.jsonl", self._records(model))
        self.progress(len(KINDS), total, "Packing the history")
        self._lines(HISTORY, map(self._line, Change.objects.filter(project=self.project).order_by("sequence").iterator(SOME)))
        self._lines(UPLOADS, map(self._upload, Upload.objects.filter(project=self.project).order_by("created_at", "pk")))
        if self.outputs:
            self._lines(OUTPUTS, map(self._output, self._jobs()))
        for done, sha256 in enumerate(sorted(self.files), start=1):
            self.progress(total - 1, total, f"Packing file {done} of {len(self.files)}")
            self._part(f"files/{sha256}", self._content(sha256), packed=False)
        self._lines(PEOPLE, self._people())
        manifest = {
            "format": FORMAT,
            "version": VERSION,
            "project": {"id": str(self.project.pk), "code": self.project.code, "name": self.project.name},
            "changes": self.project.change_sequence,
            "counts": self.counts,
            "parts": self.parts,
        }
        self._part(MANIFEST, [orjson.dumps(manifest, option=orjson.OPT_INDENT_2)])
        self.progress(total, total, "Packed")
        return manifest

    # -- parts -----------------------------------------------------------------------------------------------------------
    def _part(self, path: str, content: Iterable[bytes], *, packed: bool = True) -> None:
        about = zipfile.ZipInfo(path)  # dated 1980-01-01: no clock in the file
        about.external_attr = 0o600 << 16
        about.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        digest, size = hashlib.sha256(), 0
        with self.packed.open(about, "w", force_zip64=not packed) as out:
            for piece in content:
                digest.update(piece)
                size += len(piece)
                out.write(piece)
        self.parts.append({"path": path, "bytes": size, "sha256": digest.hexdigest()})

    def _lines(self, path: str, rows: Iterable[Row]) -> None:
        count = 0

        def lines() -> Iterator[bytes]:
            nonlocal count
            for row in rows:
                count += 1
                yield orjson.dumps(row) + b"\n"

        self._part(path, lines())
        self.counts[path] = count

    def _content(self, sha256: str) -> Iterator[bytes]:
        path, name = self.files[sha256]
        if not default_storage.exists(path):
            raise Conflict(f"The file {name} of this project is missing from the disk. Whoever runs the program must bring it back first.")
        digest = hashlib.sha256()
        with default_storage.open(path) as kept:
            while piece := kept.read(CHUNK):
                digest.update(piece)
                yield piece
        if digest.hexdigest() != sha256:
            raise Conflict(f"The file {name} of this project is no longer what it was when it came: it was damaged on the disk.")

    # -- rows ------------------------------------------------------------------------------------------------------------
    def _records(self, model: type[models.Model]) -> Iterator[Row]:
        query: Any = model._default_manager.filter(project=self.project).order_by("created_at", "pk")
        query = query.prefetch_related("mentions") if model is Comment else query
        for record in query.iterator(SOME):
            row = self._plain(record)
            if isinstance(record, Comment):
                row["mentions"] = sorted(str(self._person(one.person_id)) for one in record.mentions.all())
            if isinstance(record, ScheduleIssue):
                row["files"] = [self._file(one) for one in record.files]
            yield row

    def _plain(self, record: models.Model) -> Row:
        """A record as JSON can hold it."""
        return {field.name: self._value(field, getattr(record, field.attname)) for field in fields_of(type(record))}

    def _value(self, field: Any, value: Any) -> Any:
        return self._person(value) if names_person(field) else history.plain(value)

    def _person(self, key: Any) -> str | None:
        if key is None:
            return None
        self.named.add(key)
        return self.names.get(key)

    def _line(self, line: Change) -> Row:
        model = TOLD.get(line.record_type)
        people = {field.name for field in model._meta.concrete_fields if names_person(field)} if model else set()
        return {
            "sequence": line.sequence,
            "at": history.plain(line.at),
            "actor": self._person(line.actor_id),
            "action": line.action,
            "record_type": line.record_type,
            "record_id": str(line.record_id),
            "record_name": line.record_name,
            "version": line.version,
            "fields": {
                name: [self._person(value) for value in pair] if name in people else pair
                for name, pair in (line.fields.items() if model else ())
            },
            "act": str(line.act),
            "reason": line.reason,
        }

    def _upload(self, upload: Upload) -> Row:
        self.files[upload.sha256] = (upload.file.name or "", upload.name)
        return {
            "id": str(upload.pk),
            "created_at": history.plain(upload.created_at),
            "created_by": self._person(upload.created_by_id),
            "name": upload.name,
            "size": upload.size,
            "sha256": upload.sha256,
        }

    def _jobs(self) -> Iterator[Job]:
        done = Job.objects.filter(project=self.project, state="done").exclude(kind__in=NOT_KEPT).order_by("created_at", "pk")
        return (job for job in done if job.files)

    def _output(self, job: Job) -> Row:
        return {
            "id": str(job.pk),
            "created_at": history.plain(job.created_at),
            "finished_at": history.plain(job.finished_at),
            "created_by": self._person(job.created_by_id),
            "kind": job.kind,
            "params": job.params,
            "result": job.result,
            "files": [self._file(one) for one in job.files],
        }

    def _file(self, told: Row) -> Row:
        self.files[told["sha256"]] = (told["path"], told["name"])
        return {name: told[name] for name in ("name", "content_type", "size", "sha256")}

    def _people(self) -> list[Row]:
        people = Person.objects.filter(pk__in=self.named)
        return sorted(({"username": self.names[one.pk], "name": one.name} for one in people), key=lambda one: one["username"])


def _sign_in(person: Person, project: Project) -> str:
    """The name by which a person is told; one who stands for somebody of another installation by the name that he has there."""
    if person.is_active:
        return person.username
    return re.sub(rf"\+{re.escape(project.code)}(\+\d+)?\Z", "", person.username)

"""An archive's rows as records that can be put back: each value checked, each reference found within the archive."""

import re
import uuid
from collections.abc import Callable, Iterator, Mapping
from typing import IO, Any, Final, NoReturn

from django.db import models

from analysis.kinds import KINDS as JOB_KINDS
from surveys import rules
from surveys.archives import values
from surveys.archives.guard import Packed, Progress
from surveys.archives.layout import HISTORY, KINDS, OF_THE_PLACE, OUTPUTS, PEOPLE, PROJECT, TOLD, UPLOADS, fields_of, names_person
from surveys.errors import Invalid
from surveys.models import Change, Comment, Job, Layer, Mention, Person, Project, ScheduleIssue, Upload
from surveys.models.findings import About
from surveys.models.work import ACTIONS
from surveys.rules import Refused

SOME: Final = 500
_SHA256: Final = re.compile(r"[0-9a-f]{64}")
_TYPE: Final = re.compile(r"[a-z0-9.+-]{1,60}/[a-z0-9.+-]{1,80}")


class Archive:
    """What an archive holds, a row at a time. Before rows are read, `people` must be set and `renumber` may have been called."""

    def __init__(self, name: str, stream: IO[bytes], tell: Progress) -> None:
        self.name = name
        self.packed = Packed(name, stream, tell)
        self.changes = 0
        self.told_people = self._people()
        self.people: Mapping[str, Person] = {}
        self.ids: dict[str, set[uuid.UUID]] = {name: set() for name in KINDS}
        # Every id that the archive knows, those of removed records too.
        self.known: set[uuid.UUID] = set()
        about = self.packed.manifest.get("project")
        self.code = str(about.get("code", ""))[:40] if isinstance(about, dict) else ""
        self.project_id = self._id("manifest.json", 1, about.get("id") if isinstance(about, dict) else None)
        self._gather()
        self._new: Callable[[uuid.UUID], uuid.UUID] = lambda old: old
        self._here: uuid.UUID = self.project_id
        self._after = 0

    # -- what it says of itself ---------------------------------------------------------------------------------------------
    def _people(self) -> list[tuple[str, str]]:
        """(sign-in name, name) of each person."""
        found: dict[str, str] = {}
        for number, row in self.packed.lines(PEOPLE):
            username, name = row.get("username"), row.get("name")
            if (
                not isinstance(username, str)
                or not 0 < len(username) <= 150
                or not isinstance(name, str)
                or len(name) > 120
                or "\0" in name
            ):
                self._fault(PEOPLE, number, "a person needs a sign-in name and a name.")
            found[username] = name
        return list(found.items())

    def _gather(self) -> None:
        """All ids, so that it is known which references are good and which ids are to be had here."""
        for name in KINDS:
            for number, row in self.packed.lines(f"records/{name}.jsonl"):
                found = self._id(f"records/{name}.jsonl", number, row.get("id"))
                if found in self.ids[name]:
                    self._fault(f"records/{name}.jsonl", number, "this id is there twice.")
                self.ids[name].add(found)
        for number, row in self.packed.lines(HISTORY):
            self.known.add(self._id(HISTORY, number, row.get("record_id")))
            self.changes += 1
        for path in (UPLOADS, OUTPUTS):
            self.known.update(self._id(path, number, row.get("id")) for number, row in self.packed.lines(path))
        self.known.discard(self.project_id)
        self.known.update(*self.ids.values())

    def _id(self, path: str, number: int, value: Any) -> uuid.UUID:
        try:
            return values.identity(value)
        except Refused as fault:
            self._fault(path, number, str(fault))

    def renumber(self, project: Project, *, all_new: bool) -> None:
        """Say which project it goes into, and whether every id is to be another: one that follows from the old id and the project."""
        self._here = project.pk
        self._after = project.change_sequence
        if all_new:
            self._new = lambda old: uuid.uuid5(project.pk, str(old))

    def count(self) -> int:
        """How many records and changes there are."""
        return sum(len(ids) for ids in self.ids.values()) + self.changes

    # -- rows ----------------------------------------------------------------------------------------------------------------
    def about(self) -> dict[str, Any]:
        """The project's own fields."""
        row = self.packed.whole(PROJECT)
        row = {name: value for name, value in row.items() if name not in OF_THE_PLACE}
        return self._values(Project, PROJECT, 1, row)

    def records(self, name: str, project: Project) -> Iterator[list[Any]]:
        """The records of a kind, some at a time."""
        model, path = KINDS[name], f"records/{name}.jsonl"
        batch: list[Any] = []
        for number, row in self.packed.lines(path):
            row.pop("mentions", None)
            record = model(project=project, **self._values(model, path, number, row))
            self._between(record, path, number)
            batch.append(record)
            if len(batch) == SOME:
                yield batch
                batch = []
        if batch:
            yield batch

    def mentions(self) -> Iterator[Mention]:
        """Who is called by name in which comment."""
        path = f"records/{Comment._meta.model_name}.jsonl"
        for number, row in self.packed.lines(path):
            for username in row.get("mentions") or ():
                yield Mention(comment_id=self._new(uuid.UUID(row["id"])), person=self._person(path, number, username))

    def lines(self, project: Project) -> Iterator[list[Change]]:
        """The history, its numbers going on after those of the project that it goes into."""
        batch: list[Change] = []
        for number, row in self.packed.lines(HISTORY):
            batch.append(self._line(project, number, row))
            if len(batch) == SOME:
                yield batch
                batch = []
        if batch:
            yield batch

    def uploads(self, project: Project) -> Iterator[tuple[Upload, str]]:
        """Files that were brought, each with the digest by which the archive has it; where they are kept is not said yet."""
        for number, row in self.packed.lines(UPLOADS):
            told = self._file_row(UPLOADS, number, row, frozenset({"id", "created_at", "created_by", "name", "size", "sha256"}))
            pk = self._new(self._id(UPLOADS, number, row.get("id")))
            made = self._moment(UPLOADS, number, row.get("created_at"))
            who = self._person(UPLOADS, number, row.get("created_by"))
            yield Upload(pk=pk, project=project, created_at=made, created_by=who, **told), told["sha256"]

    def outputs(self, project: Project) -> Iterator[Job]:
        """Papers that were made; where their files are kept is not said yet."""
        for number, row in self.packed.lines(OUTPUTS):
            if row.get("kind") not in JOB_KINDS or not isinstance(row.get("params"), dict):
                self._fault(OUTPUTS, number, "there is no such kind of job.")
            yield Job(
                pk=self._new(self._id(OUTPUTS, number, row.get("id"))),
                project=project,
                created_at=self._moment(OUTPUTS, number, row.get("created_at")),
                finished_at=self._moment(OUTPUTS, number, row.get("finished_at")),
                created_by=self._person(OUTPUTS, number, row.get("created_by")),
                kind=row["kind"],
                params=row["params"],
                result=row.get("result"),
                state="done",
                files=self._files(OUTPUTS, number, row.get("files")),
            )

    def file(self, sha256: str) -> IO[bytes]:
        """A file by its digest."""
        return self.packed.file(sha256)

    # -- one row ---------------------------------------------------------------------------------------------------------------
    def _values(self, model: type[models.Model], path: str, number: int, row: Mapping[str, Any]) -> dict[str, Any]:
        fields = {field.name: field for field in fields_of(model)}
        if unknown := sorted(set(row) - set(fields)):
            self._fault(path, number, f"there is no field '{unknown[0][:60]}'.")
        if lost := sorted(set(fields) - set(row)):
            self._fault(path, number, f"the field '{lost[0]}' is missing.")
        found: dict[str, Any] = {}
        for name, field in fields.items():
            try:
                found |= self._value(model, field, row[name], row, path, number)
            except Refused as fault:
                self._fault(path, number, f"{name}: {fault}")
        return found

    def _value(self, model: type[models.Model], field: Any, value: Any, row: Mapping[str, Any], path: str, number: int) -> dict[str, Any]:
        if field.name == "id":
            return {"id": self._new(values.identity(value))}
        if field.is_relation:
            if value is None and field.null:
                return {field.attname: None}
            if names_person(field):
                return {field.name: self._person(path, number, value)}
            return {field.attname: self._reference(field.related_model._meta.model_name, value)}
        if field.name == "about_id" and issubclass(model, About):
            return {field.name: self._about(row.get("about_type"), value)}
        if field.name == "files" and model is ScheduleIssue:
            return {field.name: self._files(path, number, value)}
        found = values.plain(model, field, value)
        if not isinstance(field, models.JSONField):
            return {field.name: found}
        found = self._with_new_ids(found)
        if field.name == "basis" and isinstance(found.get("sequence"), int):
            # The history goes on after the lines that the project has here already.
            found = {**found, "sequence": found["sequence"] + self._after}
        return {field.name: found}

    def _reference(self, kind: str, value: Any) -> uuid.UUID:
        found = values.identity(value)
        if found not in self.ids[kind]:
            raise Refused(f"this refers to a {KINDS[kind]._meta.verbose_name} that the archive does not hold.")
        return self._new(found)

    def _about(self, kind: Any, value: Any) -> uuid.UUID:
        found = values.identity(value)
        if kind == "project" and found == self.project_id:
            return self._here
        if kind not in KINDS or found not in self.known:
            raise Refused("this is about a record that the archive does not know.")
        return self._new(found)

    def _with_new_ids(self, value: Any) -> Any:
        """A JSON value in which the archive's own ids are those that its records have here."""
        if isinstance(value, dict):
            return {self._with_new_ids(key): self._with_new_ids(one) for key, one in value.items()}
        if isinstance(value, list):
            return [self._with_new_ids(one) for one in value]
        return str(self._moved(uuid.UUID(value))) if isinstance(value, str) and rules.is_id(value) else value

    def _moved(self, old: uuid.UUID) -> uuid.UUID:
        if old == self.project_id:
            return self._here
        return self._new(old) if old in self.known else old

    def _line(self, project: Project, number: int, row: Mapping[str, Any]) -> Change:
        kind, told = row.get("record_type"), row.get("fields")
        if row.get("sequence") != number or row.get("action") not in ACTIONS or not isinstance(told, dict):
            self._fault(HISTORY, number, "this is no line of a history in order.")
        if kind not in TOLD and kind != "invitation":
            self._fault(HISTORY, number, f"there is no kind of record '{str(kind)[:40]}'.")
        texts = {name: row.get(name) for name in ("record_name", "reason")}
        if (
            not all(isinstance(one, str) and len(one) <= 400 and "\0" not in one for one in texts.values())
            or len(texts["record_name"] or "") > 200
        ):
            self._fault(HISTORY, number, "a name or a reason is too long.")
        try:
            version = values.whole(row.get("version"), Change._meta.get_field("version"))
            fields = {name: self._pair(TOLD.get(kind), name, pair) for name, pair in told.items()}
        except Refused as fault:
            self._fault(HISTORY, number, str(fault))
        return Change(
            project=project,
            sequence=self._after + number,
            at=self._moment(HISTORY, number, row.get("at")),
            actor=self._person(HISTORY, number, row.get("actor")),
            action=row["action"],
            record_type=kind,
            record_id=self._moved(self._id(HISTORY, number, row.get("record_id"))),
            version=version,
            fields=fields,
            act=self._new(self._id(HISTORY, number, row.get("act"))),
            **texts,
        )

    def _pair(self, model: type[models.Model] | None, name: str, pair: Any) -> list[Any]:
        """What a field was and became. References are to what the archive knows, so that bringing back reaches no other project."""
        if model is None or not isinstance(pair, list) or len(pair) != 2:
            raise Refused(f"{name[:60]}: this is not a value and what it became.")
        values._shallow(pair)
        field = next((one for one in model._meta.concrete_fields if one.name == name), None)
        if field is None or not (field.is_relation or name == "about_id"):
            return self._with_new_ids(pair) if field is None or isinstance(field, models.JSONField) else list(pair)
        return [None if one is None else self._past(field, one) for one in pair]

    def _past(self, field: Any, value: Any) -> Any:
        if names_person(field):
            if value not in self.people:
                raise Refused(f"{field.name}: this names a person whom the archive does not.")
            return self.people[value].pk
        found = values.identity(value)
        if found != self.project_id and found not in self.known:
            raise Refused(f"{field.name}: this refers to a record that the archive does not know.")
        return str(self._moved(found))

    # -- pieces of rows ----------------------------------------------------------------------------------------------------------
    def _person(self, path: str, number: int, username: Any) -> Person:
        found = self.people.get(username) if isinstance(username, str) else None
        if found is None:
            self._fault(path, number, f"'{str(username)[:60]}' is not among the archive's people.")
        return found

    def _moment(self, path: str, number: int, value: Any) -> Any:
        try:
            return values.moment(value)
        except Refused as fault:
            self._fault(path, number, str(fault))

    def _files(self, path: str, number: int, told: Any) -> list[dict[str, Any]]:
        if not isinstance(told, list) or len(told) > 100:
            self._fault(path, number, "files: this is no list of files.")
        names = frozenset({"name", "content_type", "size", "sha256"})
        return [self._file_row(path, number, one, names) for one in told]

    def _file_row(self, path: str, number: int, row: Any, names: frozenset[str]) -> dict[str, Any]:
        """What a file is called, how large it is, and its digest; refused where the archive has not that very file."""
        if not isinstance(row, dict) or set(row) != names:
            self._fault(path, number, f"a file is told by {', '.join(sorted(names))}.")
        name, size, sha256 = row["name"], row["size"], row["sha256"]
        if (
            not isinstance(name, str)
            or not 0 < len(name) <= 200
            or "\0" in name
            or not isinstance(sha256, str)
            or not _SHA256.fullmatch(sha256)
        ):
            self._fault(path, number, "a file needs a name and a SHA-256.")
        if self.packed.sizes.get(f"files/{sha256}") != size:
            self._fault(path, number, f"the archive does not hold the file '{name[:60]}' of that size.")
        told = {"name": name, "size": size, "sha256": sha256}
        if "content_type" in names:
            if not isinstance(row["content_type"], str) or not _TYPE.fullmatch(row["content_type"]):
                self._fault(path, number, "a file's type is not to be read.")
            told["content_type"] = row["content_type"]
        return told

    def _between(self, record: Any, path: str, number: int) -> None:
        if faults := rules.between(record):
            self._fault(path, number, f"{faults[0].field}: {faults[0].detail}")
        if isinstance(record, Layer) and record.position < 1:
            self._fault(path, number, "position: This counts from 1.")

    def _fault(self, path: str, number: int, text: str) -> NoReturn:
        raise Invalid(f"{self.name} was not brought in, and nothing was changed. {path}, line {number}: {text}", code="archive-refused")

"""An archive's rows as records that can be put back, kind by kind: records, history, files."""

import uuid
from collections.abc import Iterator, Mapping
from typing import IO, Any, Final

from django.db import models

from analysis.kinds import KINDS as JOB_KINDS
from surveys.archives import values
from surveys.archives.layout import HISTORY, KINDS, OF_THE_PLACE, OUTPUTS, PROJECT, TOLD, UPLOADS, names_person
from surveys.archives.rows import Rows
from surveys.models import Change, Comment, Job, Mention, Project, Upload
from surveys.models.work import ACTIONS
from surveys.rules import Refused

SOME: Final = 500


class Archive(Rows):
    """What an archive holds, a row at a time. Before rows are read, `people` must be set and `renumber` may have been called."""

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

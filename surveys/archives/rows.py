"""What all reading of an archive shares: its ids and its people, one value, one reference, one file; each fault told by its place."""

import re
import uuid
from collections.abc import Callable, Mapping
from typing import IO, Any, Final, NoReturn

from django.db import models

from surveys import rules
from surveys.archives import values
from surveys.archives.guard import Packed, Progress
from surveys.archives.layout import HISTORY, KINDS, OUTPUTS, PEOPLE, UPLOADS, fields_of, names_person
from surveys.errors import Invalid
from surveys.models import Layer, Person, Project, ScheduleIssue
from surveys.rules import Refused

_SHA256: Final = re.compile(r"[0-9a-f]{64}")
_TYPE: Final = re.compile(r"[a-z0-9.+-]{1,60}/[a-z0-9.+-]{1,80}")


class Rows:
    """Rows of one archive as values that can be put back. Before any is read, `people` must be set."""

    def __init__(self, name: str, stream: IO[bytes], tell: Progress) -> None:
        self.name = name
        self.packed = Packed(name, stream, tell)
        self.changes = 0
        self.told_people = self._people()
        self.people: Mapping[str, Person] = {}
        self.ids: dict[str, set[uuid.UUID]] = {name: set() for name in KINDS}
        # Of the files that were brought: pictures refer to them.
        self.brought: set[uuid.UUID] = set()
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
        self.brought.update(self._id(UPLOADS, number, row.get("id")) for number, row in self.packed.lines(UPLOADS))
        self.known.update(self._id(OUTPUTS, number, row.get("id")) for number, row in self.packed.lines(OUTPUTS))
        self.known |= self.brought
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
        if field.name == "about_id":
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
        if found not in (self.brought if kind == "upload" else self.ids[kind]):
            what = KINDS[kind]._meta.verbose_name if kind in KINDS else "file"
            raise Refused(f"this refers to a {what} that the archive does not hold.")
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

"""Putting a whole project back from an archive: every record, its history and its files, or nothing.

It goes into a project that holds nothing yet, for its coordinator. Ids are kept where none of them is in use here; otherwise all are new
ones. The people that the archive names are those who sign in here by the same name and are called the same; for each other one a
person is made who cannot sign in, so that nobody here is taken for somebody elsewhere.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import IntegrityError, connection, models

from surveys import access
from surveys.errors import Conflict, Invalid
from surveys.models import (
    Attachment,
    Change,
    Job,
    Layer,
    Membership,
    Person,
    Project,
    Record,
    Ruling,
    Upload,
)
from surveys.records import pictures, rulings, stacks
from surveys.records.brought import Archive, Tell
from surveys.records.writing import Pen, writing

BATCH = 500


def bring(
    actor: Person, project: Project, archive: Archive, tell: Tell, conclude: Callable[[dict[str, Any]], None] | None = None
) -> dict[str, Any]:
    """Put an archive into an empty project; answer what came of it. `conclude` is told that too, and stands or falls with the act."""
    kept: list[str] = []
    try:
        with writing(actor, project, access.MANAGE, reason=f"Brought from an archive of {archive.code}.") as pen:
            told = _Bringing(pen, archive, tell, kept).run()
            if conclude is not None:
                conclude(told)
    except IntegrityError as error:
        _forget(kept)
        raise Invalid(
            f"{archive.name} was not brought in, and nothing was changed: two of its records bear one name or number, or one breaks a "
            "rule of the record.",
            code="archive-refused",
        ) from error
    except BaseException:
        _forget(kept)
        raise
    project.refresh_from_db()
    return told


def _forget(paths: Sequence[str]) -> None:
    for path in paths:
        default_storage.delete(path)


class _Bringing:
    """One archive going into one project."""

    def __init__(self, pen: Pen, archive: Archive, tell: Tell, kept: list[str]) -> None:
        self.pen = pen
        self.archive = archive
        self.tell = tell
        self.kept = kept
        self.done = 0
        self.total = archive.count() + 1
        # Which space each thing is in, and the positions of each sample's layers.
        self.spaces: dict[str, dict[Any, Any]] = {"generation": {}, "element": {}, "sample": {}, "layer": {}}
        self.piles: dict[Any, list[int]] = {}
        self.ruled: set[Any] = set()
        self.looks: dict[str, Callable[[Any], None]] = {
            "generation": self._look_at_generation,
            "element": self._look_at_element,
            "sample": self._look_at_sample,
            "layer": self._look_at_layer,
            "ruling": self._look_at_ruling,
        }

    def run(self) -> dict[str, Any]:
        """All of it, what others refer to first."""
        self._refuse_unless_empty()
        all_new = self._in_use()
        self.archive.renumber(self.pen.project, all_new=all_new)
        self.archive.people = self._people()
        self._project()
        counts = {}
        for name in self.archive.ids:
            counts[name] = 0
            for batch in self.archive.records(name, self.pen.project):
                self._step(f"Bringing the records: {batch[0]._meta.verbose_name}", len(batch))
                counts[name] += self._put(name, batch)
        self._refuse_holes()
        _insert(list(self.archive.mentions()))
        changes = self._history()
        files = self._uploads() + self._outputs()
        self._pictures()
        self._check_order()
        for space in sorted(self.ruled, key=str):
            rulings.check_at_the_end(self.pen, space)
        strangers = sorted(one.name for one in self.archive.people.values() if not one.is_active)
        self.tell(self.total, self.total, "Brought")
        return {
            "code": self.archive.code,
            "records": counts,
            "changes": changes,
            "files": files,
            "ids": "new" if all_new else "kept",
            "strangers": strangers,
        }

    def _step(self, now: str, many: int) -> None:
        self.tell(min(self.done, self.total), self.total, now)
        self.done += many

    # -- before ----------------------------------------------------------------------------------------------------------
    def _refuse_unless_empty(self) -> None:
        for kind in _tables():
            if kind is not Membership and kind._default_manager.filter(project=self.pen.project).exists():
                raise Conflict("An archive is brought into a project that holds nothing yet. Begin a new project, and bring it there.")

    def _in_use(self) -> bool:
        """Whether any id of the archive is in use here, for a record or in the history of another project."""
        ids = list(self.archive.known)
        tables: list[Any] = [*_tables(), Upload, Job]
        for start in range(0, len(ids), BATCH):
            part = ids[start : start + BATCH]
            if Change.objects.filter(record_id__in=part).exists() or any(
                one._default_manager.filter(pk__in=part).exists() for one in tables
            ):
                return True
        return self.archive.project_id != self.pen.project.pk and Project.objects.filter(pk=self.archive.project_id).exists()

    def _people(self) -> dict[str, Person]:
        """Who is meant by each name that the archive uses."""
        told = dict(self.archive.told_people)
        here = {one.username: one for one in Person.objects.filter(username__in=list(told), is_active=True)}
        return {
            username: here[username] if username in here and here[username].name == name else self._stand_in(username, name)
            for username, name in told.items()
        }

    def _stand_in(self, username: str, name: str) -> Person:
        """Somebody of another installation: a person who cannot sign in, under a name that nobody here can have wanted."""
        wanted = f"{username[:120]}+{self.pen.project.code}"
        taken = set(Person.objects.filter(username__startswith=wanted).values_list("username", flat=True))
        free = next(one for one in (wanted, *(f"{wanted}+{number}" for number in range(2, len(taken) + 3))) if one not in taken)
        person = Person(username=free, name=name or username, is_active=False, daily_digest=False)
        person.set_unusable_password()
        person.save(force_insert=True)
        return person

    def _project(self) -> None:
        """The project's own fields; its code stays that of the place, and a line says where it came from."""
        project = self.pen.project
        told = self.archive.about()
        version = told.pop("version")
        told.pop("created_by_id", None)
        for name, value in told.items():
            setattr(project, name, value)
        # Higher than both were, so that nobody's older copy of either passes for this one.
        project.version = max(version, project.version) + 1
        Project.objects.filter(pk=project.pk).update(**told, version=project.version)
        self.pen.act.note("changed", project, {"code": [self.archive.code, project.code]})

    # -- records ------------------------------------------------------------------------------------------------------------
    def _put(self, name: str, batch: list[Any]) -> int:
        if name == "membership":
            batch = self._members(batch)
        if name == "scheduleissue":
            for issue in batch:
                issue.files = self._files(issue, "issues")
        _insert(batch)
        look = self.looks.get(name)
        if look is not None:
            for record in batch:
                look(record)
        return len(batch)

    def _members(self, batch: list[Membership]) -> list[Membership]:
        """Those who are not in the project already: who brings it is its coordinator and stays so."""
        there = set(Membership.objects.filter(project=self.pen.project).values_list("person_id", flat=True))
        return [one for one in batch if one.person_id not in there]

    def _look_at_generation(self, one: Any) -> None:
        self.spaces["generation"][one.pk] = one.space_id

    def _look_at_element(self, one: Any) -> None:
        self.spaces["element"][one.pk] = one.space_id

    def _look_at_sample(self, one: Any) -> None:
        self.spaces["sample"][one.pk] = self.spaces["element"][one.element_id]

    def _look_at_layer(self, one: Layer) -> None:
        space = self.spaces["layer"][one.pk] = self.spaces["sample"][one.sample_id]
        self.piles.setdefault(one.sample_id, []).append(one.position)
        for generation in (one.generation_id, one.runner_up_id):
            if generation is not None and self.spaces["generation"][generation] != space:
                self._refuse("a layer belongs to a generation of another space")

    def _look_at_ruling(self, one: Ruling) -> None:
        space = self.spaces["layer"][one.first_layer_id]
        second = self.spaces["layer"].get(one.second_layer_id, space)
        if second != space or self.spaces["generation"].get(one.generation_id, space) != space:
            self._refuse("a ruling joins what is in two spaces")
        self.ruled.add(space)

    def _refuse_holes(self) -> None:
        for positions in self.piles.values():
            if sorted(positions) != list(range(1, len(positions) + 1)):
                self._refuse("the layers of a sample are not numbered 1, 2, 3 … without holes")

    def _check_order(self) -> None:
        ids = list(self.piles)
        for start in range(0, len(ids), BATCH):
            found: dict[Any, list[Layer]] = {}
            part = Layer.objects.filter(sample__in=ids[start : start + BATCH]).select_related("sample", "generation")
            for layer in part.order_by("sample_id", "position"):
                found.setdefault(layer.sample_id, []).append(layer)
            for pile in found.values():
                stacks.check_order(pile)

    def _refuse(self, what: str) -> None:
        raise Invalid(f"{self.archive.name} was not brought in, and nothing was changed: {what}.", code="archive-refused")

    # -- history and files ----------------------------------------------------------------------------------------------------
    def _history(self) -> int:
        """The archive's history goes on after the two lines with which this project began."""
        project, many = self.pen.project, 0
        for batch in self.archive.lines(project):
            self._step("Bringing the history", len(batch))
            _insert(batch)
            many += len(batch)
        project.change_sequence += many
        Project.objects.filter(pk=project.pk).update(change_sequence=project.change_sequence)
        return many

    def _uploads(self) -> int:
        many = 0
        for upload, sha256 in self.archive.uploads(self.pen.project):
            upload.file.name = self._keep(f"uploads/{upload.pk}.bin", sha256)
            _insert([upload])
            many += 1
        return many

    def _pictures(self) -> None:
        """What a file is follows from its content here too; what is shown of it is made anew."""
        found = list(Attachment.objects.filter(project=self.pen.project).select_related("upload"))
        for one in found:
            try:
                one.content_type = pictures.content_type(one.kind, one.upload)
            except Invalid as refusal:
                self._refuse(f"{one}: {refusal.detail}")
            self.pen.mark(one, content_type=one.content_type)
        pictures.brought_back(self.pen, found)

    def _outputs(self) -> int:
        many = 0
        for job in self.archive.outputs(self.pen.project):
            job.files = self._files(job, "outputs")
            many += len(job.files)
            _insert([job])
        return many

    def _files(self, record: Any, folder: str) -> list[dict[str, Any]]:
        return [{**one, "path": self._keep(f"{folder}/{record.pk}/{one['sha256'][:16]}", one["sha256"])} for one in record.files]

    def _keep(self, path: str, sha256: str) -> str:
        self.tell(min(self.done, self.total), self.total, "Bringing the files")
        with self.archive.file(sha256) as content:
            kept = default_storage.save(path, File(content))
        self.kept.append(kept)
        return kept


def _tables() -> Iterable[Any]:
    """Every kind of record."""
    for model in Record.__subclasses__():
        for kind in [model, *model.__subclasses__()]:
            if not kind._meta.abstract:
                yield kind


def _insert(records: Sequence[models.Model]) -> None:
    """Insert rows just as they are: who made them and when is theirs, and no line of history is added."""
    if not records:
        return
    model: Any = type(records[0])
    fields = [field for field in model._meta.concrete_fields if not isinstance(field, models.AutoField)]
    size = min(BATCH, connection.ops.bulk_batch_size(fields, records))
    for start in range(0, len(records), size):
        # Raw: as a fixture is loaded. bulk_create would date every record to this moment.
        model._base_manager.all()._insert(records[start : start + size], fields=fields, using=connection.alias, raw=True)

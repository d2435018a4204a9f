"""Creations, changes and removals of records of one kind, one or many at once, as one act: all of it, or nothing."""

import copy
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from surveys import access, rules
from surveys.errors import Fault, Invalid, NotFound, Stale, VersionMissing
from surveys.models import (
    Attachment,
    Comment,
    Element,
    Generation,
    Interpretation,
    Layer,
    Membership,
    Person,
    Phase,
    Project,
    Record,
    Registration,
    Ruling,
    Sample,
    Schedule,
    ScheduleRow,
    Space,
    Traverse,
)
from surveys.records import findings, generations, layers, lines, pictures, removal, rulings, schedules, talk
from surveys.records.writing import BATCH, Pen, refuse, writing

MOST = 5_000


@dataclass(frozen=True, slots=True)
class Operation:
    """One row of a batch: 'create' with values, 'change' with id, version and values, 'remove' with id and version."""

    deed: str
    values: Mapping[str, Any]
    id: str | None = None
    version: int | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one row: its deed, and the record as it now is (as it was, if removed)."""

    deed: str
    record: Any


def batch(actor: Person, project: Project, model: type[Record], operations: Sequence[Operation], *, reason: str = "") -> list[Outcome]:
    """Do up to 5,000 operations as one act; the outcomes come in the same order. One fault, and nothing is done."""
    if len(operations) > MOST:
        raise Invalid(f"A batch holds at most {MOST:,} rows; this one has {len(operations):,}. Send it in parts.", code="too-many")
    with writing(actor, project, access.to_write(model), reason=reason) as pen:
        return apply(pen, model, operations)


def create(actor: Person, project: Project, model: type[Record], values: Mapping[str, Any]) -> Any:
    """Make one record."""
    return batch(actor, project, model, [Operation("create", values)])[0].record


def change(actor: Person, project: Project, model: type[Record], record_id: Any, version: int | None, values: Mapping[str, Any]) -> Any:
    """Change one record that was read at that version."""
    return batch(actor, project, model, [Operation("change", values, str(record_id), version)])[0].record


def remove(actor: Person, project: Project, model: type[Record], record_id: Any, version: int | None) -> None:
    """Remove one record, with all that hangs on it, if nothing else cites it."""
    batch(actor, project, model, [Operation("remove", {}, str(record_id), version)])


def apply(pen: Pen, model: type[Record], operations: Sequence[Operation]) -> list[Outcome]:
    """Do operations within an act that is open already."""
    current = _current(pen, model, operations)
    parts = PARTS.get(model, ())
    plain = [replace(one, values={name: one.values[name] for name in one.values if name not in parts}) for one in operations]
    rows = _prepare(pen, model, plain, current)
    for (_, _, values), operation in zip(rows, operations, strict=True):
        values |= {name: operation.values[name] for name in parts if name in operation.values}
    write = WRITERS.get(model, _write_plainly)
    gone = [record for operation, record, _ in rows if operation.deed == "remove"]
    write(pen, [(record, values) for operation, record, values in rows if operation.deed != "remove"])
    REMOVERS.get(model, lambda pen, gone: removal.remove(pen, model, gone))(pen, gone)
    pen.settle()
    return [Outcome(operation.deed, record) for operation, record, _ in rows]


def _current(pen: Pen, model: type[Record], operations: Sequence[Operation]) -> dict[str, Any]:
    """The records that the operations name, locked by the project's lock, if each is at the version named."""
    named = [operation for operation in operations if operation.deed != "create"]
    ids = [str(operation.id).lower() for operation in named if rules.is_id(operation.id)]
    if len(set(ids)) < len(ids):
        raise Invalid("A record may stand in a batch once only.", code="twice")
    query = model._default_manager.filter(project=pen.project).select_related(*RELATED.get(model, ()))
    found: dict[str, Any] = {}
    for start in range(0, len(ids), BATCH):
        found |= {str(record.pk): record for record in query.filter(pk__in=ids[start : start + BATCH])}
    for row, operation in enumerate(operations):
        if operation.deed == "create":
            continue
        record = found.get(str(operation.id).lower())
        if record is None:
            text = f"There is no such {model._meta.verbose_name} in {pen.project.code}."
            raise NotFound(text, faults=(Fault("", "not-found", text, row),))
        if operation.version is None:
            raise VersionMissing("Say which version you changed (If-Match, or 'version' in a batch), so that nobody's work is overwritten.")
        if operation.version != record.version:
            text = f"{record} was changed meanwhile: it is at version {record.version}, you had version {operation.version}."
            raise Stale(text, record, row=row)
    return found


def _prepare(
    pen: Pen, model: type[Record], operations: Sequence[Operation], current: Mapping[str, Any]
) -> list[tuple[Operation, Any, dict[str, Any]]]:
    """Clean, resolve and check every row; refuse all of them if one is at fault."""
    faults: list[Fault] = []
    cleaned: list[dict[str, Any]] = []
    for row, operation in enumerate(operations):
        values, wrong = rules.clean(model, operation.values)
        if operation.deed == "create":
            wrong += _missing(model, operation.values)
        faults += [replace(fault, row=row) for fault in wrong]
        cleaned.append(values)
    resolved, unfound = pen.resolve(model, cleaned)
    faults += unfound
    bad = {fault.row for fault in faults}
    rows: list[tuple[Operation, Any, dict[str, Any]]] = []
    for row, (operation, values) in enumerate(zip(operations, resolved, strict=True)):
        if operation.deed == "create":
            record = model(project=pen.project) if row in bad else model(project=pen.project, **values)
            would_be = record
        else:
            record = current[str(operation.id).lower()]
            would_be = copy.copy(record)
            would_be._state = copy.copy(record._state)
            would_be._state.fields_cache = dict(record._state.fields_cache)
            for name, value in values.items() if row not in bad else ():
                setattr(would_be, name, value)
        if operation.deed != "remove" and row not in bad:
            would_be.project = pen.project
            faults += [replace(fault, row=row) for fault in rules.between(would_be)]
        rows.append((operation, record, values))
    refuse(faults)
    return rows


def _missing(model: type[Record] | type[Project], values: Mapping[str, Any]) -> list[Fault]:
    """Fields that a new record cannot be without."""
    faults = []
    for name in sorted(rules.WRITABLE[model]):
        field: Any = model._meta.get_field(name)
        if name in ("position", "ordinal") or field.blank or field.null or field.has_default() or name in values:
            continue
        faults.append(Fault(name, "required", "This is needed."))
    return faults


Rows = list[tuple[Any, dict[str, Any]]]


def _write_plainly(pen: Pen, rows: Rows) -> None:
    """Insert the new, change the known."""
    new = [record for record, _ in rows if record._state.adding]
    for record in new:
        if isinstance(record, Space) and not record.sort_key:
            record.sort_key = rules.natural_key(record.number)
    pen.create(new)
    pen.change_many([(record, values) for record, values in rows if record not in new and values])


def _write_elements(pen: Pen, rows: Rows) -> None:
    """As plainly; an element that goes to another space takes no placements of the old one along."""
    moving = [record for record, values in rows if not record._state.adding and "space" in values and values["space"].pk != record.space_id]
    _write_plainly(pen, rows)
    layers.leave_space(pen, Layer.objects.filter(sample__element__in=moving))


def _write_samples(pen: Pen, rows: Rows) -> None:
    """As plainly; a sample that goes to an element of another space takes no placements of the old one along."""
    moving = [
        record
        for record, values in rows
        if not record._state.adding and "element" in values and values["element"].space_id != record.element.space_id
    ]
    _write_plainly(pen, rows)
    layers.leave_space(pen, Layer.objects.filter(sample__in=moving))


WRITERS: dict[Any, Callable[[Pen, Rows], None]] = {
    Element: _write_elements,
    Sample: _write_samples,
    Layer: layers.write,
    Ruling: rulings.write,
    Generation: generations.write,
    Phase: generations.write_phases,
    Comment: talk.write,
    Interpretation: findings.write,
    Schedule: schedules.write,
    ScheduleRow: schedules.write_rows,
    Attachment: pictures.write,
    Traverse: lines.write,
}
# What is sent with a record and kept in rows of its own: its writer sees to them.
PARTS: dict[Any, tuple[str, ...]] = {Interpretation: ("citations",)}
# Whose removal is not just anybody's who may write.
REMOVERS: dict[Any, Callable[[Pen, Sequence[Any]], None]] = {Comment: talk.remove, Interpretation: findings.remove}
RELATED: dict[Any, tuple[str, ...]] = {
    ScheduleRow: ("schedule", "element"),
    Comment: ("created_by", "thread"),
    Sample: ("element",),
    Layer: ("sample__element", "generation", "runner_up"),
    Ruling: ("first_layer__sample__element", "second_layer__sample__element", "generation__space"),
    Generation: ("space",),
    Interpretation: ("created_by", "supersedes__created_by"),
    Attachment: ("upload", "microscope", "colour_from"),
    Membership: ("person",),
    Registration: ("fixed", "moving"),
    Traverse: ("attachment", "sample"),
}


# -- the project itself ------------------------------------------------------------------------------


def create_project(actor: Person, values: Mapping[str, Any]) -> Project:
    """Make a project; who makes it is its first coordinator."""
    from django.db import transaction

    from surveys import history

    kept, faults = rules.clean(Project, values)
    faults += _missing(Project, values)
    refuse(faults)
    project = Project(**kept)
    refuse(rules.between(project) + rules.code_faults(project.code))
    if Project.objects.filter(code__iexact=project.code).exists():
        raise Invalid("This code is taken.", faults=(Fault("code", "taken", "This code is taken. Choose another."),))
    project.created_by = actor
    with transaction.atomic():
        project.save(force_insert=True)
        act = history.Act(actor, project)
        act.created(project)
        pen = Pen(actor, project, act)
        pen.create([Membership(project=project, person=actor, role="coordinator", discipline="paint conservation")])
        act.close()
    return project


def change_project(actor: Person, project: Project, version: int | None, values: Mapping[str, Any], *, reason: str = "") -> Project:
    """Change a project's settings."""
    kept, faults = rules.clean(Project, values)
    refuse(faults)
    with writing(actor, project, access.MANAGE, reason=reason) as pen:
        current = pen.project
        if version is None:
            raise VersionMissing("Say which version you changed (If-Match), so that nobody's work is overwritten.")
        if version != current.version:
            raise Stale(f"{current} was changed meanwhile: it is at version {current.version}, you had version {version}.", current)
        would_be = copy.copy(current)
        for name, value in kept.items():
            setattr(would_be, name, value)
        faults = rules.between(would_be)
        if "code" in kept and kept["code"] != current.code:
            faults.append(Fault("code", "fixed", "A project's code stays as it is: links and exports bear it."))
        used = set(Element.objects.filter(project=current).values_list("element_class", flat=True).distinct())
        lost = sorted(used - set(would_be.element_classes))
        if lost:
            faults.append(Fault("element_classes", "in-use", f"These classes are in use and must stay: {', '.join(lost)}."))
        refuse(faults)
        pen.change(current, kept)
        return current

"""Putting back a former value: as a new change, under the rules that hold now."""

from collections.abc import Mapping, Sequence
from typing import Any

from surveys import access
from surveys.errors import Conflict, Fault, Invalid, NotFound
from surveys.models import Change, Membership, Person, Project
from surveys.records import editing, members
from surveys.records.editing import Operation
from surveys.selectors import abouts, past, wording


def put_back(actor: Person, project: Project, record_id: Any, sequence: int, fields: Sequence[str], version: int | None) -> Any:
    """Give fields of a record the values that they had before a change of its history; answer the record."""
    access.require(actor, project, access.SEE)
    line = Change.objects.filter(project=project, record_id=record_id, sequence=sequence).first()
    if line is None:
        raise NotFound(f"There is no change {sequence} of such a record in {project.code}.")
    if line.record_type in past.RESTORABLE:
        access.require(actor, project, past.capability_for(line.record_type))
    values = _values(line, fields)
    model = abouts.MODELS[line.record_type]
    if model is not Project and not model._default_manager.filter(project=project, pk=record_id).exists():
        raise Conflict(f"{_start(line)} was removed. A coordinator can bring it back; after that, put back what you want.", code="removed")
    return _write(actor, project, model, line, version, values)


def _values(line: Change, fields: Sequence[str]) -> dict[str, Any]:
    faults = []
    for name in fields:
        word = wording.label(line.record_type, name)
        if name not in line.fields:
            faults.append(Fault("fields", "not-found", f"Change {line.sequence} did not change '{name[:80]}'."))
        elif not past.restorable(line, name):
            faults.append(
                Fault("fields", "derived", f"The {word} cannot be put back: it is not set by hand, or stays as it was first set.")
            )
    if not fields:
        faults.append(Fault("fields", "required", "Say which fields are to be put back."))
    if faults:
        raise Invalid(faults[0].detail, faults=tuple(faults))
    return {name: line.fields[name][0] for name in fields}


def _write(actor: Person, project: Project, model: Any, line: Change, version: int | None, values: Mapping[str, Any]) -> Any:
    reason = f"Put back to what it was before change {line.sequence}."
    if model is Project:
        return editing.change_project(actor, project, version, values, reason=reason)
    if model is Membership:
        return members.change_member(actor, project, line.record_id, version, values, reason=reason)
    operation = Operation("change", values, str(line.record_id), version)
    return editing.batch(actor, project, model, [operation], reason=reason)[0].record


def _start(line: Change) -> str:
    name = wording.with_kind(line.record_type, line.record_name)
    return name[:1].upper() + name[1:]

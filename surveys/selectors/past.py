"""What befell a record, in words, newest first; and what was removed from a project, with whether it can come back."""

import uuid
from collections.abc import Sequence
from typing import Any, Final

from django.db.models import Count, F, Max, Window
from django.db.models.functions import RowNumber

from surveys import access, rules
from surveys.errors import NotFound
from surveys.models import Change, Interpretation, Membership, Person, Phase, Project
from surveys.selectors import abouts, wording

# How many other records of an act are named; the rest is counted.
NAMED: Final = 6
# At so many of the records of an act it is looked whether something hinders their coming back.
LOOKED_AT: Final = 50
# Records of these kinds have former values that people can put back; other kinds change by deeds of their own.
RESTORABLE: Final = (
    "project", "membership", "space", "element", "sample", "layer", "ruling", "generation", "phase", "evidence", "interpretation",
)  # fmt: skip
# What stays as it was first set, or is moved by deeds of its own only.
FIXED: Final = frozenset({("project", "code"), ("layer", "sample"), ("generation", "space"), ("membership", "person")})


def history(actor: Person, project: Project, record_id: uuid.UUID, before: int | None, limit: int) -> dict[str, Any]:
    """One page of the history of a record, newest first: who, when, what in words, what else changed in the same act."""
    query = Change.objects.filter(project=project, record_id=record_id)
    found = query if before is None else query.filter(sequence__lt=before)
    lines = list(found.select_related("actor").order_by("-sequence")[: limit + 1])
    newest = lines[0] if lines and before is None else query.order_by("-sequence").first()
    if newest is None:
        raise NotFound(f"{project.code} knows nothing of such a record.")
    cursor = lines[limit - 1].sequence if len(lines) > limit else None
    lines = lines[:limit]
    names, others = wording.Names(project, lines), _others(project, record_id, lines)
    there = newest.action != "removed"
    puts_back = there and may_put_back(actor, project, newest.record_type, record_id)
    return {
        "type": newest.record_type,
        "name": newest.record_name,
        "version": newest.version if there else None,
        "changes": [_line(line, names, others.get(line.act, ([], 0)), puts_back) for line in lines],
        "cursor": cursor,
    }


def _line(line: Change, names: wording.Names, beside: tuple[list[dict[str, Any]], int], puts_back: bool) -> dict[str, Any]:
    told = wording.fields_of(line, names)
    return {
        **{name: getattr(line, name) for name in ("sequence", "at", "action", "version", "act", "reason")},
        "actor": line.actor.name,
        "sentence": wording.sentence(line, told),
        "fields": [{**one, "restorable": puts_back and restorable(line, one["name"])} for one in told],
        "beside": beside[0],
        "beside_count": beside[1],
    }


def restorable(line: Change, field: str) -> bool:
    """Whether what a field was before a change is something that a person may put back."""
    if line.action != "changed" or line.record_type not in RESTORABLE or (line.record_type, field) in FIXED:
        return False
    return field in rules.WRITABLE[abouts.MODELS[line.record_type]]


def may_put_back(actor: Person, project: Project, kind: str, record_id: uuid.UUID) -> bool:
    """Whether a person may put back former values of a record: who may write it, of an interpretation its author only."""
    if kind not in RESTORABLE:
        return False
    if not access.may(access.role_of(actor, project), capability_for(kind)):
        return False
    return kind != "interpretation" or Interpretation.objects.filter(project=project, pk=record_id, created_by=actor).exists()


def capability_for(kind: str) -> str:
    """What it takes to write a record of a kind."""
    return access.MANAGE if kind in ("project", "membership") else access.to_write(abouts.MODELS[kind])


def _others(project: Project, record_id: uuid.UUID, lines: Sequence[Change]) -> dict[uuid.UUID, tuple[list[dict[str, Any]], int]]:
    """For each act, some other records that it touched, and how many in all."""
    acts = {line.act for line in lines}
    beside = Change.objects.filter(project=project, act__in=acts).exclude(record_id=record_id)
    counts = dict(beside.values_list("act").annotate(many=Count("record_id", distinct=True)))
    first = beside.annotate(place=Window(RowNumber(), partition_by=F("act"), order_by=F("sequence").asc())).filter(place__lte=NAMED)
    found: dict[uuid.UUID, tuple[list[dict[str, Any]], int]] = {act: ([], many) for act, many in counts.items()}
    for one in first.order_by("sequence"):
        told = {"type": one.record_type, "id": one.record_id, "name": one.record_name, "action": one.action}
        if all(known["id"] != one.record_id for known in found[one.act][0]):
            found[one.act][0].append(told)
    return found


# -- what was removed -------------------------------------------------------------------------------------------------------


def removed(project: Project, before: int | None, limit: int, order: Sequence[str], kind: str | None = None) -> dict[str, Any]:
    """One page of the acts that removed something (of one kind), newest first. `order` is that in which kinds of record come back."""
    lines_of_kind = Change.objects.filter(project=project, action="removed", **({"record_type": kind} if kind else {}))
    acts = lines_of_kind.values("act").annotate(last=Max("sequence")).order_by("-last")
    if before is not None:
        acts = acts.filter(last__lt=before)
    page = list(acts[: limit + 1])
    cursor = page[limit - 1]["last"] if len(page) > limit else None
    page = page[:limit]
    lines = _removed_lines(project, [one["act"] for one in page])
    heads_of = {act: _heads(some, order) for act, some in lines.items()}
    back = _back(project, list(lines))
    looked_at = [line for some in heads_of.values() for line in some[:LOOKED_AT]]
    lost, taken = _lost(project, looked_at), _taken(project, looked_at)
    found = []
    for one in page:
        mine, heads = lines[one["act"]], heads_of[one["act"]]
        hindrance = _hindrance(mine, heads[:LOOKED_AT], order, back, lost, taken)
        state = "brought back" if all(line.record_id in back and back[line.record_id] > line.sequence for line in mine) else "removed"
        found.append(
            {
                "act": one["act"],
                "sequence": one["last"],
                "at": mine[-1].at,
                "actor": mine[-1].actor.name,
                "reason": mine[-1].reason,
                "counts": _counts(mine),
                "records": [{"type": line.record_type, "id": line.record_id, "name": line.record_name} for line in heads[:NAMED]],
                "state": state,
                "recoverable": state == "removed" and not hindrance,
                "hindrance": "" if state != "removed" else hindrance,
            }
        )
    return {"acts": found, "cursor": cursor}


def _removed_lines(project: Project, acts: Sequence[uuid.UUID]) -> dict[uuid.UUID, list[Change]]:
    found: dict[uuid.UUID, list[Change]] = {act: [] for act in acts}
    query = Change.objects.filter(project=project, act__in=acts, action="removed").select_related("actor")
    for line in query.order_by("sequence"):
        found[line.act].append(line)
    return found


def _counts(lines: Sequence[Change]) -> list[dict[str, Any]]:
    counts: dict[str, int] = {}
    for line in lines:
        counts[line.record_type] = counts.get(line.record_type, 0) + 1
    return [{"type": kind, "count": many} for kind, many in counts.items()]


def _heads(lines: Sequence[Change], order: Sequence[str]) -> list[Change]:
    """What the rest of an act hung on: no line of the act refers upwards from it."""
    ids = {str(line.record_id) for line in lines}
    heads = [line for line in lines if not ids & _references(line)]
    rank = {kind: place for place, kind in enumerate(order)}
    return sorted(heads, key=lambda line: (rank.get(line.record_type, len(rank)), line.sequence))


def _references(line: Change) -> set[str]:
    """The ids of the records without which a removed one cannot be."""
    found = set()
    for field, (kept, _) in line.fields.items():
        optional = line.record_type == "layer" and field in ("generation", "runner_up")
        related = wording.reference_of(line.record_type, field)
        if kept is not None and not optional and (field == "about_id" or (related is not None and related in RECORD_KINDS)):
            found.add(str(kept))
    return found


RECORD_KINDS: Final = frozenset(model for kind, model in abouts.MODELS.items() if any(one.name == "project" for one in model._meta.fields))


def _back(project: Project, acts: Sequence[uuid.UUID]) -> dict[uuid.UUID, int]:
    """When each record that some acts removed was last brought back, by its id."""
    gone = Change.objects.filter(project=project, act__in=acts, action="removed").values("record_id")
    query = Change.objects.filter(project=project, action="restored", record_id__in=gone)
    return dict(query.values_list("record_id").annotate(last=Max("sequence")))


def _lost(project: Project, lines: Sequence[Change]) -> dict[str, str]:
    """Of all that removed records refer to, what is gone, by the name that it had."""
    wanted = {one for line in lines for one in _references(line)} - {str(project.pk)}
    keys = [uuid.UUID(one) for one in wanted if rules.is_id(one)]
    query = Change.objects.filter(project=project, record_id__in=keys).order_by("sequence")
    last = {key: (action, kind, name) for key, action, kind, name in query.values_list("record_id", "action", "record_type", "record_name")}
    return {str(key): wording.with_kind(kind, name) for key, (action, kind, name) in last.items() if action == "removed"}


def _taken(project: Project, lines: Sequence[Change]) -> set[tuple[str, Any]]:
    """Of the numbers that removed records bore, those that others bear now."""
    found: set[tuple[str, Any]] = set()
    for model, field in (*rules.NAMES.items(), (Phase, "ordinal")):
        kind = model._meta.model_name
        wanted = [line.fields[field][0] for line in lines if line.record_type == kind and field in line.fields]
        if wanted and kind not in ("project", "invitation"):
            there = model._default_manager.filter(project=project, **{f"{field}__in": wanted})
            found |= {(kind, name) for name in there.values_list(field, flat=True)}
    return found


def _hindrance(
    lines: Sequence[Change],
    heads: Sequence[Change],
    order: Sequence[str],
    back: dict[Any, int],
    lost: dict[str, str],
    taken: set[tuple[str, Any]],
) -> str:
    """Why an act cannot be undone as it stands, in a sentence; '' if nothing is seen that hinders."""
    kinds = {line.record_type for line in lines}
    if Membership._meta.model_name in kinds:
        return "A membership is not brought back; invite the person, or add the person to the members again."
    if not kinds <= set(order):
        return "Records of this kind are not brought back."
    if any(back.get(line.record_id, 0) > line.sequence for line in lines):
        return "Some of this has been brought back already."
    ids = {str(line.record_id) for line in lines}
    gone = [lost[one] for line in heads for one in _references(line) - ids if one in lost]
    if gone:
        return f"Bring back {gone[0]} first: it belongs to that."
    again = [
        line for line in heads if any((line.record_type, kept) in taken for kept, _ in line.fields.values() if not isinstance(kept, list))
    ]
    return f"There is another {again[0].record_type} {again[0].record_name} now. Give that another number first." if again else ""

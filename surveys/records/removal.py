"""Removing records with all that hangs on them, and bringing them back."""

import uuid
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from surveys import access, history
from surveys.errors import Conflict, Forbidden, NotFound
from surveys.models import (
    Attachment,
    Change,
    Citation,
    Comment,
    Element,
    Evidence,
    Generation,
    Interpretation,
    Layer,
    Measurement,
    Membership,
    Microscope,
    Person,
    Phase,
    Project,
    Question,
    Record,
    Registration,
    ReviewRequest,
    Ruling,
    Sample,
    Schedule,
    ScheduleIssue,
    ScheduleRow,
    Space,
    Traverse,
)
from surveys.records import hanging, pictures, rulings, stacks
from surveys.records import lines as drawn
from surveys.records.writing import BATCH, Pen, writing

# What hangs on a record goes with it.
HANGS: dict[Any, tuple[tuple[Any, str], ...]] = {
    Space: ((Element, "space"), (Generation, "space")),
    Element: ((Sample, "element"),),
    Sample: ((Layer, "sample"), (Traverse, "sample")),
    Layer: ((Measurement, "layer"),),
    Attachment: ((Registration, "fixed"), (Registration, "moving"), (Traverse, "attachment")),
    Traverse: ((Measurement, "traverse"),),
    Interpretation: ((Citation, "interpretation"), (ReviewRequest, "interpretation")),
    Schedule: ((ScheduleRow, "schedule"),),
}
# What cites a record keeps it from being removed, unless it goes at the same time.
CITED: dict[Any, tuple[tuple[Any, str], ...]] = {
    Space: ((Evidence, "space"), (Interpretation, "space")),
    Element: ((Evidence, "element"), (Interpretation, "element"), (ScheduleRow, "element")),
    Sample: ((Citation, "sample"),),
    Layer: ((Ruling, "first_layer"), (Ruling, "second_layer"), (Citation, "layer"), (Interpretation, "layer")),
    Generation: (
        (Layer, "generation"),
        (Layer, "runner_up"),
        (Ruling, "generation"),
        (Evidence, "generation"),
        (Interpretation, "generation"),
    ),
    Phase: ((Generation, "phase"), (Evidence, "phase"), (Interpretation, "phase"), (Schedule, "phase")),
    Evidence: ((Citation, "evidence"),),
    Interpretation: ((Citation, "cited"), (Interpretation, "supersedes")),
    Schedule: ((ScheduleIssue, "schedule"),),
    Microscope: ((Attachment, "microscope"),),
    Attachment: ((Attachment, "colour_from"),),
}
# A record is made again after those that it refers to, and removed before them.
ORDER = (
    Phase, Space, Generation, Element, Sample, Layer, Evidence, Ruling, Interpretation, Citation, ReviewRequest, Schedule, ScheduleRow,
    Microscope, Attachment, Registration, Traverse, Measurement, Question, Comment,
)  # fmt: skip


def remove(pen: Pen, model: type[Record], records: Sequence[Any]) -> None:
    """Remove records and what hangs on them; refuse if something that stays cites one of them."""
    if not records:
        return
    going: dict[Any, list[Any]] = {one: [] for one in ORDER}
    _gather(going, model, records)
    _refuse_cited(going)
    if going[Ruling]:
        rulings.release(pen, going[Ruling])
    for kind in reversed(ORDER):
        if kind is model is Layer:
            _take_from_stacks(pen, going[Layer])
        else:
            pen.remove(going[kind])
    drawn.again(pen, [one.fixed_id for one in going[Registration]])


def _gather(going: dict[Any, list[Any]], model: Any, records: Sequence[Any]) -> None:
    # What hangs on two records that both go (a line on its picture and on its sample) goes once.
    known = {record.pk for record in going[model]}
    records = [record for record in records if record.pk not in known]
    going[model] += records
    ids = [record.pk for record in records]
    for child, field in HANGS.get(model, ()):
        found: list[Any] = []
        for start in range(0, len(ids), BATCH):
            found += child._default_manager.filter(**{f"{field}__in": ids[start : start + BATCH]})
        if found:
            _gather(going, child, found)
    if on_them := hanging.attached(str(model._meta.model_name), ids):
        _gather(going, Attachment, on_them)


def _refuse_cited(going: dict[Any, list[Any]]) -> None:
    leaving = {record.pk for records in going.values() for record in records}
    for model, records in going.items():
        ids = [record.pk for record in records]
        for citer, field in CITED.get(model, ()):
            for start in range(0, len(ids), BATCH):
                for cites in citer._default_manager.filter(**{f"{field}__in": ids[start : start + BATCH]}):
                    if cites.pk not in leaving:
                        kind = citer._meta.verbose_name
                        raise Conflict(
                            f"{getattr(cites, field)} cannot be removed: {kind} {cites} refers to it. Change or remove that first.",
                            code="cited",
                        )


def _take_from_stacks(pen: Pen, layers: Sequence[Layer]) -> None:
    """Remove layers; the rest of their samples close up."""
    samples = list({layer.sample_id: layer.sample for layer in layers}.values())
    piles = stacks.stacks_of(pen, samples)
    for layer in layers:
        piles[layer.sample_id].take(layer)
    pen.remove(layers)
    stacks.settle(pen, piles.values())


def restore(actor: Person, project: Project, act: uuid.UUID | str) -> list[Any]:
    """Bring back all that one act removed, as it was; positions and references are checked as for any other write."""
    with writing(actor, project, access.RECOVER, reason="Brought back.") as pen:
        lines = [line for line in history.of_act(pen.project, act) if line.action == "removed"]
        if not lines:
            raise NotFound(f"Nothing was removed from {pen.project.code} by that act.")
        by_model = {model: [line for line in lines if line.record_type == model._meta.model_name] for model in ORDER}
        if any(line.record_type == Membership._meta.model_name for line in lines):
            raise Forbidden("A membership is not brought back; add the person to the members again.")
        made: list[Any] = []
        coming = {line.record_id for line in lines}
        for model in ORDER:
            made += _bring_back(pen, model, by_model[model], coming)
        drawn.brought_back(pen, made)
        return made


def _bring_back(pen: Pen, model: Any, lines: Sequence[Change], coming: Collection[Any]) -> list[Any]:
    if not lines:
        return []
    ids = [line.record_id for line in lines]
    if model._default_manager.filter(pk__in=ids).exists():
        raise Conflict("Some of this has been brought back already.", code="taken")
    made = Change.objects.filter(project=pen.project, record_id__in=ids, action="created").select_related("actor")
    first = {line.record_id: line for line in made}
    makers = {record_id: line.actor for record_id, line in first.items()}
    records = _in_order(model, [_from_line(pen.project, model, line) for line in lines])
    _refuse_lost_references(pen.project, model, records)
    if model in (Question, Comment, Attachment):
        hanging.refuse_orphans(pen, records, coming if model is Attachment else ())
    if model is Layer:
        _put_into_stacks(pen, records, makers)
    else:
        pen.create(records, action="restored", makers=makers)
        pen.date(records, {record_id: line.at for record_id, line in first.items()})
    if model is Comment:
        hanging.call(pen, records)
    if model is Attachment:
        pictures.brought_back(pen, records)
    for record in records:
        if isinstance(record, Ruling):
            rulings.check_at_the_end(pen, record.first_layer.sample.element.space_id)
    return records


def _from_line(project: Project, model: Any, line: Change) -> Any:
    record = model(id=line.record_id, project=project, version=line.version + 1)
    for field in model._meta.concrete_fields:
        if field.name in line.fields:
            value = line.fields[field.name][0]
            kind = field.target_field if field.is_relation else field
            setattr(record, field.attname, kind.to_python(value))
    return record


def _in_order(model: Any, records: list[Any]) -> list[Any]:
    """Records of a kind that refer to each other (an answer to its thread, a finding to what it supersedes): the one referred to first."""
    own = [field.attname for field in model._meta.concrete_fields if field.is_relation and field.related_model is model]
    waiting, placed = list(records), dict[Any, Any]()
    while waiting:
        there = {record.pk for record in waiting}
        free = [record for record in waiting if not any(getattr(record, name) in there for name in own)] or waiting
        placed |= {record.pk: record for record in free}
        waiting = [record for record in waiting if record.pk not in placed]
    return list(placed.values())


def _standing(project: Project, model: Any, ids: set[Any]) -> set[Any]:
    """Those of some ids that there are: of people any, of records those of the project."""
    wanted, found = list(ids), set[Any]()
    own = model._default_manager.filter(project=project) if issubclass(model, Record) else model._default_manager.all()
    for start in range(0, len(wanted), BATCH):
        found |= set(own.filter(pk__in=wanted[start : start + BATCH]).values_list("pk", flat=True))
    return found


def _refuse_lost_references(project: Project, model: Any, records: Sequence[Any]) -> None:
    coming = {record.pk for record in records}
    for field in model._meta.concrete_fields:
        if not field.is_relation or field.name in ("project", "created_by"):
            continue
        wanted = {getattr(record, field.attname) for record in records} - {None}
        known = _standing(project, field.related_model, wanted) | (coming if field.related_model is model else set())
        for record in records:
            value = getattr(record, field.attname)
            if value is None or value in known:
                continue
            if model is Layer and field.name in ("generation", "runner_up"):
                setattr(record, field.attname, None)
                record.placed_by, record.confidence, record.runner_up_confidence = "", None, None
                continue
            what = field.related_model._meta.verbose_name
            raise Conflict(f"{model._meta.verbose_name} cannot be brought back: the {what} that it belongs to is gone.", code="cited")


def _put_into_stacks(pen: Pen, layers: Sequence[Layer], makers: Mapping[Any, Person]) -> None:
    samples = {sample.pk: sample for sample in Sample.objects.filter(pk__in={layer.sample_id for layer in layers}, project=pen.project)}
    piles = stacks.stacks_of(pen, list(samples.values()))
    for layer in sorted(layers, key=lambda one: one.position):
        layer.sample = samples[layer.sample_id]
        pile = piles[layer.sample_id]
        pile.put(layer, min(layer.position, len(pile.layers) + 1))
    stacks.settle(pen, piles.values(), action="restored", makers=makers)
    for pile in piles.values():
        stacks.check_order(pile.layers)

"""Finish schedules: the rows that follow from the record now, with what people added, and how they go out."""

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from analysis.core import as_of, materials, schedules
from analysis.core.cautions import cautions
from surveys import rules
from surveys.models import Change, Interpretation, Project, Schedule, ScheduleIssue, ScheduleRow
from surveys.selectors.materials import material_table
from surveys.work import as_of as finding

# The weightiest state of the interpretations that bear on a finish stands on its row.
WEIGHT: Final = ("disputed", "agreed", "for comment")
BATCH: Final = 500
_LISTS: Final = frozenset({"samples", "layers", "alternatives", "marks", "doubts"})
# Changes of these say nothing new to who reads an issue: how sure a placement is, and when it was reckoned.
UNTOLD: Final = frozenset({"confidence", "runner_up", "runner_up_confidence", "distinctness", "placed_by", "earlier_ordinals"})


@dataclass(frozen=True, slots=True)
class Content:
    """What a schedule says now, as plain values, and what it rests on."""

    content: dict[str, Any]
    rows: tuple[schedules.Row, ...]
    basis: dict[str, Any]


def content(schedule: Schedule) -> Content:
    """Reckon a schedule's rows from the record, and put on them what people added."""
    project = schedule.project
    sequence = Project.objects.values_list("change_sequence", flat=True).get(pk=project.pk)
    found = finding.find(project, schedule.phase or schedule.year or 0)
    added = {str(row.element_id): row for row in ScheduleRow.objects.filter(schedule=schedule).select_related("element", "overridden_by")}
    said = _Said(project)
    told, rows = [], []
    for answer in found.answers:
        element_id, position, _space_id, space_name = found.loaded.about[answer.element]
        generation_id = found.ids.get(f"{answer.space}/{answer.in_force.ordinal}") if answer.in_force else None
        about = said.about(element_id, generation_id)
        addition = added.get(element_id)
        row = schedules.row_of(answer, position=position, review=_weightiest(about))
        if addition:
            row = schedules.with_additions(row, _additions(addition))
        rows.append(row)
        told.append(
            {
                **dataclasses.asdict(row),
                "space_name": space_name,
                "element_id": element_id,
                "generation_id": generation_id,
                "row_id": str(addition.pk) if addition else None,
                "row_version": addition.version if addition else 0,
                "interpretations": [one.number for one in about],
                "sentence": answer.sentence,
            }
        )
    order = sorted(range(len(rows)), key=lambda place: _order(rows[place]))
    cells = {cell for cells in found.loaded.materials.values() for cell in cells}
    return Content(
        {
            "schedule": schedule.number,
            "title": schedule.title,
            "project": {"code": project.code, "name": project.name, "place": project.place},
            "as_of": _as_of(schedule),
            "notes": schedule.notes,
            "state": schedule.state,
            "rows": [told[place] for place in order],
            "marks": {mark: meaning for mark, meaning in schedules.MARKS.items() if any(mark in row.marks for row in rows)},
            "interpretations": said.told({number for one in told for number in one["interpretations"]}),
            "cautions": list(cautions(materials.hazards_of(cells, material_table()), untested_old_paint=True, shows_colour=True)),
        },
        tuple(rows[place] for place in order),
        {"sequence": sequence, "rows": _rests_on(found, told, said)},
    )


def _as_of(schedule: Schedule) -> str:
    if schedule.phase is not None:
        return f"the end of {schedule.phase}" + (f" ({schedule.phase.label})" if schedule.phase.label else "")
    return as_of.year_in_words(schedule.year or 0)


def _order(row: schedules.Row) -> tuple[str, ...]:
    """Space by space; within a space what belongs to one group together, then by class and code."""
    return rules.natural_key(row.space), row.additions.group.casefold(), row.element_class, rules.natural_key(row.element)


def _additions(row: ScheduleRow) -> schedules.Additions:
    return schedules.Additions(
        group=row.group,
        quantity=row.quantity,
        preparation=row.preparation,
        hold_point=row.hold_point,
        remarks=row.remarks,
        finish=row.finish,
        munsell=row.munsell,
        sheen=row.sheen,
        reason=row.override_reason,
        by=row.overridden_by.name if row.overridden_by else "",
    )


class _Said:
    """The interpretations of a project that may bear on a finish: on its element, or on its generation."""

    def __init__(self, project: Project) -> None:
        query = Interpretation.objects.filter(project=project, subject__in=("element", "generation"))
        # A draft is its author's own, and what was replaced is nobody's any more: neither leaves the building.
        query = query.exclude(state__in=("working", "superseded"))
        self.all = list(query.select_related("created_by").order_by("number"))
        self._of: dict[str, list[Interpretation]] = {}
        for one in self.all:
            self._of.setdefault(str(one.element_id or one.generation_id), []).append(one)

    def about(self, element_id: str, generation_id: str | None) -> list[Interpretation]:
        """Those that bear on the finish of one element."""
        return [*self._of.get(element_id, ()), *(self._of.get(generation_id, ()) if generation_id else ())]

    def told(self, numbers: set[int]) -> list[dict[str, Any]]:
        """Some of them, as an evidence index names them."""
        return [
            {
                "number": one.number,
                "state": one.state,
                "discipline": one.discipline,
                "statement": one.statement,
                "certainty": one.certainty,
                "by": one.created_by.name,
            }
            for one in self.all
            if one.number in numbers
        ]


def _weightiest(about: Iterable[Interpretation]) -> str:
    states = {one.state for one in about}
    return next((state for state in WEIGHT if state in states), "")


def _rests_on(found: finding.AsOf, told: list[dict[str, Any]], said: _Said) -> dict[str, list[str]]:
    """By element, the ids of the records that its row rests on, so that a later change can be told on it."""
    numbered = {one.number: str(one.pk) for one in said.all}
    return {
        row["element"]: [
            row["element_id"],
            *(found.loaded.samples[number] for number in row["samples"]),
            *(found.loaded.layers[name] for name in row["layers"]),
            *(numbered[number] for number in row["interpretations"]),
            *(one for one in (row["generation_id"], row["row_id"]) if one),
        ]
        for row in told
    }


# -- what changed -----------------------------------------------------------------------------------------------------------


def row_from(told: Mapping[str, Any]) -> schedules.Row:
    """A row as an issue keeps it, back as a row."""
    names = {one.name for one in dataclasses.fields(schedules.Row)}
    values: dict[str, Any] = {name: tuple(value) if name in _LISTS else value for name, value in told.items() if name in names}
    values["additions"] = schedules.Additions(**told["additions"])
    values["lab"] = tuple(told["lab"]) if told["lab"] else None
    return schedules.Row(**values)


def since_last_issue(schedule: Schedule, rows: Iterable[schedules.Row]) -> list[dict[str, Any]]:
    """What changed row by row since the schedule last went out; nothing where it never did."""
    last = ScheduleIssue.objects.filter(schedule=schedule).order_by("-created_at").first()
    if last is None:
        return []
    before = [row_from(one) for one in last.content["rows"]]
    return [dataclasses.asdict(one) for one in schedules.differences(before, rows)]


def changed_since(issue: ScheduleIssue) -> dict[str, list[dict[str, Any]]]:
    """By element, what of the record that an issue rests on has changed since: record, what was done, by whom, when."""
    owners: dict[str, list[str]] = {}
    for element, ids in issue.basis["rows"].items():
        for record_id in ids:
            owners.setdefault(record_id, []).append(element)
    told: dict[str, list[dict[str, Any]]] = {}
    # By the records, not by all that was written since: years of other work may lie between.
    after = Change.objects.filter(project=issue.project_id, sequence__gt=issue.basis["sequence"]).select_related("actor")
    ids = list(owners)
    found = [line for start in range(0, len(ids), BATCH) for line in after.filter(record_id__in=ids[start : start + BATCH])]
    for line in sorted(found, key=lambda one: one.sequence):
        if line.action == "changed" and set(line.fields) <= UNTOLD:
            continue
        for element in owners.get(str(line.record_id), ()):
            told.setdefault(element, []).append(
                {
                    "record_type": line.record_type,
                    "record": line.record_name,
                    "action": line.action,
                    "fields": sorted(set(line.fields) - UNTOLD) if line.action == "changed" else [],
                    "by": line.actor.name,
                    "at": line.at.isoformat(timespec="seconds"),
                }
            )
    return told

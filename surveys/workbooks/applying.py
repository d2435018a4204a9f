"""Checking and loading a file: the two ways in. A load does all of the plan in one act, or nothing."""

from collections.abc import Callable, Sequence
from typing import Any

from surveys import access, records
from surveys.errors import Conflict, Fault, Invalid
from surveys.models import Element, Layer, Person, Project, Ruling
from surveys.records import generations, layers, rulings
from surveys.records.writing import Pen
from surveys.workbooks import planning, reading
from surveys.workbooks.plan import Plan, SheetPlan
from surveys.workbooks.reading import Progress, no_progress

# Written in this many rows at a time, so that the person who waits sees it move and can stop it.
PART = 2_000


class ImportRefused(Invalid):
    """The file has faults; `report` names them all."""

    code = "import-refused"

    def __init__(self, detail: str, report: dict[str, Any], faults: tuple[Fault, ...]) -> None:
        super().__init__(detail, faults=faults)
        self.report = report


def check(
    actor: Person, project: Project, name: str, content: bytes, sheet: str | None = None, progress: Progress | None = None
) -> dict[str, Any]:
    """What an import of this file would do, with every fault in it; nothing is written."""
    access.require(actor, project, access.IMPORT)
    project.refresh_from_db()
    book = reading.read(name, content, sheet, progress or no_progress)
    return planning.build(project, book, progress or no_progress).report()


def load(
    actor: Person,
    project: Project,
    name: str,
    content: bytes,
    sheet: str | None = None,
    expected_digest: str | None = None,
    progress: Progress | None = None,
    conclude: Callable[[dict[str, Any]], None] | None = None,
) -> dict[str, Any]:
    """Import a file in one act. `expected_digest` is that of the check a person has seen: what would do anything else is refused.

    The plan is made before the project is locked, so that others wait only for the writing; if the record has changed in between,
    it is made again under the lock. `conclude` is called with the report at the end of the act, and stands or falls with it.
    """
    access.require(actor, project, access.IMPORT)
    tell = progress or no_progress
    book = reading.read(name, content, sheet, tell)
    project.refresh_from_db()
    seen = project.change_sequence
    plan = planning.build(project, book, tell)
    report = _acceptable(plan, expected_digest)
    if plan.is_empty:
        return report
    with records.writing(actor, project, access.IMPORT, reason=f"Imported {book.name}.") as pen:
        if pen.project.change_sequence != seen:
            plan = planning.build(pen.project, book, tell)
            report = _acceptable(plan, expected_digest)
        _Writing(pen, plan, tell).run()
        if conclude is not None:
            conclude(report)
    project.refresh_from_db()
    return report


def _acceptable(plan: Plan, expected_digest: str | None) -> dict[str, Any]:
    """The report of a plan that may be done; otherwise the refusal."""
    report = plan.report()
    if plan.faults:
        count = report["fault_count"]
        first = report["faults"][0]
        where = first["sheet"] + (f", row {first['row']}" if first["row"] else "") + (f", {first['column']}" if first["column"] else "")
        more = f" There {'is 1 fault' if count == 2 else f'are {count - 1:,} faults'} more." if count > 1 else ""
        faults = tuple(Fault(one["column"], one["code"], one["detail"], one["row"]) for one in report["faults"])
        raise ImportRefused(f"{plan.name} was not imported, and nothing was changed. {where}: {first['detail']}{more}", report, faults)
    if expected_digest is not None and report["digest"] != expected_digest:
        raise Conflict(
            "The record has changed since the check, so this import would now do something else than you saw. Check it again.",
            code="changed-since-check",
        )
    return report


class _Writing:
    """Does a plan with a pen: what others refer to first."""

    def __init__(self, pen: Pen, plan: Plan, progress: Progress) -> None:
        self.pen = pen
        self.plan = plan
        self.progress = progress
        self.done = 0
        self.total = sum(len(one.created) + len(one.changed) for one in plan.sheets.values()) + len(plan.holds)

    def run(self) -> None:
        """All of it."""
        if self.plan.new_classes:
            self.pen.change(self.pen.project, {"element_classes": [*self.pen.project.element_classes, *self.plan.new_classes]})
        for title in ("Spaces", "Elements", "Samples"):
            self._register(self.plan.sheets[title])
        for fresh in self.plan.generations.values():
            generations.renumber(self.pen, [*generations.of_space(fresh[0].space_id), *fresh])
        self._layers(self.plan.sheets["Layers"])
        self._register(self.plan.sheets["Rulings"])
        self._create(self.plan.holds, "Writing holds")
        self._register(self.plan.sheets["Phases"])
        self._register(self.plan.sheets["Evidence"])
        for space_id in self.plan.ruled_spaces:
            rulings.check_at_the_end(self.pen, space_id)

    def _register(self, one: SheetPlan) -> None:
        now = f"Writing {one.sheet.title.lower()}"
        self._create([record for record, _ in one.created], now)
        self._change([(record, values) for record, values, _ in one.changed], now)
        moved = [record for record, values, _ in one.changed if "space" in values or "element" in values]
        if moved and one.sheet.title in ("Elements", "Samples"):
            where = "sample__element__in" if isinstance(moved[0], Element) else "sample__in"
            for start in range(0, len(moved), 500):
                layers.leave_space(self.pen, Layer.objects.filter(**{where: moved[start : start + 500]}))

    def _layers(self, one: SheetPlan) -> None:
        """New layers lie on top of those that their sample has, at the position that the plan has checked."""
        by_hand = self._placements()
        for layer, _ in one.created:
            for name, value in by_hand.pop(layer.pk, {}).items():
                setattr(layer, name, value)
        changes = [(record, {**values, **by_hand.pop(record.pk, {})}) for record, values, _ in one.changed]
        self._create([layer for layer, _ in one.created], "Writing layers")
        left = [hold.first_layer for hold in self._holds() if hold.first_layer_id in by_hand]
        self._change([*changes, *((layer, by_hand[layer.pk]) for layer in left)], "Writing layers")

    def _holds(self) -> list[Ruling]:
        told = [record for record, _ in self.plan.sheets["Rulings"].created if record.kind == "hold"]
        return [*self.plan.holds, *told]

    def _placements(self) -> dict[Any, dict[str, Any]]:
        """What a hold says of a layer that had no generation."""
        return {
            hold.first_layer_id: {**layers.UNPLACED, "generation": hold.generation, "placed_by": "by hand", "confidence": 1.0}
            for hold in self._holds()
            if hold.first_layer.generation_id is None
        }

    def _create(self, fresh: Sequence[Any], now: str) -> None:
        for start in range(0, len(fresh), PART):
            self._tell(now)
            part = fresh[start : start + PART]
            self.pen.create(part)
            self.done += len(part)

    def _change(self, changes: Sequence[tuple[Any, dict[str, Any]]], now: str) -> None:
        for start in range(0, len(changes), PART):
            self._tell(now)
            part = changes[start : start + PART]
            self.pen.change_many(part)
            self.done += len(part)

    def _tell(self, now: str) -> None:
        self.progress(min(self.done, self.total), self.total, now)

"""The registers of spaces, elements, samples, phases and evidence: one row, one record, known by its name."""

from typing import Any

from django.db.models import Q

from surveys import rules
from surveys.models import Element, Layer, Ruling, Sample
from surveys.workbooks import cells
from surveys.workbooks.planning.draft import Draft
from surveys.workbooks.reading import Row, Rows
from surveys.workbooks.years import Years

EXAMINED = {"examined_visible": ("examined_visible_on", "examined_visible_by"), "examined_uv": ("examined_uv_on", "examined_uv_by")}


def spaces(draft: Draft) -> None:
    """Plan the sheet Spaces."""
    seen: dict[Any, int] = {}
    for rows, row in draft.rows_of("Spaces"):
        meanings, broken = draft.meanings(rows, row)
        number = draft.key(rows, row, meanings, seen)
        if number is None:
            continue
        values, bad = draft.clean(rows, row, meanings)
        known = draft.spaces.get(number)
        if known is not None:
            draft.alter(rows, row, known, values, broken or bad)
        else:
            fresh = draft.create(rows, row, {"number": number, "sort_key": rules.natural_key(number), **values}, broken or bad)
            draft.spaces[number] = fresh


def elements(draft: Draft) -> None:
    """Plan the sheet Elements."""
    seen: dict[Any, int] = {}
    for rows, row in draft.rows_of("Elements"):
        meanings, broken = draft.meanings(rows, row)
        code = draft.key(rows, row, meanings, seen)
        if code is None:
            continue
        space_number, class_name = meanings.pop("space", None), meanings.pop("element_class", None)
        values, bad = draft.clean(rows, row, meanings)
        broken = broken or bad
        if space_number is not None:
            values["space"] = draft.find("Elements", row.number, "Space", "space", draft.spaces, space_number)
            broken = broken or values["space"] is None
        if class_name is not None:
            values["element_class"] = class_of(draft, "Elements", row.number, class_name)
            broken = broken or not values["element_class"]
        known = draft.elements.get(code)
        if known is None:
            draft.elements[code] = draft.create(rows, row, {"code": code, **_present(values)}, broken)
        else:
            if not broken and "space" in values and values["space"].pk != known.space_id:
                broken = not _may_move(draft, row, "Elements", "Space", known, values["space"].number)
            draft.alter(rows, row, known, _present(values), broken)


def class_of(draft: Draft, title: str, row: int, name: str) -> str:
    """The class of the project's list that a word means; a word near to one is at fault (''); a wholly new one joins the list."""
    name = " ".join(name.split())
    found, near = rules.near_class(name, draft.classes)
    if found:
        return found
    if near:
        draft.fault(title, row, "Class", "unknown-class", f"'{name}' is not among the project's classes. Did you mean '{near}'?", name)
        return ""
    kept = draft.cleaned(Element, "element_class", name)
    if isinstance(kept, rules.Refused) or len(draft.classes) >= 500:
        detail = str(kept) if isinstance(kept, rules.Refused) else "A project has at most 500 classes, and this would be one more."
        draft.fault(title, row, "Class", "unknown-class", detail, name)
        return ""
    draft.classes.append(kept)
    draft.plan.new_classes.append(kept)
    draft.notice(title, row, "Class", "class-added", f"'{kept}' is new; it joins the project's list of classes.")
    return str(kept)


def _present(values: dict[str, Any]) -> dict[str, Any]:
    """Without references and classes that were not found (which is a fault already)."""
    return {name: value for name, value in values.items() if not (name in ("space", "element", "element_class") and not value)}


def _may_move(draft: Draft, row: Row, title: str, column: str, record: Element | Sample, target: str) -> bool:
    """An element or sample goes to another space by import only while nothing was placed or ruled on in it."""
    where = {"sample__element": record} if isinstance(record, Element) else {"sample": record}
    inside = Layer.objects.filter(**where)
    ruled = Ruling.objects.filter(Q(first_layer__in=inside) | Q(second_layer__in=inside))
    if not inside.filter(Q(generation__isnull=False) | Q(runner_up__isnull=False)).exists() and not ruled.exists():
        return True
    detail = (
        f"{record} stands in another space in the record, and its layers are placed in generations of that space or ruled on. "
        f"If it belongs to {target}, move it in the program, where you see what is lost."
    )
    draft.fault(title, row.number, column, "placed-elsewhere", detail, target)
    return False


def samples(draft: Draft) -> None:
    """Plan the sheet Samples."""
    seen: dict[Any, int] = {}
    for rows, row in draft.rows_of("Samples"):
        meanings, broken = draft.meanings(rows, row)
        number = draft.key(rows, row, meanings, seen)
        if number is None:
            continue
        code = meanings.pop("element", None)
        known = draft.samples.get(number)
        _split_examined(meanings, known)
        values, bad = draft.clean(rows, row, meanings)
        broken = broken or bad
        if code is not None:
            values["element"] = draft.find("Samples", row.number, "Element", "element", draft.elements, code)
            broken = broken or values["element"] is None
        if known is None:
            draft.samples[number] = draft.create(rows, row, {"number": number, **_present(values)}, broken)
        else:
            target = values.get("element")
            if not broken and target is not None and target.space_id != known.element.space_id:
                broken = not _may_move(draft, row, "Samples", "Element", known, target.code)
            draft.alter(rows, row, known, _present(values), broken)


def _split_examined(meanings: dict[str, Any], known: Sample | None) -> None:
    """'2026-05-14; A. Person' sets a date and a person; what is not said is left alone, '-' clears both."""
    for name, (day_field, person_field) in EXAMINED.items():
        meaning = meanings.pop(name, None)
        if meaning is cells.CLEAR:
            meanings |= {day_field: cells.CLEAR, person_field: cells.CLEAR}
        elif meaning is not None:
            day, person = meaning
            if day is not None:
                meanings[day_field] = day
            if person.strip() and person.strip() != (getattr(known, person_field).strip() if known else ""):
                meanings[person_field] = person.strip()


def phases(draft: Draft) -> None:
    """Plan the sheet Phases."""
    seen: dict[Any, int] = {}
    for rows, row in draft.rows_of("Phases"):
        meanings, broken = draft.meanings(rows, row)
        ordinal = draft.key(rows, row, meanings, seen)
        if ordinal is None:
            continue
        _settle_years(draft, rows, row, meanings, spread=True)
        values, bad = draft.clean(rows, row, meanings)
        known = draft.phases.get(ordinal)
        if known is not None:
            draft.alter(rows, row, known, values, broken or bad)
        else:
            draft.phases[ordinal] = draft.create(rows, row, {"ordinal": ordinal, **values}, broken or bad)


def _settle_years(draft: Draft, rows: Rows, row: Row, meanings: dict[str, Any], *, spread: bool) -> str:
    """Turn the years of two cells into two numbers; answer them as they were written where that says more.

    A range gives its lower end to Earliest and its upper end to Latest. Where the other cell is blank, and the relation does not leave
    that side open (`spread`), it gives both.
    """
    read = {name: meanings[name] for name in ("earliest", "latest") if isinstance(meanings.get(name), Years)}
    written: list[str] = []
    for name, years in read.items():
        meanings[name] = getattr(years, name)
        if not years.written:
            continue
        other = "latest" if name == "earliest" else "earliest"
        if spread and other not in meanings:
            meanings[other] = getattr(years, other)
        if years.written not in written:
            written.append(years.written)
        detail = f"'{years.written}' was read as {years.earliest}–{years.latest}."
        draft.notice(rows.sheet.title, row.number, name.capitalize(), "years-read", detail)
    return " … ".join(written)


def evidence(draft: Draft) -> None:
    """Plan the sheet Evidence."""
    seen: dict[Any, int] = {}
    for rows, row in draft.rows_of("Evidence"):
        meanings, broken = draft.meanings(rows, row)
        reference = draft.key(rows, row, meanings, seen)
        if reference is None:
            continue
        known = draft.known_evidence.get(reference)
        bearing = meanings.pop("bears_on", None)
        relation = draft.cleaned(rows.sheet.model, "relation", meanings.get("relation", known.relation if known else ""))
        written = _settle_years(draft, rows, row, meanings, spread=relation not in ("made after", "made before"))
        given_years = {"earliest", "latest"} & set(meanings)
        values, bad = draft.clean(rows, row, meanings)
        broken = broken or bad
        if bearing is not None:
            target = _bearing(draft, row, bearing)
            broken = broken or target is None
            values |= target or {}
        if written:
            values["years_as_written"] = written
        elif known and any(name in values and values[name] != getattr(known, name) for name in given_years):
            values["years_as_written"] = ""
        if known is not None:
            draft.alter(rows, row, known, values, broken)
        else:
            draft.known_evidence[reference] = draft.create(rows, row, {"reference": reference, **values}, broken)


def _bearing(draft: Draft, row: Row, meaning: Any) -> dict[str, Any] | None:
    """What a piece of evidence bears on, as fields of its record; None where that is not found."""
    values: dict[str, Any] = {"bears_on": "", "phase": None, "space": None, "element": None, "generation": None}
    if meaning is cells.CLEAR:
        return values
    what, name, number = meaning
    values["bears_on"] = what
    if what == "structure":
        return values
    place = ("Evidence", row.number, "Bears on")
    if what == "generation":
        space = draft.find(*place, "space", draft.spaces, name)
        values[what] = draft.generation(*place, space, number, make=False) if space else None
    else:
        known: dict[str, Any] = {"phase": draft.phases, "space": draft.spaces, "element": draft.elements}
        values[what] = draft.find(*place, what, known[what], number if what == "phase" else name)
    return values if values[what] is not None else None

"""The history in words: which field, from what, to what; records by the names that people use, numbers with their units."""

import datetime as dt
import uuid
from collections.abc import Iterable, Mapping
from typing import Any, Final

from surveys import rules
from surveys.models import Change, Person, Project
from surveys.rules.writable import YEAR_FIELDS
from surveys.selectors import abouts, drawn

# Where the word for a field is not its name with blanks. What holds for one kind of record stands under (kind, field).
LABELS: Final[Mapping[Any, str]] = {
    "element_class": "class", "element_classes": "element classes", "munsell": "Munsell", "munsell_by": "how the Munsell was found",
    "lab_l": "L*", "lab_a": "a*", "lab_b": "b*", "colour": "colour as found", "first_colour": "colour as first applied",
    "uv_colour": "UV colour", "uv_strength": "UV strength", "height_mm": "height above the floor", "size_mm": "size",
    "thickness_um": "thickness", "runner_up": "runner-up generation", "runner_up_confidence": "confidence of the runner-up",
    "placed_by": "how it was placed", "examined_visible_on": "examined in visible light on",
    "examined_visible_by": "examined in visible light by", "examined_uv_on": "examined under UV on",
    "examined_uv_by": "examined under UV by", "earliest": "earliest year", "latest": "latest year",
    "earliest_by": "what sets the earliest year", "latest_by": "what sets the latest year", "ordinal": "number",
    "earlier_ordinals": "former numbers", "distinctness": "how surely it is a campaign of its own", "state_by": "moved by",
    "state_at": "moved at", "state_reason": "reason for the state", "about_type": "kind of what it is about",
    "about_id": "what it is about", "about_field": "column that it is about", "to_person": "asked of",
    "to_discipline": "asked of the discipline", "answer_records": "records that the answer rests on",
    "edited_at": "edited at", "resolved_at": "settled at", "resolved_by": "settled by",
    "expires_at": "holds until", "revoked_at": "withdrawn at", "cited": "interpretation that is cited", "issued_on": "issued on",
    "override_reason": "reason for the other finish", "years_as_written": "years as written", "supersedes": "what it supersedes",
    "first_year": "first year of the study", "last_year": "last year of the study", ("layer", "kind"): "kind of film",
    ("sample", "purpose"): "what it was taken to answer", ("reviewrequest", "person"): "who is asked",
}  # fmt: skip
UNITS: Final = {"_mm": "mm", "_um": "µm", "um_per_pixel": "µm a pixel", "_px": "px"}
SHARES: Final = frozenset({"confidence", "runner_up_confidence", "distinctness"})
SHORT: Final = 60
MOST_TOLD: Final = 3
DEEDS: Final = {"created": "Made", "removed": "Removed", "restored": "Brought back"}


def label(record_type: str, field: str) -> str:
    """The word for a field."""
    return LABELS.get((record_type, field)) or LABELS.get(field) or drawn.LABELS.get(field) or field.replace("_", " ")


def reference_of(record_type: str, field: str) -> Any:
    """The kind of record that a field of a kind of record refers to, or None."""
    model = abouts.MODELS.get(record_type)
    found = next((one for one in model._meta.concrete_fields if one.name == field), None) if model else None
    return found.related_model if found is not None and found.is_relation else None


class Names:
    """The names of all that some lines of history refer to, found with one query for each kind of record."""

    def __init__(self, project: Project, lines: Iterable[Change]) -> None:
        wanted: dict[Any, set[str]] = {}
        loose: set[str] = set()
        for line in lines:
            for field, values in line.fields.items():
                model = reference_of(line.record_type, field)
                for value in values:
                    if model is not None and value is not None:
                        wanted.setdefault(model, set()).add(str(value))
                    elif model is None:
                        loose |= _ids_in(field, value)
        self.persons = {
            str(key): name for key, name in Person.objects.filter(pk__in=wanted.pop(Person, set())).values_list("pk", "name") if name
        }
        self.records: dict[str, str] = {}
        for model, ids in wanted.items():
            self.records |= _of_kind(project, model, ids)
        missing = (set().union(*wanted.values()) | loose) - set(self.records)
        if missing:
            self.records |= _as_they_were(project, missing)

    def of(self, model: Any, value: Any) -> str:
        """What people call a record that is referred to; one that is gone by its last name."""
        if model is Person:
            return self.persons.get(str(value), "somebody")
        return self.any(value)

    def any(self, value: Any) -> str:
        """The same for an id of whatever kind of record."""
        return self.records.get(str(value), "a record that is gone")


def _ids_in(field: str, value: Any) -> set[str]:
    if field == "about_id" and rules.is_id(value):
        return {str(value)}
    if isinstance(value, list):
        return {str(one["id"]) for one in value if isinstance(one, dict) and rules.is_id(one.get("id"))}
    return set()


def _of_kind(project: Project, model: Any, ids: set[str]) -> dict[str, str]:
    query = model._default_manager.filter(project=project, pk__in=[one for one in ids if rules.is_id(one)])
    kind = model._meta.model_name
    return {str(one.pk): with_kind(kind, str(one)) for one in query.select_related(*abouts.NAMED_WITH.get(kind, ()))}


def _as_they_were(project: Project, ids: set[str]) -> dict[str, str]:
    """By the last line of history of each: that is the name it had when it went, or has, if it is there."""
    found: dict[str, str] = {}
    keys = [uuid.UUID(one) for one in ids if rules.is_id(one)]
    lines = Change.objects.filter(project=project, record_id__in=keys).order_by("sequence")
    for key, kind, name, action in lines.values_list("record_id", "record_type", "record_name", "action"):
        found[str(key)] = with_kind(kind, name) + (" (removed)" if action == "removed" else "")
    return found


def with_kind(kind: str, name: str) -> str:
    """A record's name after the word for what it is, as in 'layer K-014/3': a bare number would say nothing in a sentence."""
    noun = abouts.MODELS[kind]._meta.verbose_name if kind in abouts.MODELS else kind
    return name if name.startswith(str(noun)) else f"{noun} {name}"


def value(record_type: str, field: str, kept: Any, names: Names) -> str:
    """A value as a person reads it; '' for what is not recorded."""
    if kept is None or kept in ("", []):
        return ""
    if (told := drawn.said(field, kept)) is not None:
        return told
    model = reference_of(record_type, field)
    if model is not None:
        return names.of(model, kept)
    if field == "about_id":
        return names.any(kept)
    if isinstance(kept, list):
        return ", ".join(_part(one, names) for one in kept)
    if isinstance(kept, bool):
        return "yes" if kept else "no"
    if isinstance(kept, int | float):
        return _number(field, kept)
    return _moment(field, str(kept))


def _part(one: Any, names: Names) -> str:
    if not isinstance(one, dict):
        return str(one)
    if "ordinal" in one:
        return str(one["ordinal"])
    if one.get("sentence") or one.get("name"):
        return str(one.get("sentence") or one["name"])
    return names.any(one["id"]) if one.get("id") else str(one.get("key", ""))


def _number(field: str, kept: float) -> str:
    if field in YEAR_FIELDS:
        return f"{-kept:g} BCE" if kept < 0 else str(int(kept))
    if field in SHARES:
        return f"{kept:.0%}".replace("%", " %")
    unit = next((unit for ending, unit in UNITS.items() if field.endswith(ending)), "")
    text = f"{kept:,}" if isinstance(kept, int) else f"{kept:,.4f}".rstrip("0").rstrip(".")
    return f"{text} {unit}".strip().replace("-", "−")


def _moment(field: str, kept: str) -> str:
    """Dates and moments as they are said; all other text as it stands."""
    try:
        if field.endswith("_on") or field == "needed_by":
            day = dt.date.fromisoformat(kept)
            return f"{day.day} {day:%B %Y}"
        if field.endswith("_at"):
            when = dt.datetime.fromisoformat(kept).astimezone(dt.UTC)
            return f"{when.day} {when:%B %Y, %H:%M} UTC"
    except ValueError:
        return kept
    return kept


def in_order(record_type: str, fields: Iterable[str]) -> list[str]:
    """Fields in the order of the record, whatever order a database keeps them in (PostgreSQL sorts the keys of an object)."""
    model = abouts.MODELS.get(record_type)
    places = {one.name: place for place, one in enumerate(model._meta.concrete_fields)} if model else {}
    return sorted(fields, key=lambda name: (places.get(name, len(places)), name))


def fields_of(line: Change, names: Names) -> list[dict[str, str]]:
    """Each field of a line with its word and both values; one that was put back to what it was is left out."""
    told = []
    for field in in_order(line.record_type, line.fields):
        before, after = line.fields[field]
        both = {"before": value(line.record_type, field, before, names), "after": value(line.record_type, field, after, names)}
        if both["before"] or both["after"]:
            told.append({"name": field, "label": label(line.record_type, field), **both})
    return told


def sentence(line: Change, told: list[dict[str, str]]) -> str:
    """A line in one sentence: 'Changed colour as found from “cream” to “stone”.'"""
    if line.action != "changed":
        return f"{DEEDS.get(line.action, line.action.capitalize())}."
    if len(told) > MOST_TOLD:
        return f"Changed {', '.join(one['label'] for one in told[:-1])} and {told[-1]['label']}."
    parts = [_step(one) for one in told]
    return f"Changed {'; '.join(parts)}." if parts else "Changed."


def _step(one: Mapping[str, str]) -> str:
    before, after = (_short(one[side]) for side in ("before", "after"))
    return f"{one['label']} from {before} to {after}"


def _short(text: str) -> str:
    if not text:
        return "blank"
    return f"“{text if len(text) <= SHORT else text[: SHORT - 1].rstrip() + '…'}”"

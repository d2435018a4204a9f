"""Checks on values and between fields, as pure functions. The interface, a paste and an import share them.

`clean(model, values)` is the way in: it answers the values as they will be kept and a list of faults; it never touches the database.
"""

import datetime as dt
import difflib
import math
import re
import unicodedata
import uuid
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from analysis.core import colour
from analysis.core.vocabulary import SYNONYMS
from surveys.errors import Fault
from surveys.models import (
    Comment,
    Element,
    Evidence,
    Generation,
    Interpretation,
    Layer,
    Membership,
    Phase,
    Project,
    Question,
    Ruling,
    Sample,
    Schedule,
    ScheduleRow,
    Space,
)

YEARS = (-9_999, 9_999)

# What a person may set, for each kind of record. What is not here is derived, or set by the record's own doing.
WRITABLE: Mapping[type[models.Model], frozenset[str]] = {
    Project: frozenset({"code", "name", "place", "summary", "first_year", "last_year", "notes", "element_classes"}),
    Membership: frozenset({"person", "role", "discipline"}),
    Space: frozenset({"number", "name", "storey", "kind", "sort_key", "notes"}),
    Element: frozenset({"code", "space", "element_class", "position", "substrate", "description", "notes"}),
    Sample: frozenset(
        [
            "number",
            "element",
            "part",
            "visit",
            "location",
            "purpose",
            "height_mm",
            "size_mm",
            "taken_on",
            "taken_by",
            "bag",
            "mount",
            "kept_at",
            "status",
            "base_state",
            "top_state",
            "examined_visible_on",
            "examined_visible_by",
            "examined_uv_on",
            "examined_uv_by",
            "notes",
        ]
    ),
    Layer: frozenset(
        [
            "sample",
            "position",
            "kind",
            "completeness",
            "colour",
            "munsell",
            "munsell_by",
            "lab_l",
            "lab_a",
            "lab_b",
            "first_colour",
            "sheen",
            "texture",
            "uv_colour",
            "uv_strength",
            "pigments",
            "binder",
            "tests",
            "thickness_um",
            "lower_boundary",
            "notes",
            "generation",
        ]
    ),
    Ruling: frozenset({"kind", "first_layer", "second_layer", "generation", "reason"}),
    Generation: frozenset({"space", "ordinal", "label", "description", "technique", "phase"}),
    Phase: frozenset({"ordinal", "label", "earliest", "latest", "description"}),
    Evidence: frozenset(
        [
            "reference",
            "discipline",
            "kind",
            "source",
            "statement",
            "bears_on",
            "phase",
            "space",
            "element",
            "generation",
            "relation",
            "earliest",
            "latest",
            "years_as_written",
            "certainty",
            "notes",
        ]
    ),
    Interpretation: frozenset(
        {"discipline", "subject", "space", "element", "generation", "phase", "layer", "statement", "certainty", "supersedes"}
    ),
    Question: frozenset({"about_type", "about_id", "to_discipline", "text", "needed_by"}),
    Comment: frozenset({"about_type", "about_id", "about_field", "thread", "text"}),
    Schedule: frozenset({"title", "year", "phase", "notes"}),
    ScheduleRow: frozenset(
        {
            "schedule",
            "element",
            "group",
            "quantity",
            "preparation",
            "hold_point",
            "remarks",
            "finish",
            "munsell",
            "sheen",
            "override_reason",
        }
    ),
}
# Fields by which people name a record: no blanks around them, one line.
NAMES: Mapping[Any, str] = {Space: "number", Element: "code", Sample: "number", Evidence: "reference", Project: "code"}
LISTS: Mapping[Any, tuple[str, ...]] = {Layer: ("pigments", "tests"), Sample: ("mount",)}
YEAR_FIELDS = frozenset({"earliest", "latest", "first_year", "last_year", "year"})


class Refused(ValueError):
    """One value is not acceptable; the text says why."""

    def __init__(self, detail: str, code: str = "invalid") -> None:
        super().__init__(detail)
        self.code = code


def fold(text: str) -> str:
    """A word as it is compared: case, blanks and hyphens do not count."""
    return re.sub(r"[\s_-]+", " ", unicodedata.normalize("NFKC", text)).strip().casefold()


def word_from(text: str, words: Sequence[str]) -> str:
    """The word of a closed list that a text means; refused, with the nearest word offered, where it means none."""
    known = {fold(word): word for word in words} | {fold(other): word for other, word in SYNONYMS.items() if word in words}
    wanted = fold(text)
    if wanted in known:
        return known[wanted]
    near = difflib.get_close_matches(wanted, known, n=1, cutoff=0.7)
    if near:
        raise Refused(f"'{text}' is not in the list. Did you mean '{known[near[0]]}'?", "unknown-word")
    raise Refused(f"'{text}' is not in the list. It knows: {', '.join(words)}.", "unknown-word")


def near_class(name: str, classes: Sequence[str]) -> tuple[str | None, str | None]:
    """(the class of the project's list that a name means or None, one that it nearly is or None)."""
    known = {fold(word): word for word in classes} | {fold(word).replace(" ", ""): word for word in classes}
    wanted = fold(name)
    for form in (wanted, wanted.replace(" ", ""), wanted.removesuffix("s")):
        if form in known:
            return known[form], None
    near = difflib.get_close_matches(wanted, known, n=1, cutoff=0.86)
    return None, known[near[0]] if near else None


def clean_text(value: Any, field: Any, *, is_name: bool) -> str:
    """A text as it will be kept."""
    if value is None:
        value = ""
    if not isinstance(value, str):
        raise Refused("This must be text.")
    value = unicodedata.normalize("NFC", value)
    if any(unicodedata.category(char) in ("Cc", "Cs") and char not in "\t\r\n" for char in value):
        raise Refused("This holds characters that cannot be printed. Type it again.")
    if is_name:
        value = value.strip()
        if any(char in "\t\r\n" for char in value):
            raise Refused("This must be on one line.")
    if value.strip() == "-":
        raise Refused("A lone '-' means 'clear this' in a workbook, so it cannot be kept as a value. Leave it blank, or say it in words.")
    if field.max_length and len(value) > field.max_length:
        raise Refused(f"This is {len(value):,} characters long; at most {field.max_length:,} are kept.", "too-long")
    if not value.strip() and not field.blank:
        raise Refused("This is needed.", "required")
    return value


def clean_number(value: Any, field: Any) -> float | None:
    """A finite number within the field's limits, or None."""
    if value is None or value == "":
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Refused(f"'{value}' is not a number.")
    if not math.isfinite(value):
        raise Refused("This must be a finite number.")
    for validate in field.validators:
        try:
            validate(value)
        except ValidationError as error:
            raise Refused(str(error.messages[0])) from None
    return float(value)


def clean_whole(value: Any, field: Any) -> int | None:
    """A whole number (a year within bounds, a position or ordinal from 1), or None."""
    if value is None or value == "":
        if not field.null and field.name not in ("position", "ordinal"):
            raise Refused("This is needed.", "required")
        return None
    if isinstance(value, bool) or (isinstance(value, float) and not value.is_integer()) or not isinstance(value, int | float):
        what = "a year: write a whole number, as in 1838" if field.name in YEAR_FIELDS else "a whole number"
        raise Refused(f"'{value}' is not {what}.")
    number = int(value)
    if field.name in YEAR_FIELDS and not YEARS[0] <= number <= YEARS[1]:
        raise Refused(f"{number} is not a year between {YEARS[0]} and {YEARS[1]}.")
    if field.name not in YEAR_FIELDS and not 1 <= number <= 100_000:
        raise Refused("This counts from 1.")
    return number


def clean_date(value: Any) -> dt.date | None:
    """A date, or None."""
    if value is None or value == "":
        return None
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    try:
        return dt.date.fromisoformat(str(value))
    except ValueError:
        raise Refused(f"'{value}' is not a date. Write it as 2026-05-14.") from None


def clean_list(text: str) -> str:
    """A list in the workbook's notation: parts separated by '; ', no empty part."""
    return "; ".join(part.strip() for part in text.split(";") if part.strip())


def clean_munsell(text: str) -> str:
    """A Munsell notation in its one canonical form (ASTM D1535)."""
    try:
        return str(colour.parse_munsell(text)) if text.strip() else ""
    except ValueError as error:
        raise Refused(str(error), "impossible-munsell") from None


def clean_classes(value: Any) -> list[str]:
    """A project's list of element classes: distinct words, not empty."""
    if not isinstance(value, list) or not all(isinstance(word, str) and 0 < len(word.strip()) <= 60 for word in value):
        raise Refused("Give a list of words, each of at most 60 characters.")
    words = list(dict.fromkeys(word.strip() for word in value))
    if not words or len(words) > 500 or len({fold(word) for word in words}) < len(words):
        raise Refused("Give between 1 and 500 classes, each once.")
    return words


def clean_one(model: type[models.Model], name: str, value: Any) -> Any:
    """One field's value as it will be kept. References to other records pass: `surveys.records` finds them."""
    field: Any = model._meta.get_field(name)
    if name == "element_classes":
        return clean_classes(value)
    if field.is_relation:
        if value in (None, ""):
            if not field.null:
                raise Refused("This is needed.", "required")
            return None
        return value
    if isinstance(field, models.FloatField):
        return clean_number(value, field)
    if isinstance(field, models.IntegerField):
        return clean_whole(value, field)
    if isinstance(field, models.DateField):
        return clean_date(value)
    text = clean_text(value, field, is_name=NAMES.get(model) == name)
    if field.choices and text.strip():
        return word_from(text, [choice for choice, _ in field.choices])
    if name == "munsell":
        return clean_munsell(text)
    if name in LISTS.get(model, ()):
        # What is left of '; -' is a lone '-' again.
        return clean_text(clean_list(text), field, is_name=False)
    return text


def clean(model: type[models.Model], values: Mapping[str, Any]) -> tuple[dict[str, Any], list[Fault]]:
    """Each given value as it will be kept, and what is wrong with the others."""
    kept: dict[str, Any] = {}
    faults: list[Fault] = []
    for name, value in values.items():
        if name not in WRITABLE[model]:
            faults.append(Fault(name, "unknown-field", f"'{name}' cannot be set on this record."))
            continue
        try:
            kept[name] = clean_one(model, name, value)
        except Refused as refusal:
            faults.append(Fault(name, refusal.code, str(refusal)))
    return kept, faults


def years_fault(earliest: int | None, latest: int | None, field: str = "latest") -> list[Fault]:
    """Years must be in order."""
    if earliest is not None and latest is not None and earliest > latest:
        return [Fault(field, "years-out-of-order", f"The latest year, {latest}, is before the earliest, {earliest}.")]
    return []


def between(record: models.Model) -> list[Fault]:
    """What is wrong between the fields of one whole record."""
    check = BETWEEN.get(type(record))
    return check(record) if check else []


def _project(project: Any) -> list[Fault]:
    return years_fault(project.first_year, project.last_year, "last_year")


def _phase(phase: Any) -> list[Fault]:
    return years_fault(phase.earliest, phase.latest)


def _layer(layer: Any) -> list[Fault]:
    lab = (layer.lab_l, layer.lab_a, layer.lab_b)
    if any(part is None for part in lab) and any(part is not None for part in lab):
        return [Fault("lab_l", "incomplete-lab", "Give L*, a* and b* together, or none of them.")]
    faults = []
    if lab[0] is not None and not 0 <= lab[0] <= 100:
        faults.append(Fault("lab_l", "out-of-range", "L* lies between 0 and 100."))
    faults += [
        Fault(name, "out-of-range", f"{star} lies between -200 and 200.")
        for name, star, part in (("lab_a", "a*", lab[1]), ("lab_b", "b*", lab[2]))
        if part is not None and not -200 <= part <= 200
    ]
    if layer.thickness_um is not None and not 0 < layer.thickness_um <= 100_000:
        faults.append(Fault("thickness_um", "out-of-range", "A thickness lies above 0 and up to 100,000 µm."))
    if layer.munsell_by and not layer.munsell:
        faults.append(Fault("munsell_by", "without-munsell", "This says how the Munsell notation was found, but there is none."))
    return faults


def _sample(sample: Any) -> list[Fault]:
    if sample.size_mm is not None and sample.size_mm <= 0:
        return [Fault("size_mm", "out-of-range", "A size is above 0 mm.")]
    return []


def _element(element: Any) -> list[Fault]:
    if element.element_class in element.project.element_classes:
        return []
    found, near = near_class(element.element_class, element.project.element_classes)
    offer = found or near
    hint = f"Did you mean '{offer}'?" if offer else "A coordinator can add it in the project's settings."
    return [Fault("element_class", "unknown-class", f"'{element.element_class}' is not among the project's classes. {hint}")]


def _evidence(evidence: Any) -> list[Fault]:
    faults = years_fault(evidence.earliest, evidence.latest)
    wanted = evidence.bears_on
    for target in ("phase", "space", "element", "generation"):
        named = getattr(evidence, f"{target}_id") is not None
        if target == wanted and not named:
            faults.append(Fault(target, "required", f"Evidence that bears on a {target} must name it."))
        if target != wanted and named:
            faults.append(Fault(target, "not-borne-on", f"This evidence bears on {wanted or 'nothing yet'}, so it cannot name a {target}."))
    if evidence.relation == "between" and (evidence.earliest is None or evidence.latest is None):
        faults.append(Fault("relation", "years-missing", "'between' needs both an earliest and a latest year."))
    return faults


def _ruling(ruling: Any) -> list[Fault]:
    hold = ruling.kind == "hold"
    if hold and ruling.generation_id is None:
        return [Fault("generation", "required", "A hold names the generation in which it holds the layer.")]
    if hold and ruling.second_layer_id is not None:
        return [Fault("second_layer", "not-needed", "A hold is of one layer; leave the second blank.")]
    if not hold and ruling.second_layer_id is None:
        return [Fault("second_layer", "required", f"A {ruling.kind} names two layers.")]
    if not hold and ruling.generation_id is not None:
        return [Fault("generation", "not-needed", f"A {ruling.kind} names two layers and no generation.")]
    if ruling.first_layer_id == ruling.second_layer_id:
        return [Fault("second_layer", "same-layer", "A ruling is between two different layers.")]
    return []


BETWEEN: Mapping[Any, Any] = {
    Project: _project,
    Phase: _phase,
    Layer: _layer,
    Sample: _sample,
    Element: _element,
    Evidence: _evidence,
    Ruling: _ruling,
}


def order_fault(layers: Iterable[Any]) -> Fault | None:
    """Within a sample generations never fall as positions rise; `layers` bottom to top, with their generations loaded."""
    below = None
    for layer in layers:
        if layer.generation_id is None:
            continue
        if below is not None and layer.generation.ordinal < below.generation.ordinal:
            return Fault(
                "generation",
                "against-the-order",
                f"Layer {layer} lies above {below}, so it cannot belong to generation {layer.generation.ordinal} "
                f"while {below} belongs to generation {below.generation.ordinal}. Withdraw one of the two placements first.",
            )
        below = layer
    return None


def natural_key(text: str) -> str:
    """A key that sorts 'K-2' before 'K-10'."""
    return re.sub(r"\d+", lambda digits: digits.group().zfill(8), text.casefold())[:80]


def code_faults(code: str) -> list[Fault]:
    """A project's code stands in addresses."""
    if re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]*", code):
        return []
    return [Fault("code", "invalid", "A code is made of letters, digits, - and _ only, as in HALL-1.")]


def is_id(value: Any) -> bool:
    """Whether a value can be a record's id."""
    try:
        uuid.UUID(str(value))
    except ValueError:
        return False
    return True

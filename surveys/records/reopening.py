"""An agreed interpretation whose ground changes is put back to 'for comment', in the same act, and its thread says what changed.

It is done where an act closes (`surveys.records.writing`), from the act's own lines of history, so no way of changing a record goes round
it: an edit, a paste, an import, a correlation that moves a layer, a removal. The number of queries does not depend on the
act's size. What counts as ground: what it cites (of a cited sample its layers too), the record that it is about, and its own text.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from django.apps import apps
from django.db.models import Q

from surveys.models import Change, Citation, Interpretation, Layer
from surveys.records import states
from surveys.rules import grounds

if TYPE_CHECKING:
    from surveys.records.writing import Pen

SUBJECTS: Final = ("element", "generation", "phase", "layer")
# So many changes are told one by one.
TOLD: Final = 12
# An act on so few records is looked up by them; for a larger one all that agreed interpretations cite is read, in as many queries.
FEW: Final = 100


def reopen(pen: "Pen") -> None:
    """Reopen what rests on anything that this act changed; and what rests on that, until nothing more falls."""
    done = 0
    while True:
        lines = [line for line in pen.act.lines[done:] if _matters(line)]
        done = len(pen.act.lines)
        if not lines:
            return
        fallen = _resting_on(pen, lines)
        if not fallen:
            return
        agreed = list(Interpretation.objects.filter(pk__in=list(fallen)))
        words = _words([line for found in fallen.values() for line in found])
        states.reopen(pen, {pk: _sentence(found, pk, words) for pk, found in fallen.items()}, agreed)


def _told_fields(line: Change) -> list[str]:
    return grounds.told_fields(line.record_type, line.fields)


def _matters(line: Change) -> bool:
    if line.record_type == "interpretation":
        return bool(grounds.TEXT & set(line.fields)) or line.fields.get("state", [""])[0] == states.AGREED
    return bool(_told_fields(line))


def _resting_on(pen: "Pen", lines: Sequence[Change]) -> dict[Any, list[Change]]:
    """The agreed interpretations of the project that rest on what the lines tell of, each with those lines."""
    agreed = Interpretation.objects.filter(project=pen.project, state=states.AGREED)
    # What came with this act, from an archive for instance, came with its ground: it stays as it came.
    fresh = {str(line.record_id) for line in pen.act.lines if line.record_type == "interpretation" and line.action != "changed"}
    rows = [row for row in agreed.values_list("pk", *(f"{name}_id" for name in SUBJECTS)) if str(row[0]) not in fresh]
    if not rows:
        return {}
    touched: dict[str, list[Change]] = {}
    for line in lines:
        touched.setdefault(str(line.record_id), []).append(line)
    found = {row[0]: [line for record_id in row for line in touched.get(str(record_id), ())] for row in rows}
    of_samples = _layers_by_sample(pen, touched, lines)
    cited = Citation.objects.filter(project=pen.project, interpretation__state=states.AGREED)
    if len(touched) <= FEW:
        some = [*touched, *of_samples]
        cited = cited.filter(Q(sample__in=some) | Q(layer__in=some) | Q(evidence__in=some) | Q(cited__in=some))
    citations = cited.values_list("interpretation", "sample", "layer", "evidence", "cited", "interpretation__supersedes")
    for pk, sample, layer, evidence, other, supersedes in citations:
        if pk not in found:
            continue
        for record_id in (sample, layer, evidence):
            found[pk] += touched.get(str(record_id), ())
        found[pk] += of_samples.get(str(sample), ())
        found[pk] += [line for line in touched.get(str(other), ()) if not (other == supersedes and _is_replacement(line))]
    return {pk: list({id(line): line for line in told}.values()) for pk, told in found.items() if told}


def _is_replacement(line: Change) -> bool:
    """Whether an interpretation was superseded: to what supersedes it, that is no loss."""
    return line.fields.get("state", ["", ""])[1] == states.SUPERSEDED


def _layers_by_sample(pen: "Pen", touched: Mapping[str, list[Change]], lines: Iterable[Change]) -> dict[str, list[Change]]:
    """The lines on layers, by the sample in which each layer lies or lay; of cited samples only."""
    found: dict[str, list[Change]] = {}
    if not any(line.record_type == "layer" for line in lines):
        return found
    within = Layer.objects.filter(project=pen.project, sample__citations__interpretation__state=states.AGREED).distinct()
    if len(touched) <= FEW:
        within = within.filter(pk__in=list(touched))
    for layer, sample in within.values_list("pk", "sample"):
        found.setdefault(str(sample), []).extend(touched.get(str(layer), ()))
    for line in lines:
        if line.record_type == "layer" and line.action == "removed":
            found.setdefault(str(line.fields["sample"][0]), []).append(line)
    return found


# -- in words ---------------------------------------------------------------------------------------------------------------


def _sentence(lines: Sequence[Change], interpretation: Any, words: Mapping[str, str]) -> str:
    own = [line for line in lines if line.record_id == interpretation]
    others = [line for line in lines if line.record_id != interpretation]
    if not others:
        return f"{grounds.AGAIN}, because its text was changed."
    told = [_told(line, words) for line in others[:TOLD]]
    if len(others) > TOLD:
        told.append(f"and {len(others) - TOLD} more changes")
    changed = "; ".join(told)
    also = " Its text was changed as well." if own else ""
    return f"{grounds.AGAIN}, because what it rests on changed: {changed}.{also}"


def _told(line: Change, words: Mapping[str, str]) -> str:
    name = line.record_name if line.record_name.startswith(line.record_type) else f"{line.record_type} {line.record_name}"
    if line.action == "removed":
        return f"{name} was removed"
    if line.action != "changed":
        return f"{name} was {'brought back' if line.action == 'restored' else 'added'}"
    if "state" in line.fields:
        return f"{name} is no longer agreed"
    parts = [f"{field.replace('_', ' ')} {_values(line.fields[field], words)}" for field in _told_fields(line)]
    return f"{name}: {', '.join(parts)}"


def _values(values: Sequence[Any], words: Mapping[str, str]) -> str:
    before, after = (_value(value, words) for value in values)
    if len(before) + len(after) > 120:
        return "(changed)"
    return f"from {before} to {after}"


def _value(value: Any, words: Mapping[str, str]) -> str:
    if value in (None, "", []):
        return "blank"
    if isinstance(value, list):
        return ", ".join(str(one) for one in value)
    return words.get(str(value), f"'{value}'")


def _words(lines: Iterable[Change]) -> dict[str, str]:
    """The names of the records to which changed references point, by id; a query for each kind of record."""
    wanted: dict[Any, set[str]] = {}
    for line in lines:
        model: Any = apps.get_model("surveys", line.record_type)
        for name in _told_fields(line) if line.action == "changed" else ():
            field = model._meta.get_field(name) if name != "citations" else None
            if field is not None and field.is_relation:
                wanted.setdefault(field.related_model, set()).update(str(value) for value in line.fields[name] if value)
    together = {"generation": ("space",), "layer": ("sample",)}
    found: dict[str, str] = {}
    for model, ids in wanted.items():
        query = model._default_manager.filter(pk__in=list(ids)[:900]).select_related(*together.get(model._meta.model_name, ()))
        found |= {str(record.pk): str(record) for record in query}
    return found

"""What the people of the demonstration conclude of it: interpretations written and moved by the same ways as anybody's."""

from collections.abc import Mapping, Sequence
from typing import Any

from surveys import records
from surveys.models import Element, Evidence, Interpretation, Layer, Person, Phase, Project, Sample, Space


def findings(project: Project, people: Mapping[str, Person], told: Sequence[Mapping[str, Any]]) -> dict[str, Interpretation]:
    """Write the interpretations told of, in order, and move each as its people did; by key.

    A generation is named by a layer that belongs to it, since it has no number before the layers are correlated.
    """
    made: dict[str, Interpretation] = {}
    for one in told:
        author = people[one["by"]]
        kind, name = one["about"]
        values = {name: one[name] for name in ("discipline", "statement", "certainty")}
        values |= {"subject": kind, kind: str(_subject(project, kind, name).pk)}
        values["citations"] = [_citation(project, made, *cite) for cite in one["cites"]]
        if "supersedes" in one:
            values["supersedes"] = str(made[one["supersedes"]].pk)
        record = records.create(author, project, Interpretation, values)
        for who, to, reason in one["moves"]:
            if to != "for comment" and "review" in one:
                records.ask_review(author, project, record.pk, one["review"])
            record.refresh_from_db()
            record = records.transition(people[who], project, record.pk, record.version, to, reason)
        if "review" in one and record.state == "for comment":
            records.ask_review(author, project, record.pk, one["review"])
        made[one["key"]] = record
    return made


def _layer(project: Project, name: str) -> Layer:
    number, _, position = name.rpartition("/")
    return Layer.objects.select_related("generation").get(project=project, sample__number=number, position=position)


def _subject(project: Project, kind: str, name: str) -> Any:
    if kind == "generation":
        return _layer(project, name).generation
    return record_of(project, kind, name)


def record_of(project: Project, kind: str, name: str) -> Any:
    """The record that people call so."""
    if kind == "layer":
        return _layer(project, name)
    model: Any
    model, field = {
        "space": (Space, "number"),
        "element": (Element, "code"),
        "sample": (Sample, "number"),
        "phase": (Phase, "ordinal"),
        "evidence": (Evidence, "reference"),
    }[kind]
    return model._default_manager.get(project=project, **{field: name})


def _citation(project: Project, made: Mapping[str, Interpretation], kind: str, name: str, note: str) -> dict[str, str]:
    record = made[name] if kind == "interpretation" else record_of(project, kind, name)
    return {"type": kind, "id": str(record.pk), "note": note}

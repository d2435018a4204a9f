"""What the people of the demonstration say to each other and ask of each other, by the same ways as anybody."""

from collections.abc import Mapping, Sequence
from typing import Any

from surveys import records
from surveys.models import Comment, Person, Project
from surveys.records import questions, talk
from surveys.work.demonstrated import record_of


def comments(project: Project, people: Mapping[str, Person], told: Sequence[Mapping[str, Any]]) -> None:
    """Make the comments told of, with their answers; settle those that were settled."""
    for one in told:
        values = {**_about(project, one), "about_field": one.get("field", "")}
        head = records.create(people[one["by"]], project, Comment, {**values, "text": one["text"]})
        for who, text in one.get("replies", ()):
            records.create(people[who], project, Comment, {**values, "text": text, "thread": str(head.pk)})
        if "resolved_by" in one:
            talk.resolve(people[one["resolved_by"]], project, head.pk)


def asked(project: Project, people: Mapping[str, Person], told: Sequence[Mapping[str, Any]]) -> None:
    """Ask the questions told of; answer and withdraw those that were answered and withdrawn."""
    for one in told:
        values = {name: one[name] for name in ("text", "to_person", "to_discipline", "needed_by") if name in one}
        question = questions.ask(people[one["by"]], project, {**_about(project, one), **values})
        if "answer" in one:
            answer = one["answer"]
            rests_on = [{"type": kind, "id": str(record_of(project, kind, name).pk)} for kind, name in answer["records"]]
            questions.answer(people[answer["by"]], project, question.pk, answer["text"], rests_on)
        if one.get("withdrawn"):
            questions.withdraw(people[one["by"]], project, question.pk)


def _about(project: Project, one: Mapping[str, Any]) -> dict[str, str]:
    kind, name = one["about"]
    record = project if kind == "project" else record_of(project, kind, name)
    return {"about_type": kind, "about_id": str(record.pk)}

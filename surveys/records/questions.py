"""Writes of questions: asked of a person or a discipline, answered with the records that the answer rests on, withdrawn, opened again.

Who asked words it and withdraws it. The person who is asked answers, or anybody of the discipline that is; a coordinator may answer too,
since nobody else could settle what was asked of somebody who has left. For the same reason a coordinator stands in for who asked, once
that person belongs to the project no more.
"""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from django.utils import timezone

from surveys import access, rules
from surveys.errors import Conflict, Fault, Invalid, NotFound
from surveys.models import Person, Project, Question
from surveys.models.findings import TALKED_ABOUT
from surveys.records.writing import Pen, refuse, writing
from surveys.selectors import abouts, talk

MOST_RECORDS: Final = 50
FIXED: Final = ("about_type", "about_id")


def ask(actor: Person, project: Project, values: Mapping[str, Any]) -> Question:
    """Ask a person (`to_person`, by the name that he signs in with) or a discipline something about a record."""
    with writing(actor, project, access.TALK) as pen:
        kept, faults = _cleaned(pen, values)
        faults += [Fault(name, "required", "This is needed.") for name in ("about_type", "about_id", "text") if name not in values]
        refuse(faults)
        question = Question(project=pen.project, **kept)
        refuse(_addressed(question))
        if not abouts.records(pen.project, [(question.about_type, question.about_id)]):
            text = f"There is no such {question.about_type} in {pen.project.code}."
            raise Invalid(text, faults=(Fault("about_id", "not-found", text),))
        pen.number([question])
        pen.create([question])
        return question


def reword(actor: Person, project: Project, question_id: Any, version: int | None, values: Mapping[str, Any]) -> Question:
    """Put an open question otherwise, or ask somebody else."""
    with writing(actor, project, access.TALK) as pen:
        question: Question = pen.find(Question, question_id, version)
        access.require_asker(actor, project, question)
        _require(question, "open")
        kept, faults = _cleaned(pen, values)
        faults += [
            Fault(name, "fixed", "A question stays with what it is about. Withdraw it and ask anew.") for name in FIXED if name in values
        ]
        refuse(faults)
        if kept.get("to_person") and "to_discipline" not in kept:
            kept["to_discipline"] = ""
        elif kept.get("to_discipline") and "to_person" not in kept:
            kept["to_person"] = None
        for name, value in kept.items():
            setattr(question, name, value)
        refuse(_addressed(question))
        question.refresh_from_db()
        pen.change(question, kept)
        return question


def _cleaned(pen: Pen, values: Mapping[str, Any]) -> tuple[dict[str, Any], list[Fault]]:
    kept, faults = rules.clean(Question, {name: value for name, value in values.items() if name != "to_person"})
    if "to_person" in values:
        username = values["to_person"]
        kept["to_person"] = talk.people(pen.project).get(username) if username else None
        if username and kept["to_person"] is None:
            # The same for who is nobody, for who belongs to other projects only, and for who may not see this one.
            faults.append(Fault("to_person", "not-found", f"Nobody who could answer in {pen.project.code} signs in as '{username}'."))
    return kept, faults


def _addressed(question: Question) -> list[Fault]:
    if question.to_person_id is not None and question.to_discipline:
        return [Fault("to_discipline", "two-addressees", "Ask one person or one discipline, not both.")]
    if question.to_person_id is None and not question.to_discipline:
        return [Fault("to_person", "required", "Say whom you ask: a person or a discipline.")]
    return []


def answer(actor: Person, project: Project, question_id: Any, text: str, rests_on: Sequence[Mapping[str, Any]]) -> Question:
    """Answer a question, with the records that the answer rests on."""
    with writing(actor, project, access.TALK) as pen:
        question = _found(pen, question_id)
        access.require_answerer(actor, project, question)
        _require(question, "open")
        try:
            said = rules.clean_one(Question, "answer", text)
        except rules.Refused as refusal:
            raise Invalid(str(refusal), faults=(Fault("answer", refusal.code, str(refusal)),)) from None
        if not said.strip():
            raise Invalid("An answer is needed.", faults=(Fault("answer", "required", "This is needed."),))
        cited = _cited(pen, rests_on)
        pen.change(
            question, {"state": "answered", "answer": said, "answer_records": cited, "answered_by": actor, "answered_at": timezone.now()}
        )
        return question


def _cited(pen: Pen, rests_on: Sequence[Mapping[str, Any]]) -> list[dict[str, str]]:
    """The records named, each once, if they all are of this project."""
    wanted = list(dict.fromkeys((str(one["type"]), str(one["id"]).lower()) for one in rests_on))
    if len(wanted) > MOST_RECORDS:
        text = f"An answer rests on at most {MOST_RECORDS} records."
        raise Invalid(text, faults=(Fault("records", "too-many", text),))
    bad = [one for one in wanted if one[0] not in TALKED_ABOUT or not rules.is_id(one[1])]
    there = abouts.records(pen.project, [one for one in wanted if one not in bad])
    known = {(about_type, str(about_id)) for about_type, about_id in there}
    refuse(
        [
            Fault("records", "not-found", f"There is no such {kind[:40]} in {pen.project.code}.")
            for kind, pk in wanted
            if (kind, pk) not in known
        ]
    )
    return [{"type": kind, "id": pk} for kind, pk in wanted]


def withdraw(actor: Person, project: Project, question_id: Any) -> Question:
    """An open question is no longer asked."""
    with writing(actor, project, access.TALK) as pen:
        question = _found(pen, question_id)
        access.require_asker(actor, project, question)
        _require(question, "open")
        pen.change(question, {"state": "withdrawn"})
        return question


def reopen(actor: Person, project: Project, question_id: Any) -> Question:
    """Ask again what was answered or withdrawn; the answer so far stays to be read."""
    with writing(actor, project, access.TALK) as pen:
        question = _found(pen, question_id)
        access.require_asker(actor, project, question)
        if question.state == "open":
            raise Conflict(f"Question {question.number} is open.", code="open")
        pen.change(question, {"state": "open"})
        return question


def _found(pen: Pen, question_id: Any) -> Question:
    related = ("created_by", "to_person", "answered_by")
    found = Question.objects.filter(project=pen.project, pk=question_id).select_related(*related).first()
    if found is None:
        raise NotFound(f"There is no such question in {pen.project.code}.")
    return found


def _require(question: Question, state: str) -> None:
    if question.state == state:
        return
    told = f"answered by {question.answered_by} already" if question.state == "answered" else "withdrawn"
    raise Conflict(f"Question {question.number} is {told}. Who asked it can open it again.", code=question.state)

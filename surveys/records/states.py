"""Review states of an interpretation, and of a schedule before it is issued: which may follow which, by whose word, on what condition.
The one place.

| from | to | by | needs |
| --- | --- | --- | --- |
| working | for comment | the author | at least one citation |
| for comment | working | the author | |
| for comment | agreed | another | |
| for comment | disputed | another | a reason |
| agreed | disputed | another | a reason |
| agreed | for comment | the author | a reason |
| disputed | for comment | the author, who answers the reason; or whoever disputed it, who withdraws | a reason |
| disputed | agreed | another | a reason: how it was settled |

A schedule cites nothing and supersedes nothing; the rest is the same.

*The author* is who made it, and nobody else changes its text. *Another* is whoever may review and wrote none of the present text. A
citation is needed from `for comment` on (and cannot be taken away after): what nobody can look up, nobody can review; a draft may be bare.

Two moves are nobody's choice. An interpretation becomes `superseded` in the very act in which one that supersedes it becomes agreed: until
then both stand, and the older one keeps its state. It stays superseded when its successor is disputed later: what was replaced is not
agreed again by itself, and who wants it back writes it anew. And an agreed one whose ground or text changes goes back to `for comment`
(`surveys.records.reopening`).
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from django.utils import timezone

from surveys import access, rules
from surveys.errors import Conflict, Fault, Forbidden, Invalid
from surveys.models import Change, Comment, Interpretation, ReviewRequest, Schedule
from surveys.records import hanging
from surveys.rules import grounds

if TYPE_CHECKING:
    from surveys.records.writing import Pen

WORKING, FOR_COMMENT, AGREED, DISPUTED, SUPERSEDED = "working", "for comment", "agreed", "disputed", "superseded"
AUTHOR, ANOTHER, DISPUTER = "its author", "somebody who did not write it", "whoever disputed it"
CAPABILITY: Final = {AUTHOR: access.WRITE, ANOTHER: access.REVIEW, DISPUTER: access.REVIEW}

Reviewed = Interpretation | Schedule
# Who set one of these is an author.
SAYS: Final[dict[Any, frozenset[str]]] = {Interpretation: grounds.SAYS, Schedule: frozenset({"title", "year", "phase", "notes"})}


@dataclass(frozen=True, slots=True)
class Step:
    """One move that a person may make: from, to, by whom, and whether a reason or a citation is needed."""

    before: str
    after: str
    who: str
    reason: bool = False
    citation: bool = False


STEPS: Final = (
    Step(WORKING, FOR_COMMENT, AUTHOR, citation=True),
    Step(FOR_COMMENT, WORKING, AUTHOR),
    Step(FOR_COMMENT, AGREED, ANOTHER),
    Step(FOR_COMMENT, DISPUTED, ANOTHER, reason=True),
    Step(AGREED, DISPUTED, ANOTHER, reason=True),
    Step(AGREED, FOR_COMMENT, AUTHOR, reason=True),
    Step(DISPUTED, FOR_COMMENT, AUTHOR, reason=True),
    Step(DISPUTED, FOR_COMMENT, DISPUTER, reason=True),
    Step(DISPUTED, AGREED, ANOTHER, reason=True),
)


def authors_of(reviewed: Reviewed) -> set[Any]:
    """The ids of all who wrote some of its text."""
    lines = Change.objects.filter(record_type=reviewed._meta.model_name, record_id=reviewed.pk, action__in=("created", "changed"))
    wrote = {actor for actor, fields in lines.values_list("actor", "fields") if SAYS[type(reviewed)] & set(fields)}
    return wrote | {reviewed.created_by_id}


def _is(who: str, actor_id: Any, reviewed: Reviewed, authors: Collection[Any]) -> bool:
    if who == AUTHOR:
        return actor_id == reviewed.created_by_id
    if who == DISPUTER:
        return actor_id == reviewed.state_by_id and actor_id not in authors
    return actor_id not in authors


def open_to(reviewed: Reviewed, actor_id: Any, role: str | None, authors: Collection[Any]) -> list[Step]:
    """The moves that a person may make now, each state once."""
    found: dict[str, Step] = {}
    for step in STEPS:
        fits = step.before == reviewed.state and access.may(role, CAPABILITY[step.who])
        if fits and _is(step.who, actor_id, reviewed, authors):
            found.setdefault(step.after, step)
    return list(found.values())


def move(pen: "Pen", reviewed: Reviewed, after: str, reason: str) -> None:
    """Move what is reviewed for the person who holds the pen, if the table lets him."""
    step = _step(pen, reviewed, _word(after))
    reason = _reason(step, reason)
    if step.citation and isinstance(reviewed, Interpretation) and not reviewed.citations.exists():
        text = f"{_start(reviewed)} cites nothing yet. Cite the samples, layers or evidence that it rests on."
        raise Invalid(text, code="without-citation", faults=(Fault("citations", "without-citation", text),))
    if step.after == AGREED and isinstance(reviewed, Interpretation):
        _supersede(pen, reviewed)
    _put(pen, reviewed, step.after, reason)
    if step.after == DISPUTED:
        said = note(pen, reviewed, f"Disputed: {reason}")
        pen.create([said])
        hanging.call(pen, [said])


def _word(after: str) -> str:
    try:
        return rules.word_from(after, (WORKING, FOR_COMMENT, AGREED, DISPUTED))
    except rules.Refused as refusal:
        text = str(refusal)
        if rules.fold(after) == SUPERSEDED:
            text = "An interpretation is superseded when another that names it is agreed. Write that one."
        raise Invalid(text, faults=(Fault("to", refusal.code, text),)) from None


def _step(pen: "Pen", reviewed: Reviewed, after: str) -> Step:
    steps = [step for step in STEPS if step.before == reviewed.state and step.after == after]
    if not steps:
        ways = sorted({f"'{step.after}'" for step in STEPS if step.before == reviewed.state})
        on = f"From there it goes to {' or '.join(ways)}." if ways else "It stays so; write a new one."
        raise Conflict(f"{_start(reviewed)} is {reviewed.state}, so it cannot become '{after}'. {on}", code="state")
    authors = authors_of(reviewed)
    for step in steps:
        if _is(step.who, pen.actor.pk, reviewed, authors):
            access.require(pen.actor, pen.project, CAPABILITY[step.who])
            return step
    who = " or ".join(step.who for step in steps)
    raise Forbidden(f"{_start(reviewed)} is moved from '{reviewed.state}' to '{after}' by {who} only.")


def _reason(step: Step, reason: str) -> str:
    field = Interpretation._meta.get_field("state_reason")
    try:
        reason = rules.clean_text(reason, field, is_name=False).strip()
    except rules.Refused as refusal:
        raise Invalid(str(refusal), faults=(Fault("reason", refusal.code, str(refusal)),)) from None
    if step.reason and not reason:
        text = f"Say why it becomes '{step.after}', so that the others can answer."
        raise Invalid(text, faults=(Fault("reason", "required", text),))
    return reason


def _put(pen: "Pen", reviewed: Reviewed, after: str, reason: str) -> None:
    values = {"state": after, "state_by": pen.actor, "state_at": timezone.now(), "state_reason": reason}
    pen.move(reviewed, {"state": reviewed.state}, values)


def _supersede(pen: "Pen", interpretation: Interpretation) -> None:
    """What it replaces goes, in the same act."""
    older = interpretation.supersedes
    if older is None or older.state_reason == replaced_by(interpretation):
        return
    if older.state == SUPERSEDED:
        raise Conflict(
            f"{_start(older)}, which this one supersedes, has been superseded already: {older.state_reason} Let this one supersede that.",
            code="state",
        )
    older.project = pen.project
    _put(pen, older, SUPERSEDED, replaced_by(interpretation))


def replaced_by(interpretation: Interpretation) -> str:
    """The reason that an interpretation bears which this one replaced."""
    return f"Replaced by {interpretation}."


def reopen(pen: "Pen", changed: dict[Any, str], reviewed: Collection[Reviewed]) -> None:
    """Put what was agreed, of one kind, back to 'for comment', each with the sentence that says what changed; their threads say so too."""
    now = timezone.now()
    field = Interpretation._meta.get_field("state_reason")
    back = [
        (one, {"state": FOR_COMMENT, "state_by": pen.actor, "state_at": now, "state_reason": changed[one.pk][: field.max_length]})
        for one in reviewed
    ]
    pen.change_many(back)
    pen.create([note(pen, one, changed[one.pk]) for one in reviewed])
    # Who had looked is asked to look again.
    asked = ReviewRequest.objects.filter(interpretation__in=[one.pk for one in reviewed], answered_at__isnull=False)
    pen.change_many([(one, {"answered_at": None}) for one in asked.select_related("interpretation", "person")])


def note(pen: "Pen", reviewed: Reviewed, text: str) -> Comment:
    """A word in its thread, by the person who did what it tells of."""
    return Comment(project=pen.project, about_type=str(reviewed._meta.model_name), about_id=reviewed.pk, text=text[:20_000])


def _start(reviewed: Reviewed) -> str:
    """Its name at the start of a sentence."""
    return str(reviewed).capitalize()

"""Review states of an interpretation: which may follow which, by whose word, on what condition. The one place.

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
from surveys.models import Change, Comment, Interpretation, ReviewRequest
from surveys.records import hanging
from surveys.rules import grounds

if TYPE_CHECKING:
    from surveys.records.writing import Pen

WORKING, FOR_COMMENT, AGREED, DISPUTED, SUPERSEDED = "working", "for comment", "agreed", "disputed", "superseded"
AUTHOR, ANOTHER, DISPUTER = "its author", "somebody who did not write it", "whoever disputed it"
CAPABILITY: Final = {AUTHOR: access.WRITE, ANOTHER: access.REVIEW, DISPUTER: access.REVIEW}


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


def authors_of(interpretation: Interpretation) -> set[Any]:
    """The ids of all who wrote some of its text."""
    lines = Change.objects.filter(record_type="interpretation", record_id=interpretation.pk, action__in=("created", "changed"))
    wrote = {actor for actor, fields in lines.values_list("actor", "fields") if grounds.SAYS & set(fields)}
    return wrote | {interpretation.created_by_id}


def _is(who: str, actor_id: Any, interpretation: Interpretation, authors: Collection[Any]) -> bool:
    if who == AUTHOR:
        return actor_id == interpretation.created_by_id
    if who == DISPUTER:
        return actor_id == interpretation.state_by_id and actor_id not in authors
    return actor_id not in authors


def open_to(interpretation: Interpretation, actor_id: Any, role: str | None, authors: Collection[Any]) -> list[Step]:
    """The moves that a person may make now, each state once."""
    found: dict[str, Step] = {}
    for step in STEPS:
        fits = step.before == interpretation.state and access.may(role, CAPABILITY[step.who])
        if fits and _is(step.who, actor_id, interpretation, authors):
            found.setdefault(step.after, step)
    return list(found.values())


def move(pen: "Pen", interpretation: Interpretation, after: str, reason: str) -> None:
    """Move an interpretation for the person who holds the pen, if the table lets him."""
    step = _step(pen, interpretation, _word(after))
    reason = _reason(step, reason)
    if step.citation and not interpretation.citations.exists():
        text = f"{_start(interpretation)} cites nothing yet. Cite the samples, layers or evidence that it rests on."
        raise Invalid(text, code="without-citation", faults=(Fault("citations", "without-citation", text),))
    if step.after == AGREED:
        _supersede(pen, interpretation)
    _put(pen, interpretation, step.after, reason)
    if step.after == DISPUTED:
        said = note(pen, interpretation, f"Disputed: {reason}")
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


def _step(pen: "Pen", interpretation: Interpretation, after: str) -> Step:
    steps = [step for step in STEPS if step.before == interpretation.state and step.after == after]
    if not steps:
        ways = sorted({f"'{step.after}'" for step in STEPS if step.before == interpretation.state})
        on = f"From there it goes to {' or '.join(ways)}." if ways else "It stays so; write a new one."
        raise Conflict(f"{_start(interpretation)} is {interpretation.state}, so it cannot become '{after}'. {on}", code="state")
    authors = authors_of(interpretation)
    for step in steps:
        if _is(step.who, pen.actor.pk, interpretation, authors):
            access.require(pen.actor, pen.project, CAPABILITY[step.who])
            return step
    who = " or ".join(step.who for step in steps)
    raise Forbidden(f"{_start(interpretation)} is moved from '{interpretation.state}' to '{after}' by {who} only.")


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


def _put(pen: "Pen", interpretation: Interpretation, after: str, reason: str) -> None:
    values = {"state": after, "state_by": pen.actor, "state_at": timezone.now(), "state_reason": reason}
    pen.move(interpretation, {"state": interpretation.state}, values)


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


def reopen(pen: "Pen", changed: dict[Any, str], interpretations: Collection[Interpretation]) -> None:
    """Put agreed interpretations back to 'for comment', each with the sentence that says what changed, and say so in their threads."""
    now = timezone.now()
    field = Interpretation._meta.get_field("state_reason")
    back = [
        (one, {"state": FOR_COMMENT, "state_by": pen.actor, "state_at": now, "state_reason": changed[one.pk][: field.max_length]})
        for one in interpretations
    ]
    pen.change_many(back)
    pen.create([note(pen, one, changed[one.pk]) for one in interpretations])
    # Who had looked is asked to look again.
    asked = ReviewRequest.objects.filter(interpretation__in=[one.pk for one in interpretations], answered_at__isnull=False)
    pen.change_many([(one, {"answered_at": None}) for one in asked.select_related("interpretation", "person")])


def note(pen: "Pen", interpretation: Interpretation, text: str) -> Comment:
    """A word in an interpretation's thread, by the person who did what it tells of."""
    return Comment(project=pen.project, about_type="interpretation", about_id=interpretation.pk, text=text[:20_000])


def _start(interpretation: Interpretation) -> str:
    """An interpretation's name at the start of a sentence."""
    return str(interpretation).capitalize()

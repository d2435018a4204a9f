"""Writes of comments: threads of one level on a record or a column; members are called by name; settled, and opened again."""

from collections.abc import Sequence
from typing import Any

from django.utils import timezone

from surveys import access, rules
from surveys.errors import Conflict, Fault, Invalid, NotFound
from surveys.models import Comment, Person, Project
from surveys.records import hanging, removal
from surveys.records.writing import Pen, refuse, writing
from surveys.selectors import abouts

FIXED = ("about_type", "about_id", "about_field", "thread")


def write(pen: Pen, rows: list[tuple[Comment, dict[str, Any]]]) -> None:
    """Say something, or put one's own words otherwise; who is called follows from the text."""
    new = [comment for comment, _ in rows if comment._state.adding]
    known = [(comment, values) for comment, values in rows if not comment._state.adding]
    refuse(_faults_of_new(pen, new))
    for comment, values in known:
        access.require_own(pen.actor, comment, "change this comment")
        refuse([Fault(name, "fixed", "A comment stays where it was made.") for name in FIXED if name in values])
    pen.create(new)
    altered = pen.change_many(
        [
            (comment, {"text": values["text"], "edited_at": timezone.now()})
            for comment, values in known
            if values.get("text", comment.text) != comment.text
        ]
    )
    hanging.call(pen, [*new, *(comment for comment, _ in known if comment.pk in altered)])


def _faults_of_new(pen: Pen, new: Sequence[Comment]) -> list[Fault]:
    there = abouts.records(pen.project, [(one.about_type, one.about_id) for one in new])
    faults = []
    for row, one in enumerate(new):
        if (one.about_type, one.about_id) not in there:
            faults.append(Fault("about_id", "not-found", f"There is no such {one.about_type} in {pen.project.code}.", row))
        if one.about_field and not rules.is_field_name(one.about_field):
            faults.append(
                Fault("about_field", "invalid", "This is not the name of a column. Leave it blank to speak of the whole record.", row)
            )
        faults += _thread_faults(one, row)
    return faults


def _thread_faults(one: Comment, row: int) -> list[Fault]:
    head = one.thread
    if head is None:
        return []
    if head.thread_id is not None:
        return [Fault("thread", "not-first", "Answers hang on the first comment of a thread. Answer that one.", row)]
    if (head.about_type, head.about_id, head.about_field) != (one.about_type, one.about_id, one.about_field):
        return [Fault("thread", "other-record", "The thread that this answers is about something else.", row)]
    return []


def remove(pen: Pen, comments: Sequence[Comment]) -> None:
    """Take back one's own comment, or as a coordinator anybody's; answers go along."""
    for comment in comments:
        access.require_own_or(pen.actor, pen.project, comment, access.MANAGE, "remove this comment")
    removal.remove(pen, Comment, comments)


def resolve(actor: Person, project: Project, comment_id: Any) -> Comment:
    """A thread is settled."""
    with writing(actor, project, access.TALK) as pen:
        head = _head(pen, comment_id)
        if head.resolved_at is not None:
            raise Conflict(f"{head.resolved_by} resolved this thread already.", code="resolved")
        pen.change(head, {"resolved_at": timezone.now(), "resolved_by": actor})
        return head


def reopen(actor: Person, project: Project, comment_id: Any) -> Comment:
    """A thread is not settled after all."""
    with writing(actor, project, access.TALK) as pen:
        head = _head(pen, comment_id)
        if head.resolved_at is None:
            raise Conflict("This thread is open.", code="open")
        pen.change(head, {"resolved_at": None, "resolved_by": None})
        return head


def _head(pen: Pen, comment_id: Any) -> Comment:
    found = Comment.objects.filter(project=pen.project, pk=comment_id).select_related("created_by", "resolved_by").first()
    if found is None:
        raise NotFound(f"There is no such comment in {pen.project.code}.")
    if found.thread_id is not None:
        text = "A thread is resolved by its first comment, not by an answer."
        raise Invalid(text, code="not-first", faults=(Fault("", "not-first", text),))
    return found

"""Comments on issues of schedules, which those may make too who see nothing else of a project."""

from typing import Any

from surveys import access
from surveys.models import Comment, Person, Project, ScheduleIssue
from surveys.records.editing import Operation, apply
from surveys.records.writing import writing


def remark(actor: Person, project: Project, issue: ScheduleIssue, text: str, thread: Any = None) -> Comment:
    """Say something about an issue, or answer in one of its threads."""
    values = {"about_type": "scheduleissue", "about_id": str(issue.pk), "text": text, **({"thread": thread} if thread else {})}
    with writing(actor, project, access.TALK_ISSUED) as pen:
        made: Comment = apply(pen, Comment, [Operation("create", values)])[0].record
        return made

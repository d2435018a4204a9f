"""Schedules, what people added to their rows, and issues, as lists show them."""

from django.db.models import QuerySet
from django.db.models.fields.json import KeyTextTransform

from surveys.models import Project, Schedule, ScheduleIssue, ScheduleRow
from surveys.selectors.listings import counted


def schedules(project: Project) -> QuerySet[Schedule]:
    """The schedules of a project, with how often each went out."""
    return Schedule.objects.filter(project=project).annotate(issue_count=counted(ScheduleIssue.objects.all(), "schedule"))


def rows(project: Project) -> QuerySet[ScheduleRow]:
    """What people added to rows of the schedules of a project."""
    return ScheduleRow.objects.filter(project=project)


def issues(project: Project) -> QuerySet[ScheduleIssue]:
    """The issues of a project's schedules, each under the title with which it went out: what became of that since is of the record."""
    return ScheduleIssue.objects.filter(project=project).annotate(schedule_title=KeyTextTransform("title", "content"))

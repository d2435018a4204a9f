"""What the people of the demonstration put out for the contractor: a schedule, what they add to its rows, and its first issue."""

from collections.abc import Mapping, Sequence
from typing import Any

from surveys import jobs, records
from surveys.models import Person, Project, Schedule, ScheduleIssue, ScheduleRow
from surveys.records import schedules as schedule_records
from surveys.records.remarks import remark
from surveys.work.demonstrated import record_of


def schedules(project: Project, people: Mapping[str, Person], told: Sequence[Mapping[str, Any]]) -> None:
    """Make the schedules told of, with their rows; move and issue them as their people did."""
    for one in told:
        phase = record_of(project, "phase", one["phase"])
        values = {"title": one["title"], "phase": str(phase.pk), "notes": one["notes"]}
        schedule = records.create(people[one["by"]], project, Schedule, values)
        for row in one["rows"]:
            added = {name: row[name] for name in row if name not in ("by", "element")}
            element = record_of(project, "element", row["element"])
            records.create(people[row["by"]], project, ScheduleRow, {**added, "schedule": str(schedule.pk), "element": str(element.pk)})
        for who, to, reason in one["moves"]:
            schedule.refresh_from_db()
            schedule_records.transition(people[who], project, schedule.pk, schedule.version, to, reason)
        if "issue" in one:
            _issue(project, people, schedule, one["issue"])


def _issue(project: Project, people: Mapping[str, Person], schedule: Schedule, told: Mapping[str, Any]) -> None:
    # Imported here: the table of jobs loads what writes papers, which a program that only serves does not need.
    from surveys.work.table import do

    params = {"schedule": str(schedule.pk), "purpose": told["purpose"], "note": told["note"]}
    job = jobs.ask(people[told["by"]], project, "issue-schedule", params)
    jobs.run(str(job.pk), "demonstration", do)
    if "remark" in told:
        who, text = told["remark"]
        remark(people[who], project, ScheduleIssue.objects.get(schedule=schedule), text)

"""Finish schedules on record: what people add to rows, and issues that never change."""

import datetime as dt

import pytest

from surveys import records
from surveys.errors import Conflict, Forbidden, Invalid, NotFound
from surveys.models import Change, Comment, Element, Layer, Phase, Schedule, ScheduleIssue, ScheduleRow
from surveys.records import InputChanged, Issued
from surveys.records.schedules import LETTERS, revision_after


@pytest.fixture
def schedule(cast, project, paint):
    return records.create(cast.conservator, project, Schedule, {"title": "As of 1840", "year": 1840})


def issued(project, **more):
    told = {"purpose": "for pricing", "issued_on": dt.date(2026, 11, 25), "note": "", "content": {"rows": []}, "changes": [], "files": []}
    project.refresh_from_db()
    return Issued(**{**told, "basis": {"sequence": project.change_sequence, "rows": {}}, **more})


def test_schedules_are_numbered_and_a_number_is_not_used_again(cast, project, paint, schedule):
    assert (schedule.number, str(schedule)) == (1, "schedule 1")
    records.remove(cast.conservator, project, Schedule, schedule.pk, schedule.version)
    assert records.create(cast.conservator, project, Schedule, {"title": "Another", "year": 1900}).number == 2


@pytest.mark.parametrize("values", [{}, {"year": 1840, "phase": True}])
def test_a_schedule_is_of_a_year_or_of_a_phase_and_not_of_both_or_none(cast, project, paint, values):
    phase = records.create(cast.conservator, project, Phase, {"label": "first"})
    if "phase" in values:
        values = {**values, "phase": phase.pk}
    with pytest.raises(Invalid, match="a year or of a phase"):
        records.create(cast.conservator, project, Schedule, {"title": "x", **values})


def test_an_owner_does_not_write_schedules(cast, project, paint):
    with pytest.raises(Forbidden):
        records.create(cast.owner, project, Schedule, {"title": "x", "year": 1840})


def test_what_is_added_to_a_row_bears_no_name_until_it_stands_in_place_of_what_was_computed(cast, project, paint, schedule):
    row = records.create(
        cast.conservator, project, ScheduleRow, {"schedule": schedule.pk, "element": paint.baseboard.pk, "remarks": "Two coats."}
    )
    assert row.overridden_by is None
    values = {"munsell": "10yr 8/2", "override_reason": "The owner decided."}
    row = records.change(cast.historian, project, ScheduleRow, row.pk, row.version, values)
    assert (row.munsell, row.overridden_by) == ("10YR 8/2", cast.historian)
    row = records.change(cast.conservator, project, ScheduleRow, row.pk, row.version, {"remarks": "Three coats."})
    assert row.overridden_by == cast.historian, "a remark does not take over what another decided"
    row = records.change(cast.conservator, project, ScheduleRow, row.pk, row.version, {"munsell": ""})
    assert row.overridden_by is None


@pytest.mark.parametrize("name", ["finish", "munsell", "sheen"])
def test_nothing_is_set_in_place_of_the_evidence_without_a_reason(cast, project, paint, schedule, name):
    values = {"schedule": schedule.pk, "element": paint.baseboard.pk, name: "10YR 8/2"}
    with pytest.raises(Invalid, match="Say why"):
        records.create(cast.conservator, project, ScheduleRow, values)
    assert not ScheduleRow.objects.exists()


def test_an_element_has_one_row_in_a_schedule_and_the_row_stays_with_it(cast, project, paint, schedule):
    row = records.create(cast.conservator, project, ScheduleRow, {"schedule": schedule.pk, "element": paint.baseboard.pk})
    with pytest.raises(Conflict):
        records.create(cast.conservator, project, ScheduleRow, {"schedule": schedule.pk, "element": paint.baseboard.pk})
    with pytest.raises(Invalid, match="stays with its element"):
        records.change(cast.conservator, project, ScheduleRow, row.pk, row.version, {"element": paint.door.pk})


def test_an_element_that_a_row_is_about_cannot_be_removed(cast, project, paint, schedule):
    element = records.create(cast.conservator, project, Element, {"code": "X", "space": paint.space.pk, "element_class": "wall"})
    records.create(cast.conservator, project, ScheduleRow, {"schedule": schedule.pk, "element": element.pk})
    with pytest.raises(Conflict, match="refers to it"):
        records.remove(cast.conservator, project, Element, element.pk, element.version)


def test_a_coordinator_issues_and_the_revisions_run_on(cast, project, schedule):
    first = records.issue(cast.coordinator, project, schedule.pk, "A", issued(project))
    second = records.issue(cast.coordinator, project, schedule.pk, "B", issued(project, purpose="for work"))
    assert [(one.revision, one.purpose) for one in (first, second)] == [("A", "for pricing"), ("B", "for work")]
    told = Change.objects.get(record_id=first.pk)
    assert "content" not in told.fields
    assert told.fields["revision"] == [None, "A"]


@pytest.mark.parametrize("who", ["conservator", "owner"])
def test_nobody_but_a_coordinator_issues(cast, project, schedule, who):
    with pytest.raises(Forbidden):
        records.issue(cast[who], project, schedule.pk, "A", issued(project))


@pytest.mark.parametrize("who", ["contractor", "stranger"])
def test_who_does_not_see_the_record_is_told_that_it_is_not_there(cast, project, schedule, who):
    with pytest.raises(NotFound):
        records.issue(cast[who], project, schedule.pk, "A", issued(project))


def test_an_issue_whose_ground_moved_while_its_files_were_made_is_made_again(cast, project, paint, schedule):
    ready = issued(project)
    records.change(cast.conservator, project, Layer, paint.layers["101-1"][0].pk, 1, {"colour": "blue"})
    with pytest.raises(InputChanged):
        records.issue(cast.coordinator, project, schedule.pk, "A", ready)
    assert not ScheduleIssue.objects.exists()


def test_a_revision_that_somebody_else_took_meanwhile_is_made_again(cast, project, schedule):
    records.issue(cast.coordinator, project, schedule.pk, "A", issued(project))
    with pytest.raises(InputChanged):
        records.issue(cast.coordinator, project, schedule.pk, "A", issued(project))


def test_an_issue_cannot_be_changed_or_removed_and_a_schedule_that_went_out_stays(cast, project, schedule):
    record = records.issue(cast.coordinator, project, schedule.pk, "A", issued(project))
    with pytest.raises(KeyError):
        records.change(cast.coordinator, project, ScheduleIssue, record.pk, record.version, {"note": "x"})
    with pytest.raises(Conflict, match="refers to it"):
        records.remove(cast.coordinator, project, Schedule, schedule.pk, schedule.version)


def test_an_unknown_purpose_is_refused_with_the_nearest(cast, project, schedule):
    with pytest.raises(Invalid, match="for pricing"):
        records.issue(cast.coordinator, project, schedule.pk, "A", issued(project, purpose="for pricin"))


def test_revision_letters_leave_out_i_and_o_and_go_on_after_z():
    assert [revision_after(number) for number in (0, 7, 8, 12, 13, 23, 24)] == ["A", "H", "J", "N", "P", "Z", "AA"]
    assert not set(LETTERS) & set("IO")


def test_a_schedule_is_agreed_by_somebody_else_and_a_changed_row_opens_it_again(cast, project, paint, schedule):
    moved = records.schedules.transition(cast.conservator, project, schedule.pk, schedule.version, "for comment")
    with pytest.raises(Forbidden, match="somebody who did not write it"):
        records.schedules.transition(cast.conservator, project, moved.pk, moved.version, "agreed")
    moved = records.schedules.transition(cast.owner, project, moved.pk, moved.version, "agreed")
    assert moved.state == "agreed"
    records.create(cast.historian, project, ScheduleRow, {"schedule": schedule.pk, "element": paint.baseboard.pk, "remarks": "x"})
    moved.refresh_from_db()
    assert (moved.state, "a row was changed" in moved.state_reason) == ("for comment", True)
    said = Comment.objects.get(about_type="schedule", about_id=schedule.pk)
    assert "a row was changed" in said.text


def test_what_is_disputed_does_not_go_out(cast, project, schedule):
    moved = records.schedules.transition(cast.conservator, project, schedule.pk, schedule.version, "for comment")
    records.schedules.transition(cast.owner, project, moved.pk, moved.version, "disputed", "The year is wrong.")
    with pytest.raises(Conflict, match="The year is wrong"):
        records.issue(cast.coordinator, project, schedule.pk, "A", issued(project))


def test_contractor_comments_on_an_issue_and_on_nothing_else(cast, project, paint, schedule):
    from surveys.records import remarks
    from surveys.selectors import talk

    issue = records.issue(cast.coordinator, project, schedule.pk, "A", issued(project))
    first = remarks.remark(cast.contractor, project, issue, "Which green?")
    remarks.remark(cast.coordinator, project, issue, "See the mock-up.", first.pk)
    assert [(one["created_by"], one["text"]) for one in talk.remarks(issue)] == [
        ("Conrad Tractor", "Which green?"), ("Cora Ordway", "See the mock-up."),
    ]  # fmt: skip
    with pytest.raises(NotFound):
        records.create(cast.contractor, project, Comment, {"about_type": "space", "about_id": str(paint.space.pk), "text": "x"})
    with pytest.raises(NotFound):
        remarks.remark(cast.stranger, project, issue, "x")

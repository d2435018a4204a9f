"""What is new for a person since he looked, and what waits for him; nothing of it reaches anybody else."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys import records
from surveys.models import Comment, Element, Interpretation, ReviewRequest, Sample, Seen, Space
from surveys.records import questions
from tests.surveys.api.conftest import problem, rows
from tests.surveys.api.test_comments import about


def news(client):
    answer = client.get("news/")
    assert answer.status_code == 200, answer.content
    return answer.json()


def look(client):
    """Read what is new, and say so."""
    told = news(client)
    assert client.post("news/seen", {"sequence": told["sequence"]}).status_code == 200
    return told


def counts(client, code="HALL"):
    return next((one for one in rows(client.get("/api/v1/me/news")) if one["code"] == code), None)


def ask_for_review(cast, project, space, who):
    """An interpretation whose review somebody is asked for."""
    with records.writing(cast.historian, project) as pen:
        found = Interpretation(project=project, discipline="archaeology", subject="space", space=space, statement="The room was halved.")
        pen.number([found])
        pen.create([found])
        pen.create([ReviewRequest(project=project, interpretation=found, person=who)])
    return found


def test_what_others_wrote_is_told_by_discipline_and_space_with_counts_and_records(api, cast, project, paint):
    look(api("owner"))
    make = lambda actor, model, **values: records.create(actor, project, model, values)  # noqa: E731
    other = make(cast.conservator, Space, number="102")
    make(cast.conservator, Element, code="W", space=other.pk, element_class="wall")
    make(cast.historian, Element, code="X", space=paint.space.pk, element_class="wall")
    records.change(cast.historian, project, Sample, paint.first.pk, 1, {"notes": "seen"})
    records.change(cast.historian, project, Sample, paint.first.pk, 2, {"notes": "seen again"})
    told = {(one["discipline"], one["space"]): one for one in news(api("owner"))["groups"]}
    assert set(told) == {("paint conservation", "102"), ("architectural history", "101")}
    new = told["paint conservation", "102"]
    assert (new["count"], new["created"], new["changed"], new["removed"]) == (2, 2, 0, 0)
    assert [(one["type"], one["name"], one["actor"]) for one in new["records"]] == [
        ("element", "W", "Connie Vator"),
        ("space", "102", "Connie Vator"),
    ]
    changed = told["architectural history", "101"]
    # The sample was changed twice and counts once.
    assert (changed["count"], changed["created"], changed["changed"]) == (2, 1, 1)
    assert [one["name"] for one in changed["records"]] == ["101-1", "X"]


def test_what_one_did_oneself_is_no_news(api, cast, project, paint):
    look(api("conservator"))
    records.create(cast.conservator, project, Space, {"number": "102"})
    assert news(api("conservator"))["groups"] == []
    assert counts(api("conservator"))["changes"] == 0
    assert counts(api("owner"))["changes"] > 0


def test_computed_changes_and_removed_records_are_told_apart(api, cast, project, paint):
    look(api("owner"))
    with records.writing(cast.conservator, project, reason="Correlated.") as pen:
        pen.change(Sample.objects.get(pk=paint.first.pk), {"notes": "x"})
    gone = records.create(cast.historian, project, Space, {"number": "9"})
    records.remove(cast.coordinator, project, Space, gone.pk, 1)
    told = {(one["discipline"], one["space"]): (one["created"], one["changed"], one["removed"]) for one in news(api("owner"))["groups"]}
    assert told == {("computed", "101"): (0, 1, 0), ("architectural history", ""): (1, 0, 0), ("paint conservation", ""): (0, 0, 1)}


def test_what_somebody_wrote_who_has_left_since_is_still_news(api, cast, project, paint):
    look(api("owner"))
    records.create(cast.historian, project, Space, {"number": "102"})
    member = project.memberships.get(person=cast.historian)
    records.remove_member(cast.coordinator, project, member.pk, member.version)
    assert ("no longer a member", "102") in [(one["discipline"], one["space"]) for one in news(api("owner"))["groups"]]


def test_having_seen_goes_forward_only_and_no_further_than_the_history(api, cast, project, paint):
    last = news(api("owner"))["sequence"]
    assert api("owner").post("news/seen", {"sequence": last}).json()["sequence"] == last
    assert api("owner").post("news/seen", {"sequence": 2}).json()["sequence"] == last
    refused = problem(api("owner").post("news/seen", {"sequence": last + 1}), 422)
    assert refused["errors"][0]["pointer"] == "/sequence"
    for wrong in ({}, {"sequence": -1}, {"sequence": "3"}, {"sequence": None}, {"sequence": True}):
        problem(api("owner").post("news/seen", wrong), 422)
    problem(api("owner").post("news/seen", {"sequence": 1, "person": "historian"}), 400)
    assert Seen.objects.get(person=cast.owner).sequence == last


def test_what_was_written_between_reading_and_saying_so_stays_new(api, cast, project, paint):
    told = news(api("owner"))
    records.create(cast.conservator, project, Space, {"number": "102"})
    api("owner").post("news/seen", {"sequence": told["sequence"]})
    assert [one["space"] for one in news(api("owner"))["groups"]] == ["102"]


def test_where_one_is_called_and_answered_is_told_once_and_what_waits_until_it_is_done(api, cast, project, paint):
    layer = paint.layers["101-1"][0]
    mine = api("owner").post("comments/", {**about(layer), "text": "Is it original?"}).json()
    look(api("owner"))
    api("conservator").post("comments/", {**about(layer), "text": "It is.", "thread": mine["id"]})
    api("historian").post("comments/", {**about(paint.space), "text": "@owner, have you the key?"})
    api("historian").post("comments/", {**about(paint.space), "text": "To nobody."})
    asked = questions.ask(
        cast.historian, project, {**about(paint.door), "text": "Whose is it?", "to_person": "owner", "needed_by": "2020-01-01"}
    )
    questions.ask(cast.historian, project, {**about(paint.door), "text": "Who pays?", "to_discipline": "ownership"})
    questions.ask(cast.historian, project, {**about(paint.door), "text": "Not to him.", "to_discipline": "archaeology"})
    found = ask_for_review(cast, project, paint.space, cast.owner)
    told = look(api("owner"))
    assert [(one["text"], one["about_name"], one["created_by"]) for one in told["mentions"]] == [
        ("@owner, have you the key?", "101", "Hester Orian")
    ]
    assert [(one["text"], one["thread"]) for one in told["answers"]] == [("It is.", mine["id"])]
    assert [(one["text"], one["overdue"]) for one in told["questions"]] == [("Whose is it?", True), ("Who pays?", False)]
    assert [(one["number"], one["statement"], one["created_by"]) for one in told["reviews"]] == [
        (1, "The room was halved.", "Hester Orian")
    ]
    assert told["comments"] == 3
    later = news(api("owner"))
    assert (later["mentions"], later["answers"], later["comments"], later["groups"]) == ([], [], 0, [])
    assert (len(later["questions"]), len(later["reviews"])) == (2, 1)
    questions.answer(cast.owner, project, asked.pk, "Mine.", [])
    with records.writing(cast.owner, project, "review") as pen:
        pen.change(found.review_requests.get(), {"answered_at": "2026-01-01T00:00:00Z"})
    last = news(api("owner"))
    assert ([one["text"] for one in last["questions"]], last["reviews"]) == (["Who pays?"], [])
    assert [(one["text"], one["answer"], one["answered_by"]) for one in news(api("historian"))["answered"]] == [
        ("Whose is it?", "Mine.", "Owen Nerr")
    ]


def test_answers_in_threads_in_which_one_only_answered_are_told_too(api, paint):
    layer = paint.layers["101-1"][0]
    head = api("conservator").post("comments/", {**about(layer), "text": "Is it original?"}).json()
    api("owner").post("comments/", {**about(layer), "text": "I think so.", "thread": head["id"]})
    look(api("owner"))
    api("historian").post("comments/", {**about(layer), "text": "No.", "thread": head["id"]})
    assert [one["text"] for one in news(api("owner"))["answers"]] == ["No."]
    assert news(api("coordinator"))["answers"] == []


def test_a_thread_that_is_resolved_calls_nobody_anew(api, paint):
    made = api("conservator").post("comments/", {**about(paint.space), "text": "@owner?"}).json()
    look(api("owner"))
    api("conservator").post(f"comments/{made['id']}/resolve")
    assert news(api("owner"))["mentions"] == []
    api("conservator").patch(f"comments/{made['id']}", {"text": "@owner, after all?"}, If_Match='"2"')
    assert [one["text"] for one in news(api("owner"))["mentions"]] == ["@owner, after all?"]


def test_the_counts_over_all_projects_are_those_of_each(api, cast, project, paint):
    layer = paint.layers["101-1"][0]
    mine = api("owner").post("comments/", {**about(layer), "text": "Is it original?"}).json()
    look(api("owner"))
    api("conservator").post("comments/", {**about(layer), "text": "It is, @owner.", "thread": mine["id"]})
    records.create(cast.conservator, project, Space, {"number": "102"})
    questions.ask(cast.historian, project, {**about(paint.door), "text": "x", "to_discipline": "ownership", "needed_by": "2020-01-01"})
    ask_for_review(cast, project, paint.space, cast.owner)
    assert counts(api("owner")) == {
        "code": "HALL", "changes": 2, "comments": 1, "mentions": 1, "answers": 1, "questions": 1, "overdue": 1, "answered": 0, "reviews": 1,
    }  # fmt: skip


def test_the_news_cost_the_same_however_much_is_new_and_however_many_projects(api, cast, project, paint):
    def cost(path):
        api("owner").get(path)
        with CaptureQueriesContext(connection) as queries:
            assert api("owner").get(path).status_code == 200
        return len(queries)

    records.create(cast.conservator, project, Comment, {**about(paint.space), "text": "@owner"})
    few = (cost("news/"), cost("/api/v1/me/news"))
    for number in range(12):
        space = records.create(cast.conservator, project, Space, {"number": f"2{number}"})
        records.create(cast.historian, project, Comment, {**about(space), "text": "@owner"})
    for number in range(5):
        one = records.create_project(cast.conservator, {"code": f"P{number}", "name": "x"})
        records.add_member(cast.conservator, one, "owner", "owner", "ownership")
    assert (cost("news/"), cost("/api/v1/me/news")) == few
    assert len(rows(api("owner").get("/api/v1/me/news"))) == 6


@pytest.mark.parametrize("who", ["stranger", "contractor"])
def test_who_does_not_see_the_project_has_no_news_of_it(api, cast, project, paint, who):
    records.create(cast.conservator, project, Comment, {**about(paint.space), "text": f"@{who} @owner"})
    problem(api(who).get("news/"), 404)
    problem(api(who).post("news/seen", {"sequence": 1}), 404)
    assert rows(api(who).get("/api/v1/me/news")) == []
    assert Seen.objects.count() == 0

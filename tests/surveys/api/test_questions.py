"""Questions: asked of a person or a discipline, answered by who is asked, withdrawn by who asks; and what is refused."""

import datetime as dt

import pytest
from django.utils import timezone

from surveys import records
from surveys.models import Change, Comment, Element, Evidence, Question, Space
from tests.surveys.api.conftest import problem, rows
from tests.surveys.api.test_comments import about

TODAY = timezone.localdate


def ask(client, record, **values):
    return client.post("questions/", {**about(record), "text": "When was the door hung?", **values})


@pytest.fixture
def to_history(api, paint):
    """The conservator asks the discipline of the historian about the door."""
    made = ask(api("conservator"), paint.door, to_discipline="architectural history", needed_by="2020-05-14")
    assert made.status_code == 201, made.content
    return made.json()


@pytest.fixture
def to_owner(api, paint):
    """The conservator asks the owner about the space."""
    made = ask(api("conservator"), paint.space, to_person="owner")
    assert made.status_code == 201, made.content
    return made.json()


# -- asking ---------------------------------------------------------------------------------------------------------------------


def test_a_question_goes_to_a_person_or_a_discipline_about_a_record(api, to_history, to_owner):
    assert (to_history["number"], to_history["about_name"], to_history["to_discipline"]) == (1, "101-DL", "architectural history")
    assert (to_history["to_person"], to_history["to_name"], to_history["state"]) == (None, None, "open")
    assert (to_owner["number"], to_owner["to_person"], to_owner["to_name"], to_owner["to_discipline"]) == (2, "owner", "Owen Nerr", "")
    assert rows(api("historian").get("questions/")) == [to_owner, to_history]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({}, "to_person"),
        ({"to_person": "owner", "to_discipline": "archaeology"}, "to_discipline"),
        ({"to_discipline": "alchemy"}, "to_discipline"),
        ({"to_person": "owner", "text": " "}, "text"),
        ({"to_person": "owner", "about_type": "comment"}, "about_type"),
        ({"to_person": "owner", "about_id": "9b2f5a0e-0000-4000-8000-000000000000"}, "about_id"),
        ({"to_person": "owner", "needed_by": "tomorrow"}, "needed_by"),
        ({"to_person": 5}, "to_person"),
    ],
)
def test_a_question_that_cannot_stand_is_refused_and_nothing_is_kept(api, paint, change, field):
    refused = problem(ask(api("conservator"), paint.door, **change), 422)
    assert f"/{field}" in [one["pointer"] for one in refused["errors"]]
    assert Question.objects.count() == 0


@pytest.mark.parametrize("outside", ["stranger", "nobodyatall", "contractor"])
def test_who_does_not_see_the_project_cannot_be_asked_and_is_not_told_apart_from_nobody(api, paint, outside):
    refused = problem(ask(api("conservator"), paint.door, to_person=outside), 422)
    assert refused["errors"][0]["detail"] == f"Nobody who could answer in HALL signs in as '{outside}'."


def test_a_record_of_another_project_cannot_be_asked_about(api, cast, paint):
    other = records.create_project(cast.conservator, {"code": "OTHER", "name": "Another house"})
    space = records.create(cast.conservator, other, Space, {"number": "1"})
    refused = problem(ask(api("conservator"), space, to_person="owner"), 422)
    assert refused["errors"][0]["detail"] == "There is no such space in HALL."


def test_a_retry_with_its_key_asks_once(api, paint):
    body = {**about(paint.door), "text": "When?", "to_person": "owner"}
    first, again = (api("conservator").post("questions/", body, Idempotency_Key="k1") for _ in range(2))
    assert first.json() == again.json()
    assert Question.objects.count() == 1


def test_a_number_is_not_given_twice_even_after_its_record_went(api, cast, project, paint, to_history):
    element = Element.objects.get(pk=paint.door.pk)
    records.remove(cast.coordinator, project, Element, element.pk, element.version)
    assert Question.objects.count() == 0
    assert ask(api("conservator"), paint.space, to_person="owner").json()["number"] == 2


# -- overdue --------------------------------------------------------------------------------------------------------------------


def test_a_question_is_overdue_from_the_day_after_it_was_needed_until_it_is_answered_or_withdrawn(api, paint):
    today = TODAY()
    days = {"yesterday": today - dt.timedelta(days=1), "today": today, "tomorrow": today + dt.timedelta(days=1)}
    made = {name: ask(api("conservator"), paint.door, to_person="owner", needed_by=str(day)).json() for name, day in days.items()}
    never = ask(api("conservator"), paint.door, to_person="owner").json()
    assert {name: one["overdue"] for name, one in made.items()} == {"yesterday": True, "today": False, "tomorrow": False}
    assert never["overdue"] is False
    assert [one["id"] for one in rows(api("owner").get("questions/?overdue=true"))] == [made["yesterday"]["id"]]
    assert len(rows(api("owner").get("questions/?overdue=false"))) == 3
    api("owner").post(f"questions/{made['yesterday']['id']}/answer", {"answer": "In spring."})
    assert rows(api("owner").get("questions/?overdue=true")) == []


# -- answering ------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("question", "who", "status"),
    [
        ("to_history", "historian", 200),
        ("to_history", "coordinator", 200),
        ("to_history", "owner", 403),
        ("to_history", "conservator", 403),
        ("to_owner", "owner", 200),
        ("to_owner", "coordinator", 200),
        ("to_owner", "historian", 403),
        ("to_owner", "conservator", 403),
    ],
)
def test_who_is_asked_answers_and_a_coordinator_may(request, api, question, who, status):
    asked = request.getfixturevalue(question)
    answer = api(who).post(f"questions/{asked['id']}/answer", {"answer": "In 1838."})
    assert answer.status_code == status
    assert Question.objects.get(pk=asked["id"]).state == ("answered" if status == 200 else "open")


def test_an_answer_names_the_records_that_it_rests_on_each_once(api, cast, project, paint, to_history):
    bill = records.create(cast.historian, project, Evidence, {"reference": "E-7", "statement": "A bill for two doors"})
    rests = [
        {"type": "evidence", "id": str(bill.pk)},
        {"type": "element", "id": str(paint.door.pk)},
        {"type": "evidence", "id": str(bill.pk).upper()},
    ]
    told = api("historian").post(f"questions/{to_history['id']}/answer", {"answer": "By the bill, in 1838.", "records": rests}).json()
    assert (told["state"], told["answered_by"], told["answer"], told["overdue"]) == (
        "answered",
        "Hester Orian",
        "By the bill, in 1838.",
        False,
    )
    assert [(one["type"], one["name"]) for one in told["answer_records"]] == [("evidence", "E-7"), ("element", "101-DL")]
    records.remove(cast.coordinator, project, Evidence, bill.pk, bill.version)
    gone = api("historian").get(f"questions/{to_history['id']}").json()
    assert [one["name"] for one in gone["answer_records"]] == [None, "101-DL"]


@pytest.mark.parametrize("body", [{"answer": ""}, {"answer": "  "}, {"answer": None}, {}, {"answer": "x", "records": "E-7"}])
def test_an_answer_without_words_or_with_no_list_of_records_is_refused(api, to_history, body):
    problem(api("historian").post(f"questions/{to_history['id']}/answer", body), 422)
    assert Question.objects.get().state == "open"


def test_an_answer_cannot_rest_on_records_of_another_project_or_on_none(api, cast, to_history):
    other = records.create_project(cast.historian, {"code": "OTHER", "name": "Another house"})
    space = records.create(cast.historian, other, Space, {"number": "1"})
    for kind, pk in (("space", str(space.pk)), ("space", "9b2f5a0e-0000-4000-8000-000000000000"), ("project", str(other.pk))):
        refused = problem(
            api("historian").post(f"questions/{to_history['id']}/answer", {"answer": "x", "records": [{"type": kind, "id": pk}]}), 422
        )
        assert refused["errors"][0]["detail"] == f"There is no such {kind} in HALL."
    assert Question.objects.get().state == "open"


def test_what_is_answered_already_is_not_answered_again_and_who_did_is_told(api, to_history):
    api("historian").post(f"questions/{to_history['id']}/answer", {"answer": "In 1838."})
    late = problem(api("coordinator").post(f"questions/{to_history['id']}/answer", {"answer": "In 1840."}), 409)
    assert "Hester Orian" in late["detail"]
    assert Question.objects.get().answer == "In 1838."


# -- withdrawing, asking again, wording -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("deed", ["withdraw", "reopen"])
@pytest.mark.parametrize("who", ["coordinator", "historian", "owner"])
def test_only_who_asked_withdraws_a_question_or_asks_it_again(api, to_history, deed, who):
    told = problem(api(who).post(f"questions/{to_history['id']}/{deed}"), 403)
    assert "Connie Vator" in told["detail"]


def test_a_withdrawn_question_is_not_answered_until_it_is_asked_again(api, to_history):
    assert api("conservator").post(f"questions/{to_history['id']}/withdraw").json()["state"] == "withdrawn"
    assert problem(api("historian").post(f"questions/{to_history['id']}/answer", {"answer": "x"}), 409)["code"] == "withdrawn"
    assert problem(api("conservator").post(f"questions/{to_history['id']}/withdraw"), 409)["code"] == "withdrawn"
    assert problem(api("conservator").patch(f"questions/{to_history['id']}", {"text": "x"}, If_Match='"2"'), 409)["code"] == "withdrawn"
    assert api("conservator").post(f"questions/{to_history['id']}/reopen").json()["state"] == "open"
    assert problem(api("conservator").post(f"questions/{to_history['id']}/reopen"), 409)["code"] == "open"
    assert api("historian").post(f"questions/{to_history['id']}/answer", {"answer": "x"}).status_code == 200


def test_the_answer_so_far_stays_when_a_question_is_asked_again(api, to_history):
    api("historian").post(f"questions/{to_history['id']}/answer", {"answer": "In spring."})
    again = api("conservator").post(f"questions/{to_history['id']}/reopen").json()
    assert (again["state"], again["answer"], again["answered_by"], again["overdue"]) == ("open", "In spring.", "Hester Orian", True)


def test_who_asked_words_it_otherwise_or_asks_somebody_else(api, to_history):
    changed = (
        api("conservator").patch(f"questions/{to_history['id']}", {"to_person": "owner", "text": "Who hung it?"}, If_Match='"1"').json()
    )
    assert (changed["to_person"], changed["to_discipline"], changed["text"]) == ("owner", "", "Who hung it?")
    line = Change.objects.get(record_id=to_history["id"], action="changed")
    assert line.fields["text"] == ["When was the door hung?", "Who hung it?"]
    back = api("conservator").patch(f"questions/{to_history['id']}", {"to_discipline": "archaeology"}, If_Match='"2"').json()
    assert (back["to_person"], back["to_discipline"]) == (None, "archaeology")
    refused = problem(api("conservator").patch(f"questions/{to_history['id']}", {"to_person": "stranger"}, If_Match='"3"'), 422)
    assert refused["errors"][0]["pointer"] == "/to_person"
    problem(api("conservator").patch(f"questions/{to_history['id']}", {"to_discipline": ""}, If_Match='"3"'), 422)
    assert Question.objects.get().to_discipline == "archaeology"


@pytest.mark.parametrize("who", ["coordinator", "historian", "owner"])
def test_nobody_words_anothers_question(api, to_history, who):
    problem(api(who).patch(f"questions/{to_history['id']}", {"text": "x"}, If_Match='"1"'), 403)
    assert Question.objects.get().text == to_history["text"]


def test_what_a_question_is_about_and_how_it_stands_are_not_set_by_editing(api, to_history, paint):
    for body in ({"about_id": str(paint.space.pk)}, {"state": "answered"}, {"answer": "x"}, {"number": 9}):
        assert api("conservator").patch(f"questions/{to_history['id']}", body, If_Match='"1"').status_code == 400


def test_a_coordinator_stands_in_for_who_asked_and_has_left(api, cast, project, to_history):
    member = project.memberships.get(person=cast.conservator)
    records.remove_member(cast.coordinator, project, member.pk, member.version)
    problem(api("historian").post(f"questions/{to_history['id']}/withdraw"), 403)
    assert api("coordinator").post(f"questions/{to_history['id']}/withdraw").json()["state"] == "withdrawn"


def test_there_is_no_removing_a_question_but_it_goes_and_comes_back_with_what_it_is_about(api, cast, project, paint, to_history):
    assert api("coordinator").delete(f"questions/{to_history['id']}", If_Match='"1"').status_code == 405
    question = Question.objects.get()
    assert api("owner").post("comments/", {**about(question), "text": "A good question."}).status_code == 201
    element = Element.objects.get(pk=paint.door.pk)
    records.remove(cast.coordinator, project, Element, element.pk, element.version)
    assert (Question.objects.count(), Comment.objects.count()) == (0, 0)
    records.restore(cast.coordinator, project, Change.objects.get(record_id=element.pk, action="removed").act)
    back = rows(api("owner").get("questions/"))[0]
    assert {**back, "version": 1, "created_at": ""} == {**to_history, "created_at": ""}
    assert Comment.objects.get().about_id == question.pk


# -- lists, and outside ---------------------------------------------------------------------------------------------------------


def test_questions_are_found_by_whom_they_ask_and_how_they_stand(api, to_history, to_owner):
    assert [one["id"] for one in rows(api("owner").get("questions/?to_person=me"))] == [to_owner["id"]]
    assert [one["id"] for one in rows(api("owner").get("questions/?to_discipline=architectural history".replace(" ", "%20")))] == [
        to_history["id"]
    ]
    assert rows(api("owner").get("questions/?author=me")) == []
    assert len(rows(api("conservator").get("questions/?author=me&state=open"))) == 2
    problem(api("owner").get("questions/?state=late"), 400)


def test_a_list_of_questions_costs_the_same_however_long_it_is(api, paint, to_history):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    api("owner").get("questions/")

    def cost():
        with CaptureQueriesContext(connection) as queries:
            found = rows(api("owner").get("questions/?page_size=1000"))
        return len(found), len(queries)

    one = cost()
    for _ in range(15):
        ask(api("historian"), paint.baseboard, to_person="owner")
    assert cost() == (16, one[1])


@pytest.mark.parametrize("who", ["stranger", "contractor"])
def test_to_who_does_not_see_the_project_there_are_no_questions(api, paint, to_history, who):
    for method, path, body in (
        ("GET", "questions/", None),
        ("GET", "questions/?search=door", None),
        ("GET", f"questions/{to_history['id']}", None),
        ("POST", "questions/", {**about(paint.door), "text": "x", "to_person": "owner"}),
        ("PATCH", f"questions/{to_history['id']}", {"text": "x"}),
        ("POST", f"questions/{to_history['id']}/answer", {"answer": "x"}),
        ("POST", f"questions/{to_history['id']}/withdraw", None),
        ("POST", f"questions/{to_history['id']}/reopen", None),
    ):
        answer = api(who).send(method, path, body, If_Match='"1"')
        problem(answer, 404)
        assert "hung" not in answer.content.decode()

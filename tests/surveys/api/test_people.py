"""Inviting, leaving and handing over; and nothing that an invitation's link tells to who has no right to it."""

import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone

from surveys import records
from surveys.models import Change, Interpretation, Invitation, Membership, Person, Question, ReviewRequest
from tests.surveys.api.conftest import ROOT, problem

OFFER = {"name": "Gunda Gast", "role": "consultant", "discipline": "archaeology"}
ACCOUNT = {"username": "gunda", "name": "Gunda Gast", "email": "gunda@example.org", "password": "seventeen grey herons"}
ACCEPT, LOOK = f"{ROOT}/invitations/accept", f"{ROOT}/invitations/look"


def invite(api, **more):
    answer = api("coordinator").post("invitations/", {**OFFER, **more})
    assert answer.status_code == 201, answer.content
    return answer


def secret_of(answer):
    return answer.json()["link"].partition("#")[2]


def send(client, path, body):
    return client.post(path, body, content_type="application/json")


def test_who_has_no_account_makes_one_and_is_a_member(api, client, cast):
    made = invite(api)
    secret = secret_of(made)
    assert send(client, LOOK, {"secret": secret}).json() == {
        "project": "The hall", "name": "Gunda Gast", "email": "", "role": "consultant", "discipline": "archaeology",
        "invited_by": "Cora Ordway", "expires_at": made.json()["expires_at"],
    }  # fmt: skip
    answer = send(client, ACCEPT, {"secret": secret, **ACCOUNT})
    assert (answer.status_code, answer.json()["project"], answer.json()["person"]["username"]) == (201, "HALL", "gunda")
    assert client.get(f"{ROOT}/projects/HALL").json()["role"] == "consultant"
    assert client.get(f"{ROOT}/me").json()["email"] == "gunda@example.org"
    assert Person.objects.get(username="gunda").check_password(ACCOUNT["password"])
    told = api("coordinator").get(f"invitations/{made.json()['id']}").json()
    assert (told["state"], told["accepted_by"]) == ("accepted", "Gunda Gast")


def test_who_is_signed_in_accepts_as_himself(api, cast):
    secret = secret_of(invite(api))
    answer = api("stranger").post(ACCEPT, {"secret": secret})
    assert (answer.status_code, answer.json()["person"]["name"]) == (201, "Stan Ranger")
    assert Membership.objects.get(person=cast.stranger).discipline == "archaeology"


def test_the_secret_is_shown_once_kept_as_a_hash_and_stands_in_no_address(api, cast):
    made = invite(api)
    secret = secret_of(made)
    assert made.headers["Cache-Control"] == "no-store"
    assert made.json()["link"] == f"http://testserver/invitation#{secret}"
    assert secret not in str(list(Invitation.objects.values())) + str(list(Change.objects.values()))
    for path in ("invitations/", f"invitations/{made.json()['id']}", "changes/?limit=1000"):
        assert secret not in api("coordinator").get(path).content.decode()
    digest = Invitation.objects.get().digest
    assert digest not in api("coordinator").get("changes/?limit=1000").content.decode()


def test_a_used_an_expired_a_withdrawn_and_an_unknown_secret_are_answered_alike(api, client, cast):
    secrets = {state: secret_of(invite(api)) for state in ("used", "expired", "withdrawn")}
    ids = list(Invitation.objects.order_by("created_at"))
    records.accept(cast.stranger, secrets["used"])
    Invitation.objects.filter(pk=ids[1].pk).update(expires_at=timezone.now() - timedelta(seconds=1))
    assert api("coordinator").delete(f"invitations/{ids[2].pk}", If_Match='"1"').status_code == 204
    answers = [
        problem(send(client, path, {"secret": secret, **(ACCOUNT if path == ACCEPT else {})}), 404)
        for path in (LOOK, ACCEPT)
        for secret in (*secrets.values(), "unknown", "ü" * 40)
    ]
    assert all(answer == answers[0] for answer in answers)
    assert not Person.objects.filter(username="gunda").exists()
    states = {row["state"] for row in api("coordinator").get("invitations/").json()["results"]}
    assert states == {"accepted", "expired", "withdrawn"}


def test_it_holds_for_seven_days(api, cast):
    invite(api)
    left = Invitation.objects.get().expires_at - timezone.now()
    assert timedelta(days=6, hours=23) < left <= timedelta(days=7)


def test_a_dead_link_is_told_before_anything_of_names(api, client, cast):
    """Otherwise one could try by it who has an account."""
    taken = {**ACCOUNT, "username": "conservator", "password": "short"}
    assert problem(send(client, ACCEPT, {"secret": "unknown", **taken}), 404)["code"] == "not-found"
    answer = problem(send(client, ACCEPT, {"secret": secret_of(invite(api)), **taken}), 422)
    assert {(one["pointer"], one["code"]) for one in answer["errors"]} == {("/username", "taken"), ("/password", "weak-password")}


@pytest.mark.parametrize(
    ("part", "pointer"),
    [
        ({"username": "CONSERVATOR"}, "/username"), ({"username": "a b"}, "/username"), ({"username": ""}, "/username"),
        ({"name": ""}, "/name"), ({"name": "a\nb"}, "/name"), ({"email": "nowhere"}, "/email"), ({"password": "gunda-gast-1"}, "/password"),
        ({"password": "password1234"}, "/password"), ({"password": ""}, "/password"),
    ],
)  # fmt: skip
def test_an_account_that_cannot_be_is_refused_and_the_invitation_stays(api, client, cast, part, pointer):
    secret = secret_of(invite(api))
    answer = problem(send(client, ACCEPT, {"secret": secret, **ACCOUNT, **part}), 422)
    assert pointer in [one["pointer"] for one in answer["errors"]]
    assert send(client, ACCEPT, {"secret": secret, **ACCOUNT}).status_code == 201


def test_who_is_signed_in_makes_no_second_account_by_it(api, cast):
    problem(api("stranger").post(ACCEPT, {"secret": secret_of(invite(api)), **ACCOUNT}), 422)
    assert not Person.objects.filter(username="gunda").exists()


def test_a_member_does_not_use_up_an_invitation(api, cast):
    secret = secret_of(invite(api))
    assert problem(api("owner").post(ACCEPT, {"secret": secret}), 409)["code"] == "taken"
    assert api("stranger").post(ACCEPT, {"secret": secret}).status_code == 201


def test_another_sites_page_makes_no_account(api, cast):
    secret = secret_of(invite(api))
    browser = Client(enforce_csrf_checks=True)
    assert problem(send(browser, ACCEPT, {"secret": secret, **ACCOUNT}), 403)["code"] == "csrf"


def test_an_invitation_goes_out_by_mail_when_there_is_an_address(api, cast):
    assert invite(api).json()["mailed"] is False
    made = invite(api, email="gunda@example.org", name="Gunda Gast")
    assert made.json()["mailed"] is True
    (letter,) = mail.outbox
    assert letter.to == ["gunda@example.org"]
    assert made.json()["link"] in letter.body
    assert "gunda@example.org" not in api("owner").get("changes/?limit=1000").content.decode()


def test_a_letter_that_is_only_written_to_the_terminal_is_not_said_to_have_gone_out(api, cast, settings, capsys):
    settings.EMAIL_BACKEND = "django.core.mail.backends.console.EmailBackend"
    made = invite(api, email="gunda@example.org").json()
    assert (made["mailed"], made["link"] in capsys.readouterr().out) == (False, True)


def test_links_lead_where_the_settings_say_and_not_where_a_forged_header_does(api, client, cast, settings):
    settings.SITE_ADDRESS, settings.ALLOWED_HOSTS = "https://hall.example", ["*"]
    assert (
        api("coordinator").post("invitations/", OFFER, Host="thief.example").json()["link"].startswith("https://hall.example/invitation#")
    )


def test_a_mail_server_that_does_not_answer_stops_no_invitation(api, cast, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    assert invite(api, email="gunda@example.org").json()["mailed"] is False


@pytest.mark.parametrize(
    ("part", "pointer"),
    [({"role": "boss"}, "/role"), ({"discipline": ""}, "/discipline"), ({"name": ""}, "/name"), ({"email": "x"}, "/email"),
     ({"name": "x\nBcc: y@example.org"}, "/name")],
)  # fmt: skip
def test_an_invitation_that_cannot_be_is_refused(api, cast, part, pointer):
    answer = problem(api("coordinator").post("invitations/", {**OFFER, **part}), 422)
    assert answer["errors"][0]["pointer"] == pointer
    assert not Invitation.objects.exists()


def test_a_used_invitation_is_not_withdrawn(api, cast):
    made = invite(api)
    records.accept(cast.stranger, secret_of(made))
    problem(api("coordinator").delete(f"invitations/{made.json()['id']}", If_Match='"2"'), 409)


def test_a_list_of_invitations_costs_a_fixed_number_of_queries(api, cast, django_assert_num_queries):
    for _ in range(5):
        invite(api)
    with django_assert_num_queries(4):
        assert len(api("coordinator").get("invitations/?state=open&ordering=-expires_at").json()["results"]) == 5


# -- leaving and handing over --------------------------------------------------------------------------------------------------


def member(who):
    return Membership.objects.get(person=who)


def test_every_member_may_leave_and_is_a_stranger_then(api, cast):
    for who in ("conservator", "owner", "contractor"):
        assert api(who).post("leaving").status_code == 204
        problem(api(who).get(f"{ROOT}/projects/HALL"), 404)
        problem(api(who).post("leaving"), 404)


def test_the_last_coordinator_cannot_leave(api, cast):
    assert api("coordinator").get("leaving").json()["last_coordinator"] is True
    assert "Make somebody else coordinator first" in problem(api("coordinator").post("leaving"), 403)["detail"]
    assert api("coordinator").get("members/").status_code == 200


def test_nobody_but_a_coordinator_ends_anothers_membership(api, cast):
    path = f"members/{member(cast.historian).pk}/leaving"
    problem(api("conservator").post(path), 403)
    problem(api("contractor").post(path), 404)
    problem(api("stranger").post(path), 404)
    assert api("coordinator").post(path).status_code == 204
    problem(api("historian").get("members/"), 404)


def ask(cast, project, **more):
    """An open question and a review asked of the historian."""
    question = Question.objects.create(
        project=project, created_by=cast.owner, number=7, about_type="project", about_id=project.pk, text="Who glazed it?",
        to_person=cast.historian,
    )  # fmt: skip
    finding = Interpretation.objects.create(
        project=project, created_by=cast.conservator, number=3, discipline="paint conservation", subject="space", statement="One scheme.",
        **more,
    )  # fmt: skip
    return question, ReviewRequest.objects.create(
        project=project, created_by=cast.conservator, interpretation=finding, person=cast.historian
    )


def test_what_is_asked_of_a_leaver_is_named_and_goes_to_whom_he_says(api, cast, project, paint):
    question, review = ask(cast, project, space=paint.space)
    told = api("historian").get("leaving").json()
    assert [(one["number"], one["text"]) for one in told["questions"]] == [(7, "Who glazed it?")]
    assert [one["number"] for one in told["reviews"]] == [3]
    body = {"questions_to": str(member(cast.conservator).pk), "reviews_to": str(member(cast.owner).pk)}
    assert api("historian").post("leaving", body).status_code == 204
    question.refresh_from_db()
    review.refresh_from_db()
    assert (question.to_person, review.person) == (cast.conservator, cast.owner)
    acts = set(Change.objects.filter(record_id__in=[question.pk, review.pk]).values_list("act", flat=True))
    assert acts == set(Change.objects.filter(record_type="membership", action="removed").values_list("act", flat=True))


def test_what_is_asked_goes_to_nobody_who_may_not_do_it(api, cast, project, paint):
    question, _ = ask(cast, project, space=paint.space)
    for field, to in (("questions_to", cast.contractor), ("reviews_to", cast.conservator), ("questions_to", cast.historian)):
        answer = problem(api("historian").post("leaving", {field: str(member(to).pk)}), 422)
        assert answer["errors"][0]["pointer"] == f"/{field}"
    other = records.create_project(cast.stranger, {"code": "MILL", "name": "The mill"})
    outside = Membership.objects.get(project=other)
    assert problem(api("historian").post("leaving", {"questions_to": str(outside.pk)}), 422)["errors"][0]["code"] == "not-found"
    question.refresh_from_db()
    assert question.to_person == cast.historian
    assert api("historian").get("members/").status_code == 200


def test_who_is_asked_already_is_not_asked_twice(api, cast, project, paint):
    _, review = ask(cast, project, space=paint.space)
    ReviewRequest.objects.create(project=project, created_by=cast.conservator, interpretation=review.interpretation, person=cast.owner)
    assert api("historian").post("leaving", {"reviews_to": str(member(cast.owner).pk)}).status_code == 204
    assert [one.person for one in ReviewRequest.objects.all()] == [cast.owner]


def test_a_contractor_hears_nothing_of_questions_that_were_put_to_him_as_a_consultant(api, cast, project, paint):
    ask(cast, project, space=paint.space)
    row = api("coordinator").get(f"members/{member(cast.historian).pk}").json()
    answer = api("coordinator").patch(f"members/{row['id']}", {"role": "contractor"}, If_Match=f'"{row["version"]}"')
    assert answer.status_code == 200
    told = api("historian").get("leaving").json()
    assert (told["questions"], told["reviews"]) == ([], [])
    problem(api("historian").post("leaving", {"questions_to": str(member(cast.owner).pk)}), 404)


def test_a_coordinator_hands_over_in_one_act(api, cast):
    answer = api("coordinator").post("handing-over", {"to": str(member(cast.owner).pk), "role": "consultant"})
    assert (answer.status_code, answer.json()["role"], answer.json()["name"]) == (200, "consultant", "Cora Ordway")
    assert member(cast.owner).role == "coordinator"
    lines = Change.objects.filter(record_type="membership", action="changed")
    assert (lines.count(), len({line.act for line in lines}), {line.reason for line in lines}) == (2, 1, {"Handed over."})
    assert api("coordinator").post("leaving").status_code == 204


@pytest.mark.parametrize(("to", "role"), [("coordinator", "consultant"), ("owner", "coordinator"), ("owner", "boss")])
def test_a_handing_over_that_cannot_be_is_refused(api, cast, to, role):
    problem(api("coordinator").post("handing-over", {"to": str(member(cast[to]).pk), "role": role}), 422)
    assert (member(cast.coordinator).role, member(cast.owner).role) == ("coordinator", "owner")


def test_who_is_coordinator_no_more_lets_nobody_in_and_not_himself_again(api, client, cast):
    """Removed, stepped down or left: an invitation of his would be a door that he kept for himself."""
    secret = secret_of(invite(api))
    api("coordinator").post("handing-over", {"to": str(member(cast.owner).pk), "role": "consultant"})
    problem(send(client, LOOK, {"secret": secret}), 404)
    assert api("owner").get("invitations/").json()["results"][0]["state"] == "withdrawn"


def test_of_four_who_use_one_link_at_once_one_wins(tmp_path):
    """In a process of its own, on a database file: the tests' own database lies in memory and has one connection."""
    root = Path(__file__).parents[3]
    there = {**os.environ, "UNDERCOAT_DATA": str(tmp_path), "DATABASE_URL": f"sqlite:///{tmp_path}/race.sqlite3", "PYTHONPATH": str(root)}
    script = str(Path(__file__).parent / "race_accepting.py")
    done = subprocess.run([sys.executable, script], env=there, capture_output=True, text=True, timeout=240)
    assert done.stdout.splitlines() == ["201 404 404 404 members 2 accounts 2", "204 404 404 404"], done.stderr[-2000:]

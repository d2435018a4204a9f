"""Signing in and out, tokens, and requests that others' pages make."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from surveys import tokens
from surveys.models import Token
from tests.surveys.api.conftest import ROOT, problem

RIGHT = {"username": "conservator", "password": "not-a-real-secret"}


def sign_in(client, body, **headers):
    return client.post(f"{ROOT}/session", body, content_type="application/json", headers=headers)


def test_who_signs_in_is_known_until_he_signs_out(client, cast):
    problem(client.get(f"{ROOT}/me"), 401)
    answer = sign_in(client, RIGHT)
    assert (answer.status_code, answer.json()["name"]) == (200, "Connie Vator")
    assert client.get(f"{ROOT}/session").json() == client.get(f"{ROOT}/me").json() == answer.json()
    assert client.delete(f"{ROOT}/session").status_code == 204
    problem(client.get(f"{ROOT}/session"), 401)


def test_a_wrong_name_and_a_wrong_password_are_refused_in_the_same_words(client, cast):
    wrong = [sign_in(client, {**RIGHT, **part}) for part in ({"username": "nobody"}, {"password": "guess"})]
    assert problem(wrong[0], 401) == problem(wrong[1], 401)


def test_who_has_left_cannot_sign_in(client, cast):
    cast.conservator.is_active = False
    cast.conservator.save()
    problem(sign_in(client, RIGHT), 401)


def test_tries_are_counted_by_name_and_address(client, cast):
    wrong = {**RIGHT, "password": "guess"}
    assert [sign_in(client, wrong).status_code for _ in range(11)] == [401] * 10 + [429]
    refused = sign_in(client, RIGHT)
    assert int(refused.headers["Retry-After"]) >= 1
    assert refused.headers["Retry-After"] in problem(refused, 429)["detail"]
    assert sign_in(client, {**RIGHT, "username": "historian"}).status_code == 200
    assert Client(REMOTE_ADDR="10.0.0.9").post(f"{ROOT}/session", RIGHT, content_type="application/json").status_code == 200


@pytest.mark.parametrize("body", [{}, {"username": "x"}, {"username": 1, "password": "x"}, {**RIGHT, "remember": True}, []])
def test_what_is_no_name_and_password_is_refused(client, cast, body):
    assert sign_in(client, body).status_code in (400, 422)


def test_a_page_of_another_site_cannot_sign_in_or_write(cast, project):
    browser = Client(enforce_csrf_checks=True)
    assert problem(sign_in(browser, RIGHT), 403)["code"] == "csrf"
    problem(browser.get(f"{ROOT}/session"), 401)
    key = browser.cookies["csrftoken"].value
    assert sign_in(browser, RIGHT, **{"X-CSRFToken": key}).status_code == 200
    space = {"number": "9"}
    path = f"{ROOT}/projects/HALL/spaces/"
    assert problem(browser.post(path, space, content_type="application/json"), 403)["code"] == "csrf"
    key = browser.cookies["csrftoken"].value
    assert browser.post(path, space, content_type="application/json", headers={"X-CSRFToken": key}).status_code == 201


def by_token(secret, path=f"{ROOT}/me", **more):
    return Client(enforce_csrf_checks=True).get(path, headers={"Authorization": f"Token {secret}"}, **more)


def test_a_token_is_shown_once_and_acts_as_its_person(api, cast):
    made = api("conservator").post("/api/v1/tokens/", {"label": "spectrometer"})
    assert made.status_code == 201
    secret = made.json()["token"]
    assert by_token(secret).json()["username"] == "conservator"
    listed = api("conservator").get("/api/v1/tokens/").json()["results"]
    assert [set(one) for one in listed] == [{"id", "label", "created_at", "last_used_at"}]
    assert secret not in str(Token.objects.values())
    write = Client(enforce_csrf_checks=True).post(
        f"{ROOT}/projects/HALL/spaces/", {"number": "9"}, content_type="application/json", headers={"Authorization": f"token {secret}"}
    )
    assert write.status_code == 201


def test_a_revoked_token_is_nobodys(api, cast):
    made = api("conservator").post("/api/v1/tokens/", {"label": "x"}).json()
    problem(api("historian").delete(f"/api/v1/tokens/{made['id']}"), 404)
    assert by_token(made["token"]).status_code == 200
    assert api("conservator").delete(f"/api/v1/tokens/{made['id']}").status_code == 204
    answer = by_token(made["token"])
    assert "revoked" in problem(answer, 401)["detail"]
    assert answer.headers["WWW-Authenticate"] == "Token"
    problem(api("conservator").delete(f"/api/v1/tokens/{made['id']}"), 404)


@pytest.mark.parametrize("header", ["Token", "Token a b", "Token wrong", "Token käse"])
def test_what_is_no_token_is_refused(client, cast, header):
    problem(client.get(f"{ROOT}/me", headers={"Authorization": header}), 401)


def test_the_token_of_who_has_left_is_nobodys(cast):
    _, secret = tokens.make(cast.conservator, "x")
    cast.conservator.is_active = False
    cast.conservator.save()
    problem(by_token(secret), 401)


def test_the_last_use_is_noted_at_most_once_a_minute(cast, django_assert_num_queries):
    token, secret = tokens.make(cast.conservator, "x")
    with django_assert_num_queries(2):
        tokens.person_of(secret)
    with django_assert_num_queries(1):
        tokens.person_of(secret)
    Token.objects.filter(pk=token.pk).update(last_used_at=timezone.now() - timedelta(seconds=61))
    tokens.person_of(secret)
    token.refresh_from_db()
    assert timezone.now() - token.last_used_at < timedelta(seconds=30)


@pytest.mark.parametrize("label", ["", "  ", "x" * 81, "a\nb"])
def test_a_token_needs_a_label(api, cast, label):
    assert problem(api("owner").post("/api/v1/tokens/", {"label": label}), 422)["errors"][0]["pointer"] == "/label"


def test_a_project_list_holds_ones_own_with_ones_role(api, cast):
    for who, role in (("coordinator", "coordinator"), ("owner", "owner"), ("contractor", "contractor")):
        assert [(row["code"], row["role"]) for row in api(who).get("/api/v1/projects/").json()["results"]] == [("HALL", role)]
    assert api("stranger").get("/api/v1/projects/").json()["results"] == []


def test_a_contractor_sees_of_a_project_no_more_than_its_name_and_his_role(api, cast):
    assert set(api("contractor").get("/api/v1/projects/HALL").json()) == {"code", "name", "place", "role"}
    assert set(api("contractor").get("/api/v1/projects/").json()["results"][0]) == {"code", "name", "place", "role"}
    problem(api("contractor").get("/api/v1/projects/?notes__icontains=a"), 400)
    problem(api("contractor").get("/api/v1/projects/?ordering=version"), 400)
    problem(api("contractor").patch("/api/v1/projects/HALL", {"name": "x"}, If_Match='"1"'), 404)
    assert "notes" in api("owner").get("/api/v1/projects/HALL").json()


def test_a_project_is_begun_and_changed_by_its_coordinator(api, cast):
    made = api("stranger").post("/api/v1/projects/", {"code": "MILL", "name": "The mill"})
    assert (made.status_code, made.headers["Location"], made.json()["role"]) == (201, "/api/v1/projects/MILL", "coordinator")
    path = "/api/v1/projects/HALL"
    tag = api("owner").get(path).headers["ETag"]
    problem(api("owner").patch(path, {"name": "x"}, If_Match=tag), 403)
    problem(api("coordinator").patch(path, {"name": "x"}), 428)
    changed = api("coordinator").patch(path, {"name": "The hall, east wing"}, If_Match=tag)
    assert (changed.status_code, changed.json()["version"]) == (200, 2)
    assert problem(api("coordinator").patch(path, {"name": "y"}, If_Match=tag), 412)["current"] == changed.json()
    problem(api("coordinator").patch(path, {"code": "X"}, If_Match=changed.headers["ETag"]), 422)
    problem(api("stranger").post("/api/v1/projects/", {"code": "hall", "name": "x"}), 422)


def test_members_are_let_in_changed_and_let_go_by_a_coordinator(api, cast):
    body = {"username": "stranger", "role": "consultant", "discipline": "archaeology"}
    problem(api("conservator").post("members/", body), 403)
    made = api("coordinator").post("members/", body)
    assert (made.status_code, made.json()["name"], made.json()["role"]) == (201, "Stan Ranger", "consultant")
    path = f"members/{made.json()['id']}"
    problem(api("conservator").patch(path, {"role": "owner"}, If_Match=made.headers["ETag"]), 403)
    changed = api("coordinator").patch(path, {"role": "owner"}, If_Match=made.headers["ETag"])
    assert (changed.status_code, changed.json()["role"]) == (200, "owner")
    problem(api("coordinator").patch(path, {"role": "owner"}, If_Match=made.headers["ETag"]), 412)
    assert api("stranger").get("members/").status_code == 200
    assert api("coordinator").delete(path, If_Match=changed.headers["ETag"]).status_code == 204
    problem(api("stranger").get("members/"), 404)


@pytest.mark.parametrize(
    ("part", "pointer"), [({"username": "none"}, "/username"), ({"role": "boss"}, "/role"), ({"discipline": 7}, "/discipline")]
)
def test_who_cannot_be_a_member_is_refused(api, cast, part, pointer):
    body = {"username": "stranger", "role": "consultant", "discipline": "archaeology", **part}
    assert problem(api("coordinator").post("members/", body), 422)["errors"][0]["pointer"] == pointer

"""Doors: how long a session stays open, what passwords are refused and how they are kept, and what is written down of who tries doors."""

import logging
import time

import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.test import Client

from config import settings as written
from config.passwords import NotTheProgramsName
from surveys import people, tokens
from surveys.api.authentication import BEGAN, GRAIN, SEEN
from surveys.models import Person, Session, Token
from tests.surveys.api.conftest import ROOT, problem

RIGHT = {"username": "conservator", "password": "not-a-real-secret"}


def sign_in(client, **changed):
    return client.post(f"{ROOT}/session", {**RIGHT, **changed}, content_type="application/json")


def left_for(client, seconds):
    """As if nothing had been done in a session for so long."""
    session = client.session
    session[SEEN] = int(time.time()) - seconds
    session.save()


# -- sessions ---------------------------------------------------------------------------------------------------------------------


def test_a_session_left_too_long_ends_and_stays_ended(client, cast):
    sign_in(client)
    left_for(client, settings.SESSION_IDLE_SECONDS + 60)
    problem(client.get(f"{ROOT}/me"), 401)
    assert Session.objects.count() == 0
    problem(client.get(f"{ROOT}/me"), 401)


def test_a_session_in_which_something_is_done_goes_on(client, cast):
    sign_in(client)
    left_for(client, settings.SESSION_IDLE_SECONDS - 60)
    assert client.get(f"{ROOT}/me").status_code == 200
    assert time.time() - client.session[SEEN] < 60


def test_that_somebody_is_there_is_written_down_once_an_hour(client, cast, django_assert_num_queries):
    sign_in(client)
    left_for(client, GRAIN - 60)
    before = client.session[SEEN]
    with django_assert_num_queries(2):  # the session and the person
        client.get(f"{ROOT}/me")
    assert client.session[SEEN] == before
    left_for(client, GRAIN + 60)
    client.get(f"{ROOT}/me")
    assert client.session[SEEN] > before


def test_a_session_ends_after_two_weeks_whatever_is_done_in_it(client, cast):
    sign_in(client)
    assert client.cookies[settings.SESSION_COOKIE_NAME]["max-age"] == 14 * 86_400
    session = client.session
    session[BEGAN] = int(time.time()) - 14 * 86_400 + 60
    session.save()
    assert client.get(f"{ROOT}/me").status_code == 200
    session[BEGAN] -= 120
    session.save()
    problem(client.get(f"{ROOT}/me"), 401)
    assert Session.objects.count() == 0


def test_signing_in_begins_a_session_of_its_own_and_signing_out_ends_it_everywhere(client, cast):
    sign_in(client)
    first = client.session.session_key
    sign_in(client, username="historian")
    second = client.session.session_key
    assert first != second
    thief = Client()
    thief.cookies[settings.SESSION_COOKIE_NAME] = second
    assert thief.get(f"{ROOT}/me").json()["username"] == "historian"
    gone = client.delete(f"{ROOT}/session")
    assert gone.headers["Clear-Site-Data"] == '"cache"'
    problem(thief.get(f"{ROOT}/me"), 401)
    thief.cookies[settings.SESSION_COOKIE_NAME] = first
    problem(thief.get(f"{ROOT}/me"), 401)


# -- passwords --------------------------------------------------------------------------------------------------------------------


def test_passwords_are_kept_by_argon2id_and_tokens_by_their_digest(cast, settings):
    settings.PASSWORD_HASHERS = written.PASSWORD_HASHERS  # tests keep passwords by a quicker way
    person = Person.objects.create_user(username="new", password="four words of a kind", name="New")
    assert person.password.startswith("argon2$argon2id$")
    memory, rounds = (int(part.partition("=")[2]) for part in person.password.split("$")[3].split(",")[:2])
    # RFC 9106, section 4, recommends 64 MiB and 3 passes where memory is short; OWASP's cheat sheet on storing passwords 19 MiB and 2.
    assert memory >= 65_536
    assert rounds >= 2
    _, secret = tokens.make(person, "x")
    assert secret not in str(list(Token.objects.values()))
    assert Token.objects.get(person=person).digest == tokens.digest_of(secret)


LONG = "seventeen herons walk over wet lime by the north window at dusk, and nobody minds"


@pytest.mark.parametrize("password", [LONG, "пароль из четырёх слов", "   spaces   within   ", "ALLLOWERNOT but long"])
def test_any_words_will_do_and_none_is_cut(client, cast, password):
    assert people.password_faults(cast.owner, password, "password") == []
    cast.owner.set_password(password)
    cast.owner.save()
    assert sign_in(client, username="owner", password=password).status_code == 200
    for other in (password[:-1], password.swapcase(), password.strip() if password != password.strip() else password + " "):
        assert sign_in(Client(), username="owner", password=other).status_code == 401


@pytest.mark.parametrize(
    "password", ["password1234", "123456789012", "short", "undercoat2026", "UNDERCOAT-1234", "conservator1", "paint.example1"]
)
def test_what_is_easily_guessed_is_refused(cast, settings, password):
    settings.SITE_ADDRESS = "https://paint.example.org"
    assert people.password_faults(cast.conservator, password, "password")


def test_the_programs_name_may_stand_in_a_password_that_is_more_than_that(settings):
    settings.SITE_ADDRESS = ""
    NotTheProgramsName().validate("undercoat is seldom green")
    with pytest.raises(ValidationError, match="little more than the name"):
        NotTheProgramsName().validate("undercoat-undercoat-1")


# -- trying doors -----------------------------------------------------------------------------------------------------------------


def test_nobody_can_lock_another_out_by_guessing_elsewhere(client, cast):
    thief = Client(REMOTE_ADDR="10.9.9.9")
    for _ in range(12):
        last = sign_in(thief, password="guess")
    assert last.status_code == 429
    assert sign_in(client).status_code == 200


def test_what_an_address_says_of_itself_counts_for_nothing_without_a_proxy_of_ours(client, cast):
    """Otherwise whoever guesses would be another at every try."""
    answers = [
        client.post(
            f"{ROOT}/session", {**RIGHT, "password": "guess"}, content_type="application/json", headers={"X-Forwarded-For": f"10.0.0.{n}"}
        )
        for n in range(11)
    ]
    assert [answer.status_code for answer in answers] == [401] * 10 + [429]


def test_doors_that_were_tried_are_written_down_without_what_was_sent(client, api, cast, project, caplog):
    caplog.set_level(logging.INFO, logger="surveys")
    sign_in(client, password="guess-that-nobody-logs")
    sign_in(client)
    client.get(f"{ROOT}/me", headers={"Authorization": "Token wrong-and-unlogged"})
    api("stranger").get("spaces/")
    api("owner").post("spaces/", {"number": "9"})
    Client().get(f"{ROOT}/me")
    told = caplog.text
    for needed in (
        "Refused (wrong-password): POST '/api/v1/session', person None",
        f"Person {cast.conservator.pk} signed in from 127.0.0.1",
        "A token that is not known was sent",
        f"Person {cast.stranger.pk} was not shown project HALL, being nobody in it",
        f"Refused (forbidden): POST '/api/v1/projects/HALL/spaces/', person {cast.owner.pk}",
    ):
        assert needed in told
    assert "unlogged" not in told
    assert "nobody-logs" not in told


def test_what_is_in_an_address_cannot_make_lines_of_its_own(api, cast, project, caplog):
    caplog.set_level(logging.INFO, logger="surveys")
    api("owner").delete("spaces/6f9619ff-8b86-4d01-b42d-00cf4fc964ff%0AINFO surveys: all is well", If_Match='"1"')
    api("owner").post("jobs/", {"kind": "date"}, Idempotency_Key="x")
    assert "\nINFO surveys: all is well" not in caplog.text

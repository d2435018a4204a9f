"""Where one is signed in: seen by oneself only, and ended one by one, all others at once, or by who runs the program."""

import importlib
import time
import uuid

import pytest
from django.apps import apps
from django.conf import settings
from django.contrib.sessions.models import Session as FormerSession
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from surveys import sessions, tokens
from surveys.models import Session
from surveys.sessions import BEGAN, SEEN
from tests.surveys.api.conftest import ROOT, problem

HERE = f"{ROOT}/me/sessions/"
PASSWORD = "not-a-real-secret"
FIREFOX = "Mozilla/5.0 (X11; Linux x86_64; rv:146.0) Gecko/20100101 Firefox/146.0"
TABLET = "Mozilla/5.0 (iPad; CPU OS 19_1 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/19.1 Mobile/15E148 Safari/604.1"


def signed_in(who="conservator", agent=FIREFOX, address="127.0.0.1"):
    """A browser in which somebody signed in."""
    client = Client(REMOTE_ADDR=address, headers={"User-Agent": agent})
    body = {"username": who, "password": PASSWORD}
    assert client.post(f"{ROOT}/session", body, content_type="application/json").status_code == 200
    return client


def listed(client):
    answer = client.get(HERE)
    assert answer.status_code == 200
    return answer.json()["results"]


def known(client):
    return client.get(f"{ROOT}/me").status_code == 200


def end(client, name, password=PASSWORD):
    """End a session by its name, or all others ('')."""
    path = f"{HERE}{name}/end" if name else f"{HERE}end-others"
    return client.post(path, {"password": password}, content_type="application/json")


def hold(client, **values):
    """Write into a session what only time would."""
    session = client.session
    session.update(values)
    session.save()


# -- seen -------------------------------------------------------------------------------------------------------------------------


def test_one_sees_where_one_is_signed_in_this_browser_first(cast):
    desk, wall = signed_in(), signed_in(agent=TABLET, address="2001:db8:1:2::9")
    signed_in("historian")
    hold(wall, **{SEEN: int(time.time()) + 100})
    first, second = listed(desk)
    assert (first["current"], first["browser"], first["network"]) == (True, "Firefox on Linux", "127.0.0.1")
    assert (second["current"], second["browser"], second["network"]) == (False, "Safari on iPad", "2001:db8:1:2::/64")
    assert [one["current"] for one in listed(wall)] == [True, False]


def test_when_it_began_and_was_last_used_is_told_from_the_session(cast):
    client = signed_in()
    hold(client, **{BEGAN: 1_900_000_000, SEEN: 1_900_007_200})
    told = sessions.of(cast.conservator)[0]
    # 2030-03-17 17:46:40 UTC is 1.9 thousand million seconds after the beginning of 1970 (date -u -d @1900000000).
    assert (told.began_at.isoformat(), told.last_used_at.isoformat()) == ("2030-03-17T17:46:40+00:00", "2030-03-17T19:46:40+00:00")


def test_the_key_of_a_session_is_told_to_nobody(cast):
    desk, wall = signed_in(), signed_in()
    told = desk.get(HERE).content.decode()
    for client in (desk, wall):
        assert client.session.session_key not in told


def test_what_has_ended_by_itself_is_not_listed(cast):
    desk = signed_in()
    for values in (
        {SEEN: int(time.time()) - settings.SESSION_IDLE_SECONDS - 60},
        {BEGAN: int(time.time()) - settings.SESSION_COOKIE_AGE - 60},
    ):
        hold(signed_in(), **values)
    old = signed_in()
    Session.objects.filter(session_key=old.session.session_key).update(expire_date=timezone.now())
    assert [one["current"] for one in listed(desk)] == [True]


def test_a_session_that_a_new_password_ended_is_not_listed(cast):
    """Also where the password was changed past the program, by Django's own command."""
    signed_in()
    cast.conservator.set_password("nineteen grey herons")
    cast.conservator.save()
    assert sessions.of(cast.conservator) == []


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        (FIREFOX, "Firefox on Linux"),
        (TABLET, "Safari on iPad"),
        (
            "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Safari/537.36",
            "Chrome on Windows",
        ),
        (
            "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Safari/537.36 Edg/140.0.0.0",
            "Edge on Windows",
        ),
        (
            "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.5 Safari/605.1.15",
            "Safari on macOS",
        ),
        (
            "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) SamsungBrowser/28.0 Chrome/130.0 Mobile Safari/537",
            "Samsung Internet on Android",
        ),
        (
            "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) CriOS/140.0 Mobile/15E148 "
            "Safari/604.1",
            "Chrome on iPhone",
        ),
        (
            "Mozilla/5.0 (X11; CrOS x86_64 14541.0.0) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Safari/537.36",
            "Chrome on ChromeOS",
        ),
        ("curl/8.9", "Another browser"),
        ("", "Another browser"),
    ],
)
def test_what_a_browser_says_of_itself_is_told_in_plain_words(agent, words):
    assert sessions.browser_of(agent) == words


def test_what_a_browser_says_of_itself_reaches_nobody_as_it_was_written(cast):
    client = signed_in(agent="<b>Firefox/1 Windows</b>" + "x" * 10_000)
    assert listed(client)[0]["browser"] == "Firefox on Windows"


def test_a_persons_sessions_are_found_by_one_query_however_many_others_there_are(cast, django_assert_num_queries):
    client = signed_in()
    for who in ("conservator", "historian", "owner"):
        signed_in(who)
    with django_assert_num_queries(3):  # the session, the person, the list
        assert len(listed(client)) == 2


# -- ended ------------------------------------------------------------------------------------------------------------------------


def test_another_session_is_ended_and_this_one_goes_on(cast):
    desk, wall, home = signed_in(), signed_in(agent=TABLET), signed_in()
    gone = next(one for one in listed(desk) if one["browser"] == "Safari on iPad")
    assert end(desk, gone["id"]).status_code == 204
    assert (known(desk), known(wall), known(home)) == (True, False, True)
    problem(end(desk, gone["id"]), 404)


def test_to_end_this_very_session_is_to_sign_out(cast):
    desk = signed_in()
    hold(desk, **{SEEN: int(time.time()) - 7200})  # so that the request also has to note that somebody is there
    assert end(desk, listed(desk)[0]["id"]).status_code == 204
    assert (known(desk), Session.objects.count()) == (False, 0)


def test_all_others_are_ended_at_once(cast):
    desk, others, historian = signed_in(), [signed_in(), signed_in()], signed_in("historian")
    answer = end(desk, "")
    assert (answer.status_code, answer.json()) == (200, {"ended": 2})
    assert (known(desk), [known(one) for one in others], known(historian)) == (True, [False, False], True)


def test_who_found_a_browser_open_puts_its_person_out_nowhere_else(cast):
    """Ending sessions takes the present password, and guesses at that are counted."""
    desk, wall = signed_in(), signed_in()
    name = listed(desk)[1]["id"]
    for which in ("", name):
        refused = problem(end(desk, which, "guess"), 422)
        assert (refused["errors"][0]["pointer"], refused["errors"][0]["code"]) == ("/password", "wrong-password")
    assert known(wall)
    assert [end(desk, name, "guess").status_code for _ in range(9)] == [422] * 8 + [429]
    assert known(wall)


def test_nobody_ends_anothers_session(cast):
    mine, theirs = signed_in(), signed_in("historian")
    name = listed(theirs)[0]["id"]
    assert problem(end(mine, name), 404) == problem(end(mine, uuid.uuid4()), 404)
    assert known(theirs)


def test_a_page_of_another_site_ends_no_session(cast):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(cast.conservator)
    other = signed_in()
    assert problem(end(browser, ""), 403)["code"] == "csrf"
    assert known(other)


def test_a_script_sees_and_ends_sessions_by_its_token_and_is_none_itself(cast):
    desk = signed_in()
    _, secret = tokens.make(cast.conservator, "script")
    script = Client(headers={"Authorization": f"Token {secret}"})
    assert [one["current"] for one in listed(script)] == [False]
    assert end(script, "").json() == {"ended": 1}
    assert (known(desk), known(script)) == (False, True)


def test_a_new_password_leaves_no_other_session_behind(cast):
    desk, wall = signed_in(), signed_in()
    body = {"password": PASSWORD, "new_password": "seventeen grey herons"}
    assert desk.post(f"{ROOT}/me/password", body, content_type="application/json").status_code == 204
    assert (known(desk), known(wall)) == (True, False)
    assert [one["current"] for one in listed(desk)] == [True]
    assert Session.objects.filter(person=cast.conservator).count() == 1


def test_the_sessions_of_who_may_not_sign_in_any_more_are_nobodys(cast):
    desk = signed_in()
    cast.conservator.is_active = False
    cast.conservator.save()
    problem(desk.get(HERE), 401)


def test_who_runs_the_program_ends_the_sessions_of_somebody_who_stays(cast, capsys):
    desk, wall, historian = signed_in(), signed_in(), signed_in("historian")
    _, secret = tokens.make(cast.conservator, "script")
    script = Client(headers={"Authorization": f"Token {secret}"})
    call_command("end_sessions", "conservator")
    assert capsys.readouterr().out == "Sessions of Connie Vator ended: 2.\n"
    assert (known(desk), known(wall), known(historian), known(script)) == (False, False, True, True)
    assert known(signed_in())
    call_command("end_sessions", "conservator", "--tokens")
    assert capsys.readouterr().out == "Sessions of Connie Vator ended: 1. Tokens revoked: 1.\n"
    assert not known(script)
    with pytest.raises(CommandError, match="Nobody signs in as 'nobody'"):
        call_command("end_sessions", "nobody")


# -- kept -------------------------------------------------------------------------------------------------------------------------


def test_whose_a_session_is_stands_beside_it_and_goes_with_signing_out(cast):
    client = signed_in()
    assert list(Session.objects.values_list("person", flat=True)) == [cast.conservator.pk]
    signed_in_as_another = {"username": "historian", "password": PASSWORD}
    client.post(f"{ROOT}/session", signed_in_as_another, content_type="application/json")
    assert list(Session.objects.values_list("person", flat=True)) == [cast.historian.pk]
    client.delete(f"{ROOT}/session")
    assert Session.objects.count() == 0


def test_sessions_that_ended_by_themselves_are_forgotten(cast):
    old, new = signed_in(), signed_in("historian")
    Session.objects.filter(session_key=old.session.session_key).update(expire_date=timezone.now())
    sessions.tidy()
    assert [row.session_key for row in Session.objects.all()] == [new.session.session_key]


def test_an_upgrade_leaves_no_former_session_behind(db):
    FormerSession.objects.create(session_key="x" * 32, session_data="x", expire_date=timezone.now())
    importlib.import_module("surveys.migrations.0005_sessions").forget_former_sessions(apps, None)
    assert FormerSession.objects.count() == 0

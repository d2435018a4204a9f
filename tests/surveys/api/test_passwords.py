"""Passwords: changed, forgotten, and guessed at. Nobody learns from it who has an account, and nobody is locked out by another."""

import subprocess
import sys
from collections import Counter
from datetime import timedelta
from pathlib import Path

import pytest
from django.contrib.auth.hashers import MD5PasswordHasher
from django.contrib.auth.tokens import default_token_generator
from django.core import mail
from django.core.cache import caches
from django.core.management import CommandError, call_command
from django.test import Client

from surveys import errors, people, throttling, tokens
from tests.surveys.api.conftest import ROOT, Api, problem

OLD, NEW = "not-a-real-secret", "seventeen grey herons"
CHANGE, EMAIL, ASK, USE = f"{ROOT}/me/password", f"{ROOT}/me/email", f"{ROOT}/password-resets/", f"{ROOT}/password-resets/use"


def send(client, path, body, **more):
    return client.post(path, body, content_type="application/json", **more)


def sign_in(username, password, **more):
    return send(Client(), f"{ROOT}/session", {"username": username, "password": password}, **more)


def addressed(person, email="owen@example.org"):
    person.email = email
    person.save()
    return person


def link_of(letter):
    return next(word for word in letter.body.split() if word.startswith("http"))


# -- changing -------------------------------------------------------------------------------------------------------------------


def test_a_password_is_changed_by_who_knows_it_and_other_sessions_end(api, cast):
    elsewhere = Api(cast.owner)
    assert elsewhere.get(f"{ROOT}/me").status_code == 200
    _, secret = tokens.make(cast.owner, "script")
    assert api("owner").post(CHANGE, {"password": OLD, "new_password": NEW}).status_code == 204
    assert api("owner").get(f"{ROOT}/me").status_code == 200
    problem(elsewhere.get(f"{ROOT}/me"), 401)
    assert (sign_in("owner", OLD).status_code, sign_in("owner", NEW).status_code) == (401, 200)
    # Who knows the old password is who made the tokens; he sees them beside, and revokes which he will.
    assert Client().get(f"{ROOT}/me", headers={"Authorization": f"Token {secret}"}).status_code == 200


def test_without_the_present_password_nothing_is_changed(api, cast):
    answer = problem(api("owner").post(CHANGE, {"password": "guess", "new_password": NEW}), 422)
    assert (answer["errors"][0]["pointer"], answer["errors"][0]["code"]) == ("/password", "wrong-password")
    answer = problem(api("owner").post(EMAIL, {"password": "guess", "email": "thief@example.org"}), 422)
    assert answer["errors"][0]["pointer"] == "/password"
    cast.owner.refresh_from_db()
    assert (cast.owner.check_password(OLD), cast.owner.email) == (True, "")


@pytest.mark.parametrize("weak", ["", "short", "password1234", "owen nerr owner", "123456789012345"])
def test_a_weak_password_is_refused_with_the_reason(api, cast, weak):
    cast.owner.username, cast.owner.name = "owen-nerr-owner", "Owen Nerr"
    cast.owner.save()
    answer = problem(api("owner").post(CHANGE, {"password": OLD, "new_password": weak}), 422)
    assert (answer["errors"][0]["pointer"], answer["errors"][0]["code"]) == ("/new_password", "weak-password")


@pytest.mark.parametrize("common", ["qwertyuiopasdfgh", "iloveyou1234", "Password1234!", "abcdefghijklmnop", "aaaaaaaaaaaaaaaa"])
def test_a_common_password_that_is_long_enough_is_refused_with_what_makes_it_so(api, cast, common):
    answer = problem(api("owner").post(CHANGE, {"password": OLD, "new_password": common}), 422)
    assert answer["errors"][0]["code"] == "weak-password"
    assert "would soon be guessed" in answer["errors"][0]["detail"]


def test_a_password_is_judged_beside_the_names_of_who_sets_it(api, cast):
    cast.owner.email = "mariner.lightkeeper@example.org"
    cast.owner.save()
    problem(api("owner").post(CHANGE, {"password": OLD, "new_password": "mariner.lightkeeper@example.org1"}), 422)


@pytest.mark.parametrize("long", ["x y" * 200, "seventeen grey herons"])
def test_what_is_long_is_judged_by_its_beginning(api, cast, long):
    expected = 204 if long == "seventeen grey herons" else 422
    assert api("owner").post(CHANGE, {"password": OLD, "new_password": long}).status_code == expected


def test_a_token_changes_no_session(cast):
    _, secret = tokens.make(cast.owner, "script")
    answer = send(Client(), CHANGE, {"password": OLD, "new_password": NEW}, headers={"Authorization": f"Token {secret}"})
    assert (answer.status_code, answer.cookies.get("sessionid")) == (204, None)


def test_the_former_address_is_told_of_a_new_one(api, cast):
    addressed(cast.owner)
    answer = api("owner").post(EMAIL, {"password": OLD, "email": "new@example.org"})
    assert answer.json()["email"] == "new@example.org"
    assert [letter.to for letter in mail.outbox] == [["owen@example.org"]]
    problem(api("owner").post(EMAIL, {"password": OLD, "email": "nowhere"}), 422)
    assert api("owner").post(EMAIL, {"password": OLD, "email": ""}).json()["email"] == ""


def test_a_session_that_was_left_open_cannot_be_used_to_guess_the_password(api, cast):
    answers = [api("owner").post(CHANGE, {"password": f"guess {n}", "new_password": NEW}).status_code for n in range(11)]
    assert answers == [422] * 10 + [429]


# -- forgotten ------------------------------------------------------------------------------------------------------------------


def test_the_answer_is_the_same_whether_an_account_has_the_address(client, cast):
    addressed(cast.owner)
    gone = addressed(cast.historian, "gone@example.org")
    gone.is_active = False
    gone.save()
    answers = [send(client, ASK, {"email": email}) for email in ("owen@example.org", "nobody@example.org", "gone@example.org", "", "x")]
    assert {(answer.status_code, answer.content) for answer in answers} == {(202, answers[0].content)}
    assert [letter.to for letter in mail.outbox] == [["owen@example.org"]]


def test_the_letter_goes_out_after_the_answer(client, cast, monkeypatch):
    """So that the clock does not tell either."""
    addressed(cast.owner)
    sent = []
    monkeypatch.setattr(mail, "outbox", sent)
    from surveys.api.views import passwords

    order = []
    monkeypatch.setattr(passwords.mail, "send", lambda *told: order.append("letter"))
    real = passwords.PasswordResets.finalize_response
    monkeypatch.setattr(
        passwords.PasswordResets, "finalize_response", lambda *args, **named: order.append("answer") or real(*args, **named)
    )
    send(client, ASK, {"email": "owen@example.org"})
    assert order == ["answer", "letter"]


def test_by_the_link_one_takes_a_new_password_and_whoever_had_the_account_has_it_no_longer(api, client, cast):
    addressed(cast.owner)
    thief = Api(cast.owner)
    thief.get(f"{ROOT}/me")
    _, token = tokens.make(cast.owner, "the thief's")
    send(client, ASK, {"email": "OWEN@example.org"})
    address, _, secret = link_of(mail.outbox[0]).partition("#")
    assert address == "http://testserver/new-password"
    problem(send(client, USE, {"secret": secret, "password": "short"}), 422)
    assert send(client, USE, {"secret": secret, "password": NEW}).status_code == 204
    assert (sign_in("owner", OLD).status_code, sign_in("owner", NEW).status_code) == (401, 200)
    problem(thief.get(f"{ROOT}/me"), 401)
    problem(Client().get(f"{ROOT}/me", headers={"Authorization": f"Token {token}"}), 401)
    problem(send(client, USE, {"secret": secret, "password": "another grey heron"}), 404)


def test_every_account_of_an_address_gets_its_link_and_others_none(client, cast):
    addressed(cast.owner)
    addressed(cast.historian)
    addressed(cast.conservator, "connie@example.org")
    send(client, ASK, {"email": "owen@example.org"})
    names = [next(one for one in ("'owner'", "'historian'", "'conservator'") if one in letter.body) for letter in mail.outbox]
    assert sorted(names) == ["'historian'", "'owner'"]


def dead(person, monkeypatch):
    """Links that are not valid: too old, from before a change, of nobody, of another, cut off."""
    secret = people.reset_secret(person)
    head, _, token = secret.partition(".")
    now = default_token_generator._now
    monkeypatch.setattr(default_token_generator, "_now", lambda: now() - timedelta(seconds=86_401))
    old = people.reset_secret(person)
    monkeypatch.undo()
    before = people.reset_secret(person)
    person.set_password("a password of the meantime")
    person.save()
    # 'OTk5' is 999, in base64.
    return [
        old,
        before,
        f"OTk5.{token}",
        "",
        ".",
        head,
        f"{head}.",
        f"{head}.x-y",
        f"{'A' * 200}.x",
        "ü.ü",
        "LTE.x",
        "OTk5OTk5OTk5OTk5OTk5OTk5OTk5.x",
    ]


def test_every_dead_link_is_answered_alike(client, cast, monkeypatch):
    answers = [problem(send(client, USE, {"secret": one, "password": NEW}), 404) for one in dead(cast.owner, monkeypatch)]
    assert all(one == answers[0] for one in answers)
    cast.owner.refresh_from_db()
    assert cast.owner.check_password("a password of the meantime")


def test_who_may_not_sign_in_takes_no_new_password(client, cast):
    secret = people.reset_secret(cast.owner)
    cast.owner.is_active = False
    cast.owner.save()
    problem(send(client, USE, {"secret": secret, "password": NEW}), 404)


def test_another_sites_page_asks_for_no_link_and_uses_none(cast):
    browser = Client(enforce_csrf_checks=True)
    assert problem(send(browser, ASK, {"email": "a@example.org"}), 403)["code"] == "csrf"
    assert problem(send(browser, USE, {"secret": "x", "password": "x"}), 403)["code"] == "csrf"


def test_nobody_fills_anothers_letter_box(cast):
    addressed(cast.owner)
    for place in range(30):
        send(Client(REMOTE_ADDR=f"10.0.0.{place}"), ASK, {"email": "owen@example.org"})
    assert len(mail.outbox) == 10
    # From one place five requests for one address are taken, then one has to wait.
    codes = [send(Client(REMOTE_ADDR="10.0.1.1"), ASK, {"email": "nobody@example.org"}).status_code for _ in range(6)]
    assert codes == [202] * 5 + [429]


def test_an_administrator_prints_a_link_where_there_is_no_mail(client, cast, capsys):
    call_command("reset_link", "owner", "--address", "http://hall.example:8000/")
    address, _, secret = capsys.readouterr().out.strip().partition("#")
    assert address == "http://hall.example:8000/new-password"
    assert send(client, USE, {"secret": secret, "password": NEW}).status_code == 204
    with pytest.raises(CommandError, match="Nobody signs in as 'nobody'"):
        call_command("reset_link", "nobody")


# -- guessing -------------------------------------------------------------------------------------------------------------------


def test_many_names_from_one_place_are_too_many_and_elsewhere_nobody_is_locked_out(cast):
    codes = Counter(sign_in(f"name {n}", "guess", REMOTE_ADDR="10.0.0.1").status_code for n in range(101))
    assert codes == {401: 100, 429: 1}
    assert sign_in("owner", OLD, REMOTE_ADDR="10.0.0.1").status_code == 429
    assert sign_in("owner", OLD, REMOTE_ADDR="10.0.0.2").status_code == 200


def test_who_tries_from_everywhere_locks_nobody_out(cast):
    for place in range(30):
        assert sign_in("owner", "guess", REMOTE_ADDR=f"10.0.0.{place}").status_code == 401
    assert sign_in("owner", OLD, REMOTE_ADDR="10.0.1.1").status_code == 200


@pytest.mark.parametrize(
    ("address", "place"),
    [("10.0.0.1", "10.0.0.1"), ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"), ("2001:db8:1:2::9", "2001:db8:1:2::/64"),
     ("::ffff:10.0.0.1", "10.0.0.1"), ("", ""), ("unix:", "unix:")],
)  # fmt: skip
def test_a_network_of_a_household_counts_as_one_place(address, place):
    assert throttling.place(address) == place


def test_tries_are_counted_for_all_processes_together(tmp_path, settings):
    """Ten by ten processes through the cache in files, and the next is refused here."""
    cache = {"BACKEND": "django.core.cache.backends.filebased.FileBasedCache", "LOCATION": str(tmp_path / "cache")}
    code = (
        "import django; from django.conf import settings;"
        f"settings.configure(CACHES={{'default': {cache!r}}}, USE_TZ=True);"
        "from surveys import throttling; throttling.count('sign-in', 'owner 10.0.0.1', 10, 10**8)"
    )
    root = Path(__file__).resolve().parents[3]
    for _ in range(10):
        subprocess.run([sys.executable, "-c", code], check=True, cwd=root)
    settings.CACHES = {**settings.CACHES, "default": cache}
    with pytest.raises(errors.TooOften):
        throttling.count("sign-in", "owner 10.0.0.1", 10, 10**8)
    throttling.count("sign-in", "owner 10.0.0.2", 10, 10**8)
    assert "owner" not in "".join(path.name for path in (tmp_path / "cache").iterdir())
    caches["default"].clear()


class Counting(MD5PasswordHasher):
    """A hasher that counts how often a password was hashed."""

    hashed = 0

    def encode(self, password, salt, iterations=None):
        Counting.hashed += 1
        return super().encode(password, salt)


def test_an_unknown_name_costs_as_many_hashes_as_a_wrong_password(cast, settings):
    """Time is not measured (no test has a clock); what takes the time is counted."""
    settings.PASSWORD_HASHERS = [f"{__name__}.Counting"]
    cast.owner.set_password(OLD)
    cast.owner.save()
    cast.historian.set_unusable_password()
    cast.historian.save()
    cast.conservator.is_active = False
    cast.conservator.set_password(OLD)
    cast.conservator.save()
    cost = {}
    for who, password in (("owner", "guess"), ("nobody", "guess"), ("historian", "guess"), ("conservator", "guess"), ("conservator", OLD)):
        Counting.hashed = 0
        assert sign_in(who, password).status_code == 401
        cost[who, password] = Counting.hashed
    assert set(cost.values()) == {1}

"""The second factor: turned on by a right code, asked for at the door, not got round by a mailbox, not to be used against its person.

Codes are those of RFC 4226, appendix D, and RFC 6238, appendix B, for the key '12345678901234567890'; the hour is told to the library.
"""

import base64
import os
import re
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import parse_qs, urlsplit
from xml.etree import ElementTree

import pytest
from django.conf import settings as settings_
from django.core import mail
from django.core.cache import cache
from django.core.management import CommandError, call_command
from django.test import Client
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from config import checks
from surveys import people, second_factor, tokens
from tests.surveys.api.conftest import ROOT, problem

PASSWORD, NEW = "not-a-real-secret", "seventeen grey herons"
HERE = f"{ROOT}/me/second-factor"
KEY = b"12345678901234567890"
# RFC 4226, appendix D: what is shown in the half minute of that number.
CODES = ("755224", "287082", "359152", "969429", "338314", "254676", "287922", "162583", "399871", "520489")


@pytest.fixture(autouse=True)
def _no_wait_after_wrong_codes(settings):
    """Except where the wait is what is tried."""
    settings.OTP_TOTP_THROTTLE_FACTOR = 0


@pytest.fixture
def clock(monkeypatch):
    """The hour as the library sees it, and keys as the standards have them."""
    clock = SimpleNamespace(now=0)
    monkeypatch.setattr("django_otp.plugins.otp_totp.models.time", SimpleNamespace(time=lambda: clock.now))
    monkeypatch.setattr("django_otp.plugins.otp_totp.models.random_hex", lambda length: KEY.hex())
    clock.at = lambda half_minute: setattr(clock, "now", 30 * half_minute)
    return clock


def send(client, path, body, **more):
    return client.post(path, body, content_type="application/json", **more)


def sign_in(code=None, who="conservator", password=PASSWORD, client=None, **more):
    body = {"username": who, "password": password} | ({} if code is None else {"code": code})
    return send(client or Client(), f"{ROOT}/session", body, **more)


def known(client):
    return client.get(f"{ROOT}/me").status_code == 200


@pytest.fixture
def desk(cast, client):
    """A browser in which the conservator is signed in; letters reach him."""
    cast.conservator.email = "connie@example.org"
    cast.conservator.save()
    assert sign_in(client=client).status_code == 200
    return client


@pytest.fixture
def recovery(desk, clock):
    """The second factor is on, by the code of the first half minute; his recovery codes."""
    assert send(desk, HERE, {"password": PASSWORD}).status_code == 201
    clock.at(0)
    answer = send(desk, f"{HERE}/confirm", {"code": CODES[0]})
    assert answer.status_code == 200, answer.content
    mail.outbox.clear()
    cache.clear()  # tries so far
    clock.at(1)
    return answer.json()["recovery_codes"]


# -- turned on --------------------------------------------------------------------------------------------------------------------


def test_it_is_off_until_a_right_code_was_given(desk, clock):
    assert desk.get(HERE).json() == {"on": False, "since": None, "recovery_codes": 0, "required": False}
    made = send(desk, HERE, {"password": PASSWORD})
    assert (made.status_code, made.headers["Cache-Control"]) == (201, "no-store")
    assert base64.b32decode(made.json()["key"]) == KEY
    # Nothing is asked at the door yet: a key that no telephone has would lock its person out.
    assert sign_in().status_code == 200
    refused = problem(send(desk, f"{HERE}/confirm", {"code": CODES[5]}), 422)
    assert (refused["errors"][0]["pointer"], refused["errors"][0]["code"]) == ("/code", "wrong-code")
    assert sign_in().status_code == 200
    answer = send(desk, f"{HERE}/confirm", {"code": CODES[0]})
    assert (answer.status_code, answer.headers["Cache-Control"]) == (200, "no-store")
    state = desk.get(HERE).json()
    assert (state["on"], state["recovery_codes"]) == (True, 10)
    problem(sign_in(), 401)


def test_the_key_is_told_as_text_as_an_address_and_as_a_picture_of_it(desk, clock, settings):
    settings.OTP_TOTP_ISSUER = "Undercoat paint.example.org"
    made = send(desk, HERE, {"password": PASSWORD}).json()
    address = urlsplit(made["address"])
    assert (address.scheme, address.netloc, address.path) == ("otpauth", "totp", "/Undercoat%20paint.example.org%3Aconservator")
    told = {name: values[0] for name, values in parse_qs(address.query).items()}
    assert told == {"secret": made["key"], "algorithm": "SHA1", "digits": "6", "period": "30", "issuer": "Undercoat paint.example.org"}
    assert read_picture(made["picture"]) == made["address"]


def read_picture(svg: str) -> str:
    """What an independent reader finds in the picture; it is drawn by its lines, one module high each."""
    import numpy
    import zxingcpp

    root = ElementTree.fromstring(svg)
    scale = 5
    pixels = numpy.full((int(root.get("height")), int(root.get("width"))), 255, numpy.uint8)
    lines = next(path for path in root.iter("{http://www.w3.org/2000/svg}path") if path.get("stroke"))
    x = y = 0.0
    for step, numbers in re.findall(r"([Mmhv])\s*((?:-?[\d.]+[ ,]?)+)", lines.get("d")):
        values = [float(number) for number in re.findall(r"-?[\d.]+", numbers)]
        if step == "M":
            x, y = values
        elif step == "m":
            x, y = x + values[0], y + values[1]
        else:
            assert step == "h"
            top = int(y - 0.5) * scale
            pixels[top : top + scale, int(x) * scale : int(x + values[0]) * scale] = 0
            x += values[0]
    return zxingcpp.read_barcodes(pixels)[0].text


def test_turning_it_on_needs_the_password_and_ends_all_other_sessions(desk, clock):
    problem(send(desk, HERE, {"password": "guess"}), 422)
    assert TOTPDevice.objects.count() == 0
    elsewhere = Client()
    sign_in(client=elsewhere)
    send(desk, HERE, {"password": PASSWORD})
    assert known(elsewhere)
    send(desk, f"{HERE}/confirm", {"code": CODES[0]})
    assert (known(desk), known(elsewhere)) == (True, False)
    assert [letter.subject for letter in mail.outbox] == ["A second factor was turned on"]


def test_a_key_made_anew_takes_the_place_of_the_one_before(desk, clock, monkeypatch):
    send(desk, HERE, {"password": PASSWORD})
    monkeypatch.setattr("django_otp.plugins.otp_totp.models.random_hex", lambda length: b"another key of twenty".hex())
    send(desk, HERE, {"password": PASSWORD})
    problem(send(desk, f"{HERE}/confirm", {"code": CODES[0]}), 422)


def test_what_is_on_is_not_set_up_again_and_nothing_is_confirmed_without_a_key(desk, recovery, api):
    problem(send(desk, HERE, {"password": PASSWORD}), 409)
    problem(send(desk, f"{HERE}/confirm", {"code": CODES[1]}), 409)
    problem(api("owner").post(f"{HERE}/confirm", {"code": "000000"}), 409)
    assert desk.get(HERE).json()["on"]


# -- at the door ------------------------------------------------------------------------------------------------------------------


def test_a_code_is_asked_for_only_where_name_and_password_are_right(recovery):
    assert problem(sign_in(), 401)["code"] == "code-needed"
    assert problem(sign_in(""), 401)["code"] == "code-needed"
    wrong = [problem(sign_in(code, password="guess"), 401) for code in (None, "", CODES[1], CODES[5], recovery[0])]
    wrong += [problem(sign_in(who="nobody"), 401)]
    assert {one["code"] for one in wrong} == {"wrong-password"}
    assert all(one == wrong[0] for one in wrong)
    # None of these used the code up.
    assert sign_in(CODES[1]).status_code == 200


def test_who_has_none_is_asked_for_none_and_one_that_is_sent_counts_for_nothing(recovery, cast):
    assert sign_in(who="owner").status_code == 200
    assert sign_in("000000", who="owner").status_code == 200


@pytest.mark.parametrize("code", ["000000", "28708", "2870822", "287082x", "٢٨٧٠٨٢", "-87082", "x" * 500, "a" * 24, "0" * 24, "\x00"])
def test_what_is_no_code_of_the_person_is_refused(recovery, code):
    client = Client()
    assert problem(sign_in(code, client=client), 401)["code"] == "wrong-code"
    assert not known(client)


def test_a_code_of_another_person_opens_nothing(recovery, cast, clock):
    cast.historian.refresh_from_db()
    key = second_factor.begin(cast.historian, PASSWORD)
    assert base64.b32decode(key.key) == KEY
    TOTPDevice.objects.filter(user=cast.historian).update(key=b"another key of twenty".hex(), confirmed=True)
    theirs = second_factor._fresh_codes(cast.historian)
    assert problem(sign_in(theirs[0]), 401)["code"] == "wrong-code"
    assert problem(sign_in(CODES[1], who="historian"), 401)["code"] == "wrong-code"


def test_codes_may_be_written_in_groups(recovery):
    assert sign_in(" 287 082 ").status_code == 200
    assert sign_in(recovery[0].replace("-", " ").upper()).status_code == 200


@pytest.mark.parametrize(
    ("seconds", "code", "status"),
    [
        # RFC 6238, appendix B (the last six digits of eight).
        (1_111_111_109, "081804", 200),
        (1_111_111_111, "050471", 200),
        (1_234_567_890, "005924", 200),
        (2_000_000_000, "279037", 200),
        (20_000_000_000, "353130", 200),
        # The half minute before and the one after are taken too (RFC 6238, section 5.2), those beyond are not.
        (1_111_111_111, "081804", 200),
        (1_111_111_109, "050471", 200),
        (30 * 3, CODES[2], 200),
        (30 * 3, CODES[4], 200),
        (30 * 3, CODES[1], 401),
        (30 * 3, CODES[5], 401),
    ],
)
def test_codes_are_those_of_the_standard_and_live_for_a_short_while(recovery, clock, seconds, code, status):
    clock.now = seconds
    assert sign_in(code).status_code == status


def test_a_code_works_once(recovery, clock):
    assert sign_in(CODES[1]).status_code == 200
    assert problem(sign_in(CODES[1]), 401)["code"] == "wrong-code"
    clock.at(2)
    assert sign_in(CODES[2]).status_code == 200
    # Nor does one from before the last that was used, though its half minute is near enough.
    assert problem(sign_in(CODES[1]), 401)["code"] == "wrong-code"


def test_of_four_who_send_one_code_at_once_one_is_let_in(tmp_path):
    """In a process of its own, on a database file: the tests' own database lies in memory and has one connection."""
    root = Path(__file__).parents[3]
    there = {**os.environ, "UNDERCOAT_DATA": str(tmp_path), "DATABASE_URL": f"sqlite:///{tmp_path}/race.sqlite3", "PYTHONPATH": str(root)}
    done = subprocess.run(
        [sys.executable, str(Path(__file__).parent / "race_codes.py")], env=there, capture_output=True, text=True, timeout=120
    )
    assert done.stdout.splitlines() == ["200 401 401 401", "200 401 401 401"], done.stderr[-2000:]


def test_the_code_by_which_it_was_turned_on_is_used_up(recovery, clock):
    clock.at(0)
    assert problem(sign_in(CODES[0]), 401)["code"] == "wrong-code"


def test_a_recovery_code_works_once_and_the_person_is_told(recovery, desk):
    assert sign_in(recovery[3]).status_code == 200
    assert [letter.subject for letter in mail.outbox] == ["A recovery code was used"]
    assert "9 are left" in mail.outbox[0].body
    assert problem(sign_in(recovery[3]), 401)["code"] == "wrong-code"
    assert desk.get(HERE).json()["recovery_codes"] == 9
    assert sign_in(recovery[4]).status_code == 200


def test_recovery_codes_are_long_all_different_and_kept_as_digests_only(recovery, desk):
    assert len(set(recovery)) == 10
    # 24 letters and digits of base 32 are 120 bits.
    assert all(re.fullmatch(r"([a-z2-7]{6}-){3}[a-z2-7]{6}", code) for code in recovery)
    kept = str(list(StaticToken.objects.values()))
    assert StaticToken.objects.count() == 10
    for code in recovery:
        assert code not in kept
        assert code.replace("-", "")[:16] not in kept
    # What lies in the database opens nothing.
    assert problem(sign_in(StaticToken.objects.first().token), 401)["code"] == "wrong-code"


def test_tokens_go_on(recovery, cast):
    _, secret = tokens.make(cast.conservator, "script")
    assert Client().get(f"{ROOT}/me", headers={"Authorization": f"Token {secret}"}).status_code == 200


# -- guessing ---------------------------------------------------------------------------------------------------------------------


def test_after_wrong_codes_one_waits_longer_and_longer_even_with_a_right_one(recovery, settings):
    settings.OTP_TOTP_THROTTLE_FACTOR = 1
    device = TOTPDevice.objects.get()
    for failures, seconds in ((1, 1), (2, 2), (3, 4), (4, 8), (11, 1024)):
        TOTPDevice.objects.update(throttling_failure_count=failures - 1, throttling_failure_timestamp=None)
        assert problem(sign_in("000000", REMOTE_ADDR=f"10.0.0.{failures}"), 401)["code"] == "wrong-code"
        refused = sign_in(CODES[1], REMOTE_ADDR=f"10.0.0.{failures}")
        assert problem(refused, 429)["code"] == "too-often"
        assert seconds - 1 <= int(refused.headers["Retry-After"]) <= seconds + 1
    device.refresh_from_db()
    TOTPDevice.objects.update(throttling_failure_timestamp=device.throttling_failure_timestamp - timedelta(seconds=1025))
    assert sign_in(CODES[1]).status_code == 200
    device.refresh_from_db()
    assert device.throttling_failure_count == 0


def test_who_does_not_know_the_password_makes_nobody_wait(recovery, settings):
    settings.OTP_TOTP_THROTTLE_FACTOR = 1
    for n in range(30):
        assert sign_in("000000", password="guess", REMOTE_ADDR=f"10.0.0.{n}").status_code == 401
    assert sign_in(CODES[1]).status_code == 200


def test_whom_a_thief_of_his_password_keeps_waiting_comes_in_by_a_recovery_code(recovery, settings, clock):
    settings.OTP_TOTP_THROTTLE_FACTOR = 1
    TOTPDevice.objects.update(throttling_failure_count=15)
    for code in ("000000", "a" * 24, "b" * 24):
        sign_in(code, REMOTE_ADDR="10.9.9.9")
    client = Client()
    assert sign_in(CODES[1], client=client).status_code == 429
    assert sign_in(recovery[0], client=client).status_code == 200
    # With it the wait is over: his telephone's codes are taken again.
    assert sign_in(CODES[1]).status_code == 200


def test_a_person_is_told_when_somebody_with_his_password_guesses_codes(recovery):
    for n in range(7):
        sign_in("000000", REMOTE_ADDR=f"10.0.0.{n}")
    assert [letter.subject for letter in mail.outbox] == ["Wrong codes"]
    assert "5 times your password" in mail.outbox[0].body


def test_from_one_place_ten_tries_a_minute_are_taken(recovery):
    assert [sign_in("000000").status_code for _ in range(11)] == [401] * 10 + [429]
    assert sign_in(CODES[1], REMOTE_ADDR="10.0.0.9").status_code == 200


def test_a_session_that_was_left_open_cannot_be_used_to_guess_codes(recovery, desk):
    body = {"password": PASSWORD, "code": "000000"}
    assert [send(desk, f"{HERE}/off", body).status_code for _ in range(11)] == [422] * 10 + [429]
    assert desk.get(HERE).json()["on"]


def test_wrong_codes_are_written_down_without_the_code(recovery, cast, caplog):
    caplog.set_level("INFO", logger="surveys")
    sign_in("123123")
    assert f"Person {cast.conservator.pk} gave a wrong code." in caplog.text
    assert "Refused (wrong-code): POST '/api/v1/session'" in caplog.text
    assert "123123" not in caplog.text


# -- turned off -------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("password", "code", "pointer"), [("guess", CODES[1], "/password"), (PASSWORD, "000000", "/code"), (PASSWORD, "", "/code")]
)
def test_turning_it_off_needs_the_password_and_a_code(recovery, desk, password, code, pointer):
    for path in (f"{HERE}/off", f"{HERE}/recovery-codes"):
        refused = problem(send(desk, path, {"password": password, "code": code}), 422)
        assert refused["errors"][0]["pointer"] == pointer
    assert desk.get(HERE).json()["on"]
    assert desk.get(HERE).json()["recovery_codes"] == 10


@pytest.mark.parametrize("by", ["telephone", "recovery code"])
def test_it_is_turned_off_by_either_kind_of_code_and_all_other_sessions_end(recovery, desk, by, clock):
    elsewhere = Client()
    assert sign_in(CODES[1], client=elsewhere).status_code == 200
    clock.at(2)
    code = CODES[2] if by == "telephone" else recovery[0]
    assert send(desk, f"{HERE}/off", {"password": PASSWORD, "code": code}).status_code == 204
    assert (known(desk), known(elsewhere)) == (True, False)
    assert (TOTPDevice.objects.count(), StaticToken.objects.count()) == (0, 0)
    assert mail.outbox[-1].subject == "Your second factor was turned off"
    assert sign_in().status_code == 200
    problem(send(desk, f"{HERE}/off", {"password": PASSWORD, "code": code}), 409)


def test_new_recovery_codes_take_the_place_of_those_before(recovery, desk):
    answer = send(desk, f"{HERE}/recovery-codes", {"password": PASSWORD, "code": recovery[9]})
    fresh = answer.json()["recovery_codes"]
    assert (answer.headers["Cache-Control"], len(set(fresh) - set(recovery))) == ("no-store", 10)
    assert mail.outbox[-1].subject == "New recovery codes"
    assert sign_in(recovery[0]).status_code == 401
    assert sign_in(fresh[0]).status_code == 200


def test_a_link_for_a_forgotten_password_does_not_get_round_it(recovery, cast):
    cast.conservator.refresh_from_db()
    secret = people.reset_secret(cast.conservator)
    assert send(Client(), f"{ROOT}/password-resets/use", {"secret": secret, "password": NEW}).status_code == 204
    assert problem(sign_in(password=NEW), 401)["code"] == "code-needed"
    assert sign_in(CODES[1], password=NEW).status_code == 200


def test_who_runs_the_program_turns_it_off_where_telephone_and_recovery_codes_are_lost(recovery, desk, capsys):
    call_command("second_factor_off", "conservator")
    assert "signs in by name and password alone now" in capsys.readouterr().out
    assert not known(desk)
    assert [letter.subject for letter in mail.outbox] == ["Your second factor was turned off"]
    assert sign_in().status_code == 200
    with pytest.raises(CommandError, match="has no second factor"):
        call_command("second_factor_off", "conservator")
    with pytest.raises(CommandError, match="Nobody signs in as 'nobody'"):
        call_command("second_factor_off", "nobody")


# -- where everybody must have one -------------------------------------------------------------------------------------------------


@pytest.fixture
def required(settings):
    settings.SECOND_FACTOR_REQUIRED = True


def test_where_everybody_must_have_one_nothing_else_is_done_before_it_is_set_up(required, desk, project, clock):
    for path in ("/me", "/projects/", "/projects/HALL", "/projects/HALL/spaces/", "/tokens/", "/me/sessions/", "/vocabulary"):
        assert problem(desk.get(f"{ROOT}{path}"), 403)["code"] == "second-factor-missing"
    body = {"label": "script"}
    assert problem(send(desk, f"{ROOT}/tokens/", body), 403)["code"] == "second-factor-missing"
    assert desk.get(f"{ROOT}/session").json()["username"] == "conservator"
    assert desk.get(HERE).json() == {"on": False, "since": None, "recovery_codes": 0, "required": True}
    send(desk, HERE, {"password": PASSWORD})
    assert problem(desk.get(f"{ROOT}/me"), 403)["code"] == "second-factor-missing"
    send(desk, f"{HERE}/confirm", {"code": CODES[0]})
    assert desk.get(f"{ROOT}/projects/HALL/spaces/").status_code == 200
    assert desk.delete(f"{ROOT}/session").status_code == 204


def test_where_everybody_must_have_one_who_gave_a_code_goes_on_and_who_turns_it_off_does_not(required, recovery, desk):
    client = Client()
    assert sign_in(CODES[1], client=client).status_code == 200
    assert known(client)
    assert send(client, f"{HERE}/off", {"password": PASSWORD, "code": recovery[0]}).status_code == 204
    assert problem(client.get(f"{ROOT}/me"), 403)["code"] == "second-factor-missing"


def test_where_everybody_must_have_one_tokens_go_on_and_strangers_are_told_nothing_else(required, cast):
    _, secret = tokens.make(cast.owner, "script")
    assert Client().get(f"{ROOT}/me", headers={"Authorization": f"Token {secret}"}).status_code == 200
    assert problem(Client().get(f"{ROOT}/me"), 401)["code"] == "not-signed-in"
    assert send(Client(), f"{ROOT}/password-resets/", {"email": "nobody@example.org"}).status_code == 202


def test_a_setting_that_is_misspelt_is_refused_at_the_start(settings):
    assert settings_.SECOND_FACTOR == "optional"
    assert checks.second_factor_is_one_of_two_words(None) == []
    settings.SECOND_FACTOR = "require"
    assert [fault.id for fault in checks.second_factor_is_one_of_two_words(None)] == ["undercoat.E010"]

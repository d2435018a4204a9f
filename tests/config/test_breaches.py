"""Passwords known from breaches are looked up in a file of digests, whatever its line ends, and wherever they stand in it."""

import hashlib

import pytest
from django.core.exceptions import ValidationError

from config import breaches, checks
from config import settings as written
from surveys import people

WORDS = [f"stolen words {number}" for number in range(300)]
FORMS = {
    "plain": "{digest}\n",
    "with counts": "{digest}:{count}\n",
    "with the line ends of Windows": "{digest}:{count}\r\n",
}


def digest(word):
    return hashlib.sha1(word.encode()).hexdigest().upper()


def list_of(path, words, form, *, last_newline=True):
    """A list as it is published: in ascending order, counts of any length."""
    lines = [form.format(digest=one, count=7 ** (number % 12)) for number, one in enumerate(sorted(map(digest, words)))]
    text = "".join(lines)
    path.write_bytes((text if last_newline else text.rstrip("\r\n")).encode())
    return path


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
@pytest.mark.parametrize("last_newline", [True, False])
@pytest.mark.parametrize("many", [1, 2, 3, 300])
def test_every_password_of_a_list_is_found_and_no_other(tmp_path, form, last_newline, many):
    path = list_of(tmp_path / "list", WORDS[:many], form, last_newline=last_newline)
    assert [word for word in WORDS if breaches.holds(path, word)] == WORDS[:many]
    assert breaches.fault_of(path) == ""


@pytest.mark.parametrize("last_newline", [True, False])
def test_the_first_and_the_last_of_a_list_are_found(tmp_path, last_newline):
    path = list_of(tmp_path / "list", WORDS, FORMS["with counts"], last_newline=last_newline)
    in_order = sorted(WORDS, key=digest)
    assert breaches.holds(path, in_order[0])
    assert breaches.holds(path, in_order[-1])


def test_a_password_that_would_stand_before_the_first_or_after_the_last_is_not_found(tmp_path):
    in_order = sorted(WORDS, key=digest)
    path = list_of(tmp_path / "list", in_order[1:-1], FORMS["plain"])
    assert not breaches.holds(path, in_order[0])
    assert not breaches.holds(path, in_order[-1])


def test_an_empty_list_holds_nothing(tmp_path):
    (tmp_path / "list").write_bytes(b"")
    assert not breaches.holds(tmp_path / "list", "stolen words 1")


def test_a_list_is_read_in_a_few_places_and_not_loaded(tmp_path, monkeypatch):
    path = list_of(tmp_path / "list", WORDS, FORMS["plain"])
    read = []
    line_at = breaches.line_at
    monkeypatch.setattr(breaches, "line_at", lambda handle, place: read.append(place) or line_at(handle, place))
    breaches.holds(path, WORDS[17])
    assert len(read) <= (300 * 41).bit_length() + 1


def test_a_new_password_of_the_list_is_refused_with_the_reason_and_others_are_not(cast, settings, tmp_path):
    settings.AUTH_PASSWORD_VALIDATORS = written.AUTH_PASSWORD_VALIDATORS
    settings.BREACHED_PASSWORDS = str(list_of(tmp_path / "list", WORDS, FORMS["with counts"]))
    assert "stolen elsewhere" in str(people.password_faults(cast.owner, "stolen words 299", "password"))
    assert people.password_faults(cast.owner, "stolen words 300", "password") == []
    settings.BREACHED_PASSWORDS = ""
    assert people.password_faults(cast.owner, "stolen words 299", "password") == []


def test_a_list_that_has_gone_keeps_nobody_from_a_new_password_and_is_written_down(settings, tmp_path, caplog):
    settings.BREACHED_PASSWORDS = str(tmp_path / "gone")
    breaches.Breached().validate("stolen words 1")
    assert "cannot be read" in caplog.text
    assert "stolen words" not in caplog.text


def test_a_breached_password_is_refused_by_the_validator_itself(settings, tmp_path):
    settings.BREACHED_PASSWORDS = str(list_of(tmp_path / "list", WORDS[:1], FORMS["plain"]))
    with pytest.raises(ValidationError, match="stolen elsewhere"):
        breaches.Breached().validate(WORDS[0])


# -- before it is served ----------------------------------------------------------------------------------------------------------


def told(settings, path):
    settings.BREACHED_PASSWORDS = str(path)
    return [one.id for one in checks.breached_passwords_can_be_looked_up(None)]


def test_a_list_in_order_is_found_in_order(settings, tmp_path):
    assert told(settings, list_of(tmp_path / "list", WORDS, FORMS["with counts"])) == []
    assert checks.breached_passwords_can_be_looked_up(None) == []
    settings.BREACHED_PASSWORDS = ""
    assert checks.breached_passwords_can_be_looked_up(None) == []


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "no line of 40 digits"),
        (b"words, not digests\n", "no line of 40 digits"),
        (digest("a").lower().encode() + b"\n", "no line of 40 digits"),
        (hashlib.sha256(b"a").hexdigest().upper().encode() + b"\n", "no line of 40 digits"),
        (b"A" * 1_000_000, "no line of 40 digits"),
        ("".join(f"{one}\n" for one in sorted(map(digest, WORDS), reverse=True)).encode(), "ascending order"),
        ("".join(f"{digest(word)}\n" for word in WORDS).encode(), "ascending order"),
    ],
    ids=["empty", "words", "lower case", "another digest", "no lines", "descending", "in no order"],
)
def test_what_is_no_such_list_is_found_before_it_is_used(settings, tmp_path, content, words):
    (tmp_path / "list").write_bytes(content)
    assert told(settings, tmp_path / "list") == ["undercoat.E009"]
    assert words in breaches.fault_of(tmp_path / "list")


def test_a_list_that_is_not_there_is_told(settings, tmp_path):
    assert told(settings, tmp_path / "gone") == ["undercoat.E009"]
    assert "No such file" in breaches.fault_of(tmp_path / "gone")

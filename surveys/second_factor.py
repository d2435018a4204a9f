"""A second factor: one-time codes of a telephone (RFC 6238), and recovery codes for the day on which it is not at hand.

Codes, their windows, their use once and the growing wait after wrong ones are django-otp's. Whoever guesses codes knows the password
already: strangers cannot make anybody wait. The wait is for codes of the telephone only; recovery codes are too long to be guessed, so
that who is kept waiting by a thief of his password still comes in, and then takes another password.
"""

import base64
import hashlib
import io
import logging
import secrets
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db import transaction
from django.utils import timezone
from django_otp import verify_token
from django_otp.models import Device
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from surveys import mail, people, sessions, throttling
from surveys.errors import Conflict, Fault, Invalid, TooOften
from surveys.models import Person

DIGITS: Final = 6
MANY: Final = 10
# 15 bytes are 24 letters and digits of base 32: 120 random bits, for which a plain hash is enough (ASVS 5.0, 6.5.2: from 112 on).
BYTES: Final = 15
LETTERS: Final = 24
# So many wrong codes after the right password are told to the person.
TOLD_AT: Final = 5
WRONG: Final = "This code is not right, or was used already. Wait for the next one that your telephone shows."
log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class State:
    """Whether somebody has a second factor, since when, and how many recovery codes are left."""

    on: bool
    since: datetime | None
    recovery_codes: int


@dataclass(frozen=True, slots=True)
class Key:
    """What a telephone must know to show codes: the key as text, the same as an address, and that as a picture (SVG) to be photographed."""

    key: str
    address: str
    picture: str


def is_on(person: Person) -> bool:
    """Whether a person needs a code to sign in."""
    return TOTPDevice.objects.filter(user=person, confirmed=True).exists()


def state(person: Person) -> State:
    """How it stands with a person's second factor."""
    device = _telephone(person)
    left = StaticToken.objects.filter(device__user=person).count()
    return State(device is not None, device.created_at if device else None, left)


def begin(person: Person, password: str) -> Key:
    """Make a key for a telephone. Nothing is asked of the person until a code has shown that the telephone has it."""
    people.prove(person, password)
    with transaction.atomic():
        _lock(person)
        if is_on(person):
            raise Conflict("You have a second factor. To set it up on another telephone, turn it off first.")
        TOTPDevice.objects.filter(user=person).delete()
        device = TOTPDevice.objects.create(user=person, name="telephone", confirmed=False)
    key = base64.b32encode(device.bin_key).decode("ascii")
    return Key(key, device.config_url, _picture(device.config_url))


def confirm(person: Person, code: str) -> list[str]:
    """Turn it on by a code of the telephone; answer the recovery codes, which cannot be had again. All sessions end."""
    throttling.code(person.pk)
    with transaction.atomic():
        _lock(person)
        device = TOTPDevice.objects.filter(user=person, confirmed=False).first()
        if device is None:
            raise Conflict("There is no key to confirm. Begin again.")
        right = _right(person, device, code)
        if right:
            device.refresh_from_db()
            device.confirmed, device.created_at = True, timezone.now()
            device.save()
            codes = _fresh_codes(person)
            sessions.end_all(person)
    if not right:
        raise _wrong()
    log.info("Person %s turned a second factor on.", person.pk)
    text = "From now on, signing in to Undercoat takes a code of your telephone besides your password. All your other sessions have ended."
    mail.send(person, "A second factor was turned on", people.letter(person, text))
    return codes


def turn_off(person: Person, password: str, code: str) -> None:
    """Turn it off by the present password and a code of either kind. All sessions end."""
    _prove(person, password, code)
    remove(person)


def remove(person: Person) -> bool:
    """Turn it off for who proved himself otherwise; whether there was one. All sessions end, and the person is told."""
    with transaction.atomic():
        _lock(person)
        was_on = is_on(person)
        TOTPDevice.objects.filter(user=person).delete()
        StaticDevice.objects.filter(user=person).delete()
        sessions.end_all(person)
    if was_on:
        log.info("The second factor of person %s was turned off.", person.pk)
        text = "Signing in to Undercoat takes no code of your telephone any more, only your password."
        mail.send(person, "Your second factor was turned off", people.letter(person, text))
    return was_on


def new_codes(person: Person, password: str, code: str) -> list[str]:
    """Take other recovery codes, by the present password and a code; those from before are worth nothing."""
    _prove(person, password, code)
    with transaction.atomic():
        _lock(person)
        codes = _fresh_codes(person)
    mail.send(
        person, "New recovery codes", people.letter(person, "You have new recovery codes for Undercoat; those from before work no longer.")
    )
    return codes


def proves(person: Person, code: str) -> bool:
    """Whether a code is one of the person's telephone or of his recovery codes; either is used up by it."""
    text = _plain(code)
    device = _telephone(person)
    proven = _recovered(person, text) if len(text) == LETTERS else device is not None and _right(person, device, text)
    if not proven:
        log.info("Person %s gave a wrong code.", person.pk)
    return proven


# -- codes ------------------------------------------------------------------------------------------------------------------


def _prove(person: Person, password: str, code: str) -> None:
    people.prove(person, password)
    throttling.code(person.pk)
    if not is_on(person):
        raise Conflict("You have no second factor.")
    if not proves(person, code):
        raise _wrong()


def _wrong() -> Invalid:
    return Invalid(WRONG, faults=(Fault("code", "wrong-code", WRONG),))


def _plain(code: str) -> str:
    """A code as it was meant: people write them in groups."""
    return "".join(code.split()).replace("-", "").lower()


def _right(person: Person, device: TOTPDevice, code: str) -> bool:
    """Whether a code is the telephone's; counted by django-otp, which refuses all for a while after wrong ones."""
    text = _plain(code)
    if not (len(text) == DIGITS and text.isascii() and text.isdigit()):
        return False
    may, why = device.verify_is_allowed()
    if not may:
        seconds = int((why["locked_until"] - timezone.now()).total_seconds()) + 1
        raise TooOften("Too many wrong codes. A recovery code is taken at any time.", max(1, seconds))
    if _verified(person, device, text):
        return True
    device.refresh_from_db()
    if device.throttling_failure_count == TOLD_AT and device.confirmed:
        text = f"{TOLD_AT} times your password for Undercoat was given, and then a wrong code. Whoever did that knows your password."
        mail.send(person, "Wrong codes", people.letter(person, text))
    return False


def _recovered(person: Person, text: str) -> bool:
    kept = StaticDevice.objects.filter(user=person).first()
    if kept is None or not _verified(person, kept, _kept(text)):
        return False
    TOTPDevice.objects.filter(user=person).update(throttling_failure_count=0, throttling_failure_timestamp=None)
    left = state(person).recovery_codes
    log.info("Person %s used a recovery code; %s are left.", person.pk, left)
    mail.send(
        person, "A recovery code was used", people.letter(person, f"A recovery code of yours was used in Undercoat. {left} are left.")
    )
    return True


def _verified(person: Person, device: Device, text: str) -> bool:
    """By django-otp, with the device's row locked, so that of two who send one code at once only the first is let in."""
    return verify_token(person, device.persistent_id, text) is not None


def _fresh_codes(person: Person) -> list[str]:
    """Recovery codes in the place of those that there are; only their digests are kept."""
    StaticDevice.objects.filter(user=person).delete()
    codes = [base64.b32encode(secrets.token_bytes(BYTES)).decode("ascii").lower() for _ in range(MANY)]
    device = StaticDevice.objects.create(user=person, name="recovery codes")
    StaticToken.objects.bulk_create(StaticToken(device=device, token=_kept(code)) for code in codes)
    return ["-".join(code[at : at + 6] for at in range(0, LETTERS, 6)) for code in codes]


def _kept(code: str) -> str:
    """What is kept of a recovery code: as much of its SHA-256 (96 bits) as django-otp's column holds."""
    return base64.urlsafe_b64encode(hashlib.sha256(code.encode()).digest()[:12]).decode("ascii")


# -- people -----------------------------------------------------------------------------------------------------------------


def _telephone(person: Person) -> TOTPDevice | None:
    return TOTPDevice.objects.filter(user=person, confirmed=True).first()


def _lock(person: Person) -> None:
    """One act on a person's second factor at a time."""
    Person.objects.select_for_update().get(pk=person.pk)


def _picture(address: str) -> str:
    import segno

    made = io.BytesIO()
    # Dark on light in any scheme of colours: not every camera reads the other way round.
    segno.make(address, micro=False).save(made, kind="svg", scale=5, border=4, dark="#000", light="#fff", xmldecl=False)
    return made.getvalue().decode("utf-8")

"""Accounts: making one by an invitation, passwords, e-mail addresses. Nobody learns here whether an account or an address is known."""

from collections.abc import Mapping
from typing import Any, Final

from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.tokens import default_token_generator
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.http import urlsafe_base64_decode, urlsafe_base64_encode

from surveys import mail, records, rules, sessions, throttling, tokens
from surveys.errors import Fault, Invalid, NotFound
from surveys.models import Membership, Person

DEAD_LINK: Final = "This link is not valid: it was used, is too old, or is not whole. Ask for a new one."
TAKEN: Final = "Somebody signs in by this name already. Choose another."


def join(person: Person | None, secret: str, account: Mapping[str, Any]) -> Membership:
    """Accept an invitation, as who is signed in or by an account that is made for it. All of it happens, or nothing."""
    records.standing(secret)  # before anything is told of names, or a password is hashed
    made = None if person else _account(account)
    try:
        with transaction.atomic():
            if made is not None:
                made.save(force_insert=True)
            return records.accept(person or made, secret)  # type: ignore[arg-type]
    except IntegrityError as error:
        raise Invalid(TAKEN, faults=(Fault("username", "taken", TAKEN),)) from error


def _account(values: Mapping[str, Any]) -> Person:
    """A new account, not yet stored."""
    person = Person()
    faults: list[Fault] = []
    for name in ("username", "name", "email"):
        try:
            setattr(person, name, _checked(name, values.get(name, "")))
        except rules.Refused as refusal:
            faults.append(Fault(name, refusal.code, str(refusal)))
    if not any(fault.field == "username" for fault in faults) and Person.objects.filter(username__iexact=person.username).exists():
        faults.append(Fault("username", "taken", TAKEN))
    faults += password_faults(person, values.get("password", ""), "password")
    if faults:
        raise Invalid(faults[0].detail, faults=tuple(faults))
    person.set_password(values["password"])
    return person


def _checked(name: str, value: str) -> str:
    field: Any = Person._meta.get_field(name)
    text = rules.clean_text(value, field, is_name=True)
    if name == "email":
        return rules.email_from(text)
    if name == "username":
        text = Person.normalize_username(text)
        for validate in field.validators:
            try:
                validate(text)
            except ValidationError as error:
                raise rules.Refused(str(error.messages[0])) from None
    return text


def password_faults(person: Person, password: str, field: str) -> list[Fault]:
    """Why a password will not do for a person."""
    try:
        validate_password(password, person)
    except ValidationError as error:
        return [Fault(field, "weak-password", text) for text in error.messages]
    return []


def change_password(person: Person, present: str, new: str) -> None:
    """Take another password, by who knows the present one. All sessions end; tokens, which he sees beside, stay until he revokes them."""
    prove(person, present)
    _set(person, new, "new_password")
    mail.send(person, "Your password was changed", letter(person, "Your password for Undercoat was changed."))


def change_email(person: Person, present: str, email: str) -> None:
    """Take another e-mail address (or none), to which links for a forgotten password go from now on; the one before is told."""
    prove(person, present)
    try:
        wanted = _checked("email", email)
    except rules.Refused as refusal:
        raise Invalid(str(refusal), faults=(Fault("email", refusal.code, str(refusal)),)) from None
    before = person.email
    if wanted == before:
        return
    person.email = wanted
    person.save(update_fields=["email"])
    if before:
        mail.send(before, "Your e-mail address was changed", letter(person, "Letters for you go to another address from now on."))


def wish(person: Person, values: Mapping[str, Any]) -> None:
    """Say whether what is new is to come once a day by e-mail."""
    person.daily_digest = values["daily_digest"]
    person.save(update_fields=["daily_digest"])


def prove(person: Person, password: str) -> None:
    """Refuse who does not know the present password; tries are counted."""
    throttling.password(person.pk)
    if not person.check_password(password):
        text = "This is not your present password."
        raise Invalid(text, faults=(Fault("password", "wrong-password", text),))


def _set(person: Person, password: str, field: str) -> None:
    faults = password_faults(person, password, field)
    if faults:
        raise Invalid(faults[0].detail, faults=tuple(faults))
    person.set_password(password)
    person.save(update_fields=["password"])
    sessions.end_all(person)


def letter(person: Person, text: str) -> str:
    """A letter that tells a person what was done with his account."""
    return f"Dear {person.name},\n\n{text} If that was not you, tell whoever runs the program at once.\n"


# -- a forgotten password ---------------------------------------------------------------------------------------------------


def reset_secret(person: Person) -> str:
    """The secret of a link by which a person takes a new password.

    It dies when it is used, when the password or the e-mail address changes, with the next sign-in, and after PASSWORD_RESET_TIMEOUT.
    """
    return f"{urlsafe_base64_encode(str(person.pk).encode())}.{default_token_generator.make_token(person)}"


def reset_link(person: Person, address: str) -> str:
    """The link, below the address at which the program is reached. Its secret stands behind '#', which no browser sends."""
    return f"{address.rstrip('/')}/new-password#{reset_secret(person)}"


def letters_for(email: str, address: str) -> list[tuple[Person, str]]:
    """The letters for an address whose owner says that he forgot his password: one for each account that has it, with its link."""
    wanted = email.strip()
    if not wanted:
        return []
    found = [one for one in Person.objects.filter(email__iexact=wanted, is_active=True) if one.has_usable_password()]
    if not found or not throttling.letters(wanted):
        return []
    return [(one, _reset_letter(one, reset_link(one, address))) for one in found]


def _reset_letter(person: Person, link: str) -> str:
    return (
        f"Dear {person.name},\n\n"
        f"somebody, most likely you, asked for a new password for the account '{person.username}'. To choose one, open\n\n{link}\n\n"
        "The link works once, for a day. If you did not ask, do nothing: your password stays as it is.\n"
    )


def reset_password(secret: str, new: str) -> None:
    """Take a new password by a link. All sessions end, and all tokens are revoked: whoever had the account meanwhile has it no longer."""
    with transaction.atomic():
        person = _person_of(secret)
        _set(person, new, "password")
        tokens.revoke_all(person)
    mail.send(person, "Your password was changed", letter(person, "Your password for Undercoat was changed, and your tokens were revoked."))


def _person_of(secret: str) -> Person:
    name, _, token = secret.partition(".")
    try:
        key = int(urlsafe_base64_decode(name).decode("ascii"))
    except ValueError:
        raise NotFound(DEAD_LINK) from None
    # Locked, so that of two who use one link at once the second finds it used.
    person = Person.objects.select_for_update().filter(pk=key, is_active=True).first() if 0 < key < 2**31 else None
    if person is None or not default_token_generator.check_token(person, token):
        raise NotFound(DEAD_LINK)
    return person

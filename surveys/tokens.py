"""Tokens, by which a script acts as a person. The secret is shown once; only its SHA-256 is kept.

A plain hash is enough here: the secret is 32 random bytes, so nothing can be guessed from its digest, however fast one guesses.
"""

import datetime as dt
import hashlib
import secrets
from typing import Any, Final

from django.db.models import Q, QuerySet
from django.utils import timezone

from surveys.errors import Fault, Invalid, NotFound
from surveys.in_passing import in_passing
from surveys.models import Person, Token

PREFIX: Final = "undercoat_"
# How exactly the last use is known; oftener would make every read a write.
GRAIN: Final = dt.timedelta(minutes=1)
MOST: Final = 50


def digest_of(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


def of(person: Person) -> QuerySet[Token]:
    """The tokens that a person has made and not revoked, newest first."""
    return Token.objects.filter(person=person, revoked_at__isnull=True).order_by("-created_at", "pk")


def make(person: Person, label: str) -> tuple[Token, str]:
    """Make a token; answer it with its secret, which cannot be had again."""
    label = label.strip()
    if not 0 < len(label) <= 80 or not label.isprintable():
        raise Invalid(
            "Say in up to 80 characters what the token is for.",
            faults=(Fault("label", "required" if not label else "invalid", "Say in up to 80 characters what the token is for."),),
        )
    if of(person).count() >= MOST:
        raise Invalid(f"You have {MOST} tokens already. Revoke one that you no longer use.", code="too-many")
    secret = PREFIX + secrets.token_urlsafe(32)
    return Token.objects.create(person=person, label=label, digest=digest_of(secret)), secret


def revoke(person: Person, token_id: Any) -> None:
    """End a token of one's own; what bears it is a stranger from now on."""
    if not of(person).filter(pk=token_id).update(revoked_at=timezone.now()):
        raise NotFound("You have no such token.")


def revoke_all(person: Person) -> int:
    """End all tokens of a person; how many there were."""
    return of(person).update(revoked_at=timezone.now())


def person_of(secret: str) -> Person | None:
    """Whom a secret stands for, if it stands for anybody; notes that it was used."""
    token = Token.objects.select_related("person").filter(digest=digest_of(secret), revoked_at__isnull=True).first()
    if token is None or not token.person.is_active:
        return None
    now = timezone.now()
    if token.last_used_at is None or token.last_used_at <= now - GRAIN:
        unused = Q(last_used_at__isnull=True) | Q(last_used_at__lte=now - GRAIN)
        with in_passing():
            Token.objects.filter(unused, pk=token.pk).update(last_used_at=now)
    return token.person

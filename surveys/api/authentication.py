"""Who asks: a script by its token, a browser by its session."""

import logging
import time
from typing import Final

from django.conf import settings
from django.contrib.auth import login, logout
from django.http import HttpRequest
from rest_framework.authentication import BaseAuthentication, SessionAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request
from rest_framework.throttling import BaseThrottle

from surveys import sessions, throttling, tokens
from surveys.api.problems import NOT_OURS
from surveys.errors import Forbidden
from surveys.models import Person
from surveys.sessions import BEGAN, BROWSER, FACTOR, GRAIN, LONGEST_NETWORK, NETWORK, SEEN

KEYWORD: Final = "Token"
log = logging.getLogger(__name__)


class TokenAuthentication(BaseAuthentication):
    """`Authorization: Token …`."""

    def authenticate(self, request: Request) -> tuple[Person, None] | None:
        """The token's person; None where no token is sent."""
        parts = get_authorization_header(request).split()
        if not parts or parts[0].lower() != KEYWORD.lower().encode():
            return None
        if len(parts) != 2:
            raise AuthenticationFailed("Send the token as 'Authorization: Token …', with nothing after it.")
        person = tokens.person_of(parts[1].decode("latin-1"))
        if person is None:
            log.info("A token that is not known was sent from %s.", address_of(request))
            raise AuthenticationFailed("This token is not known here, or was revoked. Make a new one.")
        return person, None

    def authenticate_header(self, request: Request) -> str:
        """How one could have said who one is."""
        return KEYWORD


class Session(SessionAuthentication):
    """The browser's session; what changes something must come from our own pages (CSRF). One in which nothing is done for days ends."""

    def authenticate(self, request: Request) -> tuple[Person, None] | None:
        """Whose session it is; None where there is none, or where it was left too long."""
        found = super().authenticate(request)
        if found is None:
            return None
        session, now = request._request.session, int(time.time())
        why = sessions.over(session)
        if why:
            log.info("The session of person %s ended: %s.", found[0].pk, why)
            logout(request._request)
            return None
        if now - session.get(SEEN, now) > GRAIN:
            sessions.note_use(session, now)
        return found

    def enforce_csrf(self, request: HttpRequest | Request) -> None:
        """Refuse what another site made the browser send."""
        from rest_framework.exceptions import PermissionDenied

        try:
            super().enforce_csrf(request)  # type: ignore[arg-type]
        except PermissionDenied:
            raise Forbidden(NOT_OURS, code="csrf") from None


def signed_in(request: Request, person: Person, *, factor: bool = False) -> None:
    """Begin a session, under an id of its own; `factor` says whether a code was given besides the password."""
    login(request._request, person)
    session = request._request.session
    session[SEEN] = session[BEGAN] = int(time.time())
    session[BROWSER] = sessions.browser_of(request.headers.get("User-Agent", ""))
    session[NETWORK] = throttling.place(address_of(request))[:LONGEST_NETWORK]
    session[FACTOR] = factor
    log.info("Person %s signed in from %s.", person.pk, address_of(request))


def goes_on(request: Request, *, factor: bool) -> None:
    """Keep the session that asks, under another key, where all sessions of its person were ended; not where a token asks."""
    if isinstance(request.successful_authenticator, Session):
        request._request.session[FACTOR] = factor
        request._request.session.cycle_key()


def refuse_without_second_factor(request: Request) -> None:
    """Where everybody must have a second factor: refuse a session that was begun without. Tokens were made in sessions and go on."""
    by_session = isinstance(request.successful_authenticator, Session)
    if settings.SECOND_FACTOR_REQUIRED and by_session and not request._request.session.get(FACTOR):
        text = "Here everybody needs a second factor to sign in. Set yours up first."
        raise Forbidden(text, code="second-factor-missing")


def from_our_page(request: Request) -> None:
    """Refuse what another site made a browser send in which nobody is signed in; of who is signed in, that was looked at already."""
    if request.successful_authenticator is None:
        Session().enforce_csrf(request)


def address_of(request: Request) -> str:
    """The address that a request comes from; behind proxies of ours, what they say it is."""
    return str(BaseThrottle().get_ident(request) or "")


def person_of(request: Request) -> Person:
    """Who asks, in a view that only a person may use."""
    assert isinstance(request.user, Person)
    return request.user

"""Who asks: a script by its token, a browser by its session."""

from typing import Final

from django.http import HttpRequest
from rest_framework.authentication import BaseAuthentication, SessionAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request
from rest_framework.throttling import BaseThrottle

from surveys import tokens
from surveys.api.problems import NOT_OURS
from surveys.errors import Forbidden
from surveys.models import Person

KEYWORD: Final = "Token"


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
            raise AuthenticationFailed("This token is not known here, or was revoked. Make a new one.")
        return person, None

    def authenticate_header(self, request: Request) -> str:
        """How one could have said who one is."""
        return KEYWORD


class Session(SessionAuthentication):
    """The browser's session; what changes something must come from our own pages (CSRF)."""

    def enforce_csrf(self, request: HttpRequest | Request) -> None:
        """Refuse what another site made the browser send."""
        from rest_framework.exceptions import PermissionDenied

        try:
            super().enforce_csrf(request)  # type: ignore[arg-type]
        except PermissionDenied:
            raise Forbidden(NOT_OURS, code="csrf") from None


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

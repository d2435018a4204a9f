"""Passwords: changed by who knows his own, and taken anew by who forgot it."""

import logging
from collections.abc import Callable
from typing import Any

from django.contrib.auth import update_session_auth_hash
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response

from surveys import mail, people, throttling
from surveys.api import addresses, bodies
from surveys.api.authentication import Session, address_of, from_our_page
from surveys.api.serializers import accounts
from surveys.api.views.base import View
from surveys.api.views.session import as_shown
from surveys.errors import Fault, Invalid
from surveys.models import Person

LONGEST = accounts.EMAIL
ASKED = "If an account has this address, a letter with a link is on its way to it. Look among unwanted letters too."
log = logging.getLogger(__name__)


class MyPassword(View):
    """One's own password."""

    sends = {"POST": accounts.PasswordChange}

    def post(self, request: Request) -> Response:
        """Take another. All sessions but this one end; tokens stay until they are revoked."""
        body = bodies.take(accounts.PasswordChange, request.data)
        people.change_password(self.actor, body["password"], body["new_password"])
        if isinstance(request.successful_authenticator, Session):
            update_session_auth_hash(request._request, self.actor)
        return Response(status=204)


class MyEmail(View):
    """One's own e-mail address."""

    sends = {"POST": accounts.EmailChange}
    answers = {"POST": {200: accounts.PersonShape}}

    def post(self, request: Request) -> Response:
        """Take another, or none (''). Links for a forgotten password go to it, so the present password is needed."""
        body = bodies.take(accounts.EmailChange, request.data)
        people.change_email(self.actor, body["password"], body["email"])
        return Response(as_shown(self.actor))


class PasswordResets(View):
    """Links by which a new password is taken."""

    permission_classes = [AllowAny]
    sends = {"POST": accounts.Forgotten}
    answers = {"POST": {202: accounts.Told}}

    def post(self, request: Request) -> Response:
        """Ask for one by e-mail. The answer is the same, and comes as soon, whether an account has the address or not."""
        from_our_page(request)
        body = bodies.take(accounts.Forgotten, request.data)
        if len(body["email"]) > LONGEST:
            text = f"An e-mail address has at most {LONGEST} characters."
            raise Invalid(text, faults=(Fault("email", "too-long", text),))
        throttling.reset(body["email"], address_of(request))
        letters = people.letters_for(body["email"], addresses.site(request))
        return after(Response({"detail": ASKED}, status=202), lambda: _post(letters))


class NewPassword(View):
    """Taking a new password by a link."""

    permission_classes = [AllowAny]
    sends = {"POST": accounts.NewPassword}

    def post(self, request: Request) -> Response:
        """All sessions end and all tokens are revoked; sign in with the new password."""
        from_our_page(request)
        body = bodies.take(accounts.NewPassword, request.data)
        throttling.secret(address_of(request))
        people.reset_password(body["secret"], body["password"])
        return Response(status=204)


def _post(letters: list[tuple[Person, str]]) -> None:
    for person, text in letters:
        mail.send(person, "A new password", text)


def after(response: Response, deed: Callable[[], None]) -> Response:
    """Do something when an answer has gone out, so that nobody sees by the clock whether there was anything to do."""

    def close() -> None:
        try:
            deed()
        except Exception:
            log.exception("What was to be done after an answer failed.")

    answer: Any = response
    answer._resource_closers.append(close)
    return response

"""Where one is signed in."""

from dataclasses import asdict
from uuid import UUID

from django.contrib.auth import logout
from rest_framework.request import Request
from rest_framework.response import Response

from surveys import people, sessions
from surveys.api import bodies
from surveys.api.authentication import Session
from surveys.api.serializers import accounts
from surveys.api.views.base import View


def key_of(request: Request) -> str | None:
    """The key of the session that asks; none, where a token does."""
    return request._request.session.session_key if isinstance(request.successful_authenticator, Session) else None


class MySessions(View):
    """One's own sessions."""

    answers = {"GET": {200: accounts.SessionList}}

    def get(self, request: Request) -> Response:
        """All of them, the one that asks first."""
        return Response({"results": [asdict(one) for one in sessions.of(self.actor, key_of(request))]})


class EndingOthers(View):
    """One's own sessions, but for the one that asks."""

    sends = {"POST": accounts.Password}
    answers = {"POST": {200: accounts.SessionsEnded}}

    def post(self, request: Request) -> Response:
        """End them, by the present password: who only found a browser open does not put its person out. Tokens go on."""
        people.prove(self.actor, bodies.take(accounts.Password, request.data)["password"])
        return Response({"ended": sessions.end_all(self.actor, but=key_of(request))})


class EndingOne(View):
    """One of one's own sessions."""

    sends = {"POST": accounts.Password}

    def post(self, request: Request, record_id: UUID) -> Response:
        """End it, by the present password. The one that asks is ended as by signing out."""
        people.prove(self.actor, bodies.take(accounts.Password, request.data)["password"])
        present = key_of(request)
        sessions.end(self.actor, record_id)
        if present and sessions.name_of(present) == record_id:
            logout(request._request)
        return Response(status=204)

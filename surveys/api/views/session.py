"""Signing in and out, who one is, and one's tokens."""

from typing import Any
from uuid import UUID

from django.contrib.auth import authenticate, logout
from django.middleware.csrf import get_token
from rest_framework.exceptions import NotAuthenticated
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response

from surveys import people, second_factor, throttling, tokens
from surveys.api import bodies, serializers
from surveys.api.authentication import Session, address_of, signed_in
from surveys.api.problems import WrongPassword
from surveys.api.views.base import View
from surveys.models import Person


def as_shown(person: Person) -> dict[str, Any]:
    """A person, as he sees himself."""
    return {"id": person.pk, "username": person.username, "name": person.name, "email": person.email, "daily_digest": person.daily_digest}


class SessionView(View):
    """The browser's session."""

    permission_classes = [AllowAny]
    before_second_factor = True
    sends = {"POST": serializers.SignIn}
    answers = {"GET": {200: serializers.PersonShape}, "POST": {200: serializers.PersonShape}}

    def get(self, request: Request) -> Response:
        """Who is signed in. Sets the cookie that every change needs (CSRF), also when nobody is."""
        get_token(request._request)
        if not isinstance(request.user, Person):
            raise NotAuthenticated
        return Response(as_shown(request.user))

    def post(self, request: Request) -> Response:
        """Sign in. Who has a second factor sends a code too: one of his telephone, or a recovery code.

        Without it the answer is 401 with the code 'code-needed', with a wrong one 401 'wrong-code'; either only where name and password are
        right, so that nobody else learns from it.
        """
        Session().enforce_csrf(request)
        body = bodies.take(serializers.SignIn, request.data)
        throttling.sign_in(body["username"], address_of(request))
        # Django hashes a password for an unknown name too, so that the two take as long.
        person = authenticate(request._request, username=body["username"], password=body["password"])
        if not isinstance(person, Person):
            raise WrongPassword("The name or the password is wrong. After ten tries in a minute you have to wait.")
        factor = second_factor.is_on(person)
        if factor:
            _proved(person, body.get("code", ""))
        signed_in(request, person, factor=factor)
        return Response(as_shown(person))

    def delete(self, request: Request) -> Response:
        """Sign out."""
        logout(request._request)
        # What was shown is not kept on the machine; edits that were not sent yet are, for who signs in again.
        return Response(status=204, headers={"Clear-Site-Data": '"cache"'})


def _proved(person: Person, code: str) -> None:
    """Refuse who knows the password and not the code."""
    if not code.strip():
        raise WrongPassword("Now the code that your telephone shows, or a recovery code.", code="code-needed")
    if not second_factor.proves(person, code):
        raise WrongPassword(second_factor.WRONG, code="wrong-code")


class Me(View):
    """Who asks."""

    sends = {"PATCH": serializers.Wishes(partial=True)}
    answers = {"GET": {200: serializers.PersonShape}, "PATCH": {200: serializers.PersonShape}}

    def get(self, request: Request) -> Response:
        """The person whose token or session this is."""
        return Response(as_shown(self.actor))

    def patch(self, request: Request) -> Response:
        """Say whether what is new is to come once a day by e-mail."""
        people.wish(self.actor, bodies.take(serializers.Wishes, request.data))
        return Response(as_shown(self.actor))


class Tokens(View):
    """One's own tokens."""

    sends = {"POST": serializers.TokenLabel}
    answers = {"GET": {200: serializers.TokenList}, "POST": {201: serializers.TokenMade}}

    def get(self, request: Request) -> Response:
        """All that are not revoked, with when each was last used."""
        return Response({"results": [_token(token) for token in tokens.of(self.actor)]})

    def post(self, request: Request) -> Response:
        """Make one. Its secret is in this answer and nowhere else."""
        body = bodies.take(serializers.TokenLabel, request.data)
        token, secret = tokens.make(self.actor, body["label"])
        headers = {"Location": f"/api/v1/tokens/{token.pk}", "Cache-Control": "no-store"}
        return Response({**_token(token), "token": secret}, status=201, headers=headers)


class OneToken(View):
    """One of one's own tokens."""

    def delete(self, request: Request, record_id: UUID) -> Response:
        """Revoke it."""
        tokens.revoke(self.actor, record_id)
        return Response(status=204)


def _token(token: Any) -> dict[str, Any]:
    return {name: getattr(token, name) for name in ("id", "label", "created_at", "last_used_at")}

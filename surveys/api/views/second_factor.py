"""One's second factor: turned on by a code, turned off by the password and a code. What is shown once is in no other answer."""

from dataclasses import asdict
from typing import Final

from django.conf import settings
from rest_framework.request import Request
from rest_framework.response import Response

from surveys import second_factor
from surveys.api import bodies
from surveys.api.authentication import goes_on
from surveys.api.serializers import accounts
from surveys.api.views.base import View

ONCE: Final = {"Cache-Control": "no-store"}


class SecondFactor(View):
    """One's second factor."""

    before_second_factor = True
    sends = {"POST": accounts.Password}
    answers = {"GET": {200: accounts.SecondFactorShape}, "POST": {201: accounts.SecondFactorKey}}

    def get(self, request: Request) -> Response:
        """Whether one has it, since when, and how many recovery codes are left."""
        return Response({**asdict(second_factor.state(self.actor)), "required": settings.SECOND_FACTOR_REQUIRED})

    def post(self, request: Request) -> Response:
        """Make a key for a telephone, by the present password. It counts for nothing until a code of it is confirmed."""
        body = bodies.take(accounts.Password, request.data)
        return Response(asdict(second_factor.begin(self.actor, body["password"])), status=201, headers=ONCE)


class Confirming(View):
    """A first code of the telephone."""

    before_second_factor = True
    sends = {"POST": accounts.Code}
    answers = {"POST": {200: accounts.RecoveryCodes}}

    def post(self, request: Request) -> Response:
        """Turn the second factor on. All sessions but this one end; the recovery codes are in this answer and nowhere else."""
        body = bodies.take(accounts.Code, request.data)
        codes = second_factor.confirm(self.actor, body["code"])
        goes_on(request, factor=True)
        return Response({"recovery_codes": codes}, headers=ONCE)


class TurningOff(View):
    """Going without."""

    before_second_factor = True
    sends = {"POST": accounts.PasswordAndCode}

    def post(self, request: Request) -> Response:
        """Turn the second factor off, by the present password and a code. All sessions but this one end."""
        body = bodies.take(accounts.PasswordAndCode, request.data)
        second_factor.turn_off(self.actor, body["password"], body["code"])
        goes_on(request, factor=False)
        return Response(status=204)


class NewCodes(View):
    """Other recovery codes."""

    before_second_factor = True
    sends = {"POST": accounts.PasswordAndCode}
    answers = {"POST": {200: accounts.RecoveryCodes}}

    def post(self, request: Request) -> Response:
        """Take other recovery codes, by the present password and a code; those from before are worth nothing."""
        body = bodies.take(accounts.PasswordAndCode, request.data)
        return Response({"recovery_codes": second_factor.new_codes(self.actor, body["password"], body["code"])}, headers=ONCE)

"""Who else is here."""

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import presence
from surveys.api import bodies, serializers
from surveys.api.views.base import View
from surveys.errors import Fault, Invalid


class Presence(View):
    """Who is in a project just now, and where in it."""

    sends = {"POST": serializers.Where}
    answers = {"POST": {200: serializers.PresentList}}

    def post(self, request: Request, code: str) -> Response:
        """Say where one is, and hear who else is here. It lasts 25 seconds."""
        project = self.project(code)
        body = bodies.take(serializers.Where, request.data)
        if not body["where"].isprintable() or len(body["where"]) > 80:
            text = "Say it in at most 80 characters that can be printed."
            raise Invalid(text, faults=(Fault("where", "invalid", text),))
        return Response({"present": presence.say(self.actor, project, body["where"])})

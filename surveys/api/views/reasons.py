"""What the correlation can say for itself: why a layer stands where it stands, where to look next, what spaces share."""

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access
from surveys.api import bodies
from surveys.api.serializers.campaigns import CampaignsShape
from surveys.api.serializers.reasons import LookingShape, WhyShape
from surveys.api.views.base import View
from surveys.api.views.results import SpaceResult
from surveys.models import Layer

HIGHEST = 100_000


class Why(View):
    """Why a layer stands in its generation."""

    takes = {"GET": ("against",)}
    answers = {"GET": {200: WhyShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """Why here and not in the runner-up, by kind of evidence, in numbers that add up and in a sentence."""
        from surveys.work import reasons

        layer = access.get(self.actor, self.project(code), Layer, record_id)
        against = bodies.whole(self.given["against"], 1, HIGHEST, "against") if "against" in self.given else None
        return Response(reasons.why(layer.pk, against))


class Looking(SpaceResult):
    """Where to look next in a space."""

    answers = {"GET": {200: LookingShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The rulings and the examinations that would be expected to settle most, most to be gained first."""
        from surveys.work import looking

        return Response(looking.answer(self.space(code, record_id)))


class Campaigns(View):
    """Generations of different spaces that may be one campaign."""

    takes = {"GET": ("space",)}
    described = {"space": ({"type": "string"}, "The number of a space: only what it may share with the others; else all with all.")}
    answers = {"GET": {200: CampaignsShape}}

    def get(self, request: Request, code: str) -> Response:
        """What is offered for a phase, the surest first, each with what its generations share."""
        from surveys.work import campaigns

        return Response(campaigns.answer(self.project(code), self.given.get("space", "")))

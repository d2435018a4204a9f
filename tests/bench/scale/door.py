"""An address that answers rows as plainly as Django can, behind the same door as the lists: session, rights, middleware.

Put in place of the program's addresses by `tests.bench.scale.lists`, whose own are all still there.
"""

from collections.abc import Callable
from typing import Final

from django.http import HttpResponse
from django.urls import include, path
from rest_framework.request import Request

from surveys.api.views.base import View
from surveys.models import Project

# What is answered, by the name in the address.
DEEDS: Final[dict[str, Callable[[Project], bytes]]] = {}


class Bare(View):
    """Rows of a project, for who may see it."""

    def get(self, request: Request, code: str, name: str) -> HttpResponse:
        """The rows."""
        return HttpResponse(DEEDS[name](self.project(code)), content_type="application/json")


urlpatterns = [path("bare/<str:code>/<str:name>", Bare.as_view()), path("", include("config.urls"))]

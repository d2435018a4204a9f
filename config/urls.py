"""Where each address leads: the interface, and the pages that use it."""

from django.urls import include, path

from config.operations import health, metrics
from surveys.pages import client

urlpatterns = [
    path("live", health.live),
    path("ready", health.ready),
    path("metrics", metrics.metrics),
    path("api/v1/", include("surveys.api.urls")),
    path("", client),
    path("sign-in", client),
    path("me", client),
    path("second-factor", client),
    path("invitation", client),
    path("forgotten", client),
    path("new-password", client),
    path("new-project", client),
    path("projects/<path:within>", client),
]

handler400 = "surveys.api.problems.bad_page"
handler404 = "surveys.api.problems.missing_page"
handler500 = "surveys.api.problems.failed_page"

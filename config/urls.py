"""Where each address leads: the interface, and the pages that use it."""

from django.urls import include, path

urlpatterns = [
    path("api/v1/", include("surveys.api.urls")),
]

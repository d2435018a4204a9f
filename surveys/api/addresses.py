"""Addresses of pages, for the links in letters and for those that are handed over."""

from django.conf import settings
from rest_framework.request import Request


def site(request: Request) -> str:
    """Where the program is reached: as its settings say, so that no forged header leads a letter's link elsewhere; or as it was asked."""
    return str(settings.SITE_ADDRESS or request.build_absolute_uri("/")).rstrip("/")

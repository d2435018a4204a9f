"""The published description of the interface (OpenAPI 3.1)."""

from drf_spectacular.openapi import AutoSchema


class Operation(AutoSchema):
    """Describes one operation."""


def describe_problems(result, generator, request, public):
    """Adds the problem documents."""
    return result

"""JSON in and out, by orjson."""

from collections.abc import Mapping
from typing import IO, Any

import orjson
from django.conf import settings
from rest_framework.exceptions import ParseError
from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.parsers import BaseParser
from rest_framework.renderers import BaseRenderer

from surveys.errors import TooLarge

OPTIONS = orjson.OPT_UTC_Z | orjson.OPT_NAIVE_UTC


def _plain(value: Any) -> Any:
    """What orjson does not know by itself: mappings and lazy texts."""
    if isinstance(value, Mapping):
        return dict(value)
    return str(value)


def dump(data: Any, *, sort: bool = False) -> bytes:
    """Plain values as JSON; ids as text, times as ISO 8601 with Z. Sorted, the same values are the same bytes."""
    return orjson.dumps(data, default=_plain, option=OPTIONS | (orjson.OPT_SORT_KEYS if sort else 0))


class Json(BaseRenderer):
    """Answers as JSON."""

    media_type = "application/json"
    format = "json"
    charset = None

    def render(self, data: Any, accepted_media_type: str | None = None, renderer_context: Mapping[str, Any] | None = None) -> bytes:
        """The body; empty where there is nothing to say."""
        return b"" if data is None else dump(data)


class JsonParser(BaseParser):
    """Reads a JSON body of limited size."""

    media_type = "application/json"

    def parse(self, stream: IO[Any], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None) -> Any:
        """The values that a body says."""
        limit = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        body = stream.read(limit + 1)
        if len(body) > limit:
            raise TooLarge(f"A request may have at most {limit // 1024 // 1024} MB. Send it in parts.")
        try:
            told = orjson.loads(body)
        except orjson.JSONDecodeError as error:
            raise ParseError(f"The body is not JSON: {error}.") from None
        try:
            # Read is what is nested a thousand deep, written only what is nested some hundred: it could be neither kept nor told again.
            orjson.dumps(told)
        except orjson.JSONEncodeError:
            raise ParseError("The body is nested deeper than anything that is read here.") from None
        return told


class OneForm(BaseContentNegotiation):
    """There is one form of every answer, so it is given whatever the client would rather have (RFC 9110, 12.4.1)."""

    def select_parser(self, request: Any, parsers: Any) -> Any:
        """The parser of the body's declared type."""
        from rest_framework.negotiation import DefaultContentNegotiation

        return DefaultContentNegotiation().select_parser(request, parsers)

    def select_renderer(self, request: Any, renderers: Any, format_suffix: str | None = None) -> Any:
        """The first renderer."""
        return (renderers[0], renderers[0].media_type)

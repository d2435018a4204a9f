"""The published description of the interface (OpenAPI 3.1): what each operation takes and answers, refusals included.

What a view sends and answers stands in the view (`sends`, `answers`); parameters follow from the collections, refusals from the method.
"""

from collections.abc import Iterator
from typing import Any, Final

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse

from surveys.api import conditional, serializers
from surveys.api.pagination import LONGEST_CURSOR, MOST
from surveys.api.problems import MEDIA_TYPE, TITLES
from surveys.api.typed import Typed
from surveys.idempotency import LONGEST_KEY
from surveys.models.findings import TALKED_ABOUT

QUERY: Final = "query"
HEADER: Final = "header"
TEXT: Final[dict[str, Any]] = {"type": "string", "minLength": 1}
LISTING: Final[dict[str, tuple[dict[str, Any], str]]] = {
    "page_size": ({"type": "integer", "minimum": 1, "maximum": MOST}, "How many records a page holds; 100 where nothing is said."),
    "cursor": ({**TEXT, "maxLength": LONGEST_CURSOR}, "The cursor of the page before."),
    "ordering": (TEXT, "Columns, separated by commas; '-' turns one round. Long texts count by how they begin; ties are broken by id."),
    "search": ({**TEXT, "maxLength": 200}, "Words that must all stand somewhere in the record."),
    "fields": (TEXT, "Only these fields, separated by commas."),
    "count": ({"type": "string", "enum": ["true", "false"]}, "Whether to say how many there are in all."),
}
OTHERS: Final[dict[str, tuple[dict[str, Any], str]]] = {
    "after": ({"type": "integer", "minimum": 0, "maximum": 2**63 - 1}, "The cursor of the answer before; 0 begins with the first change."),
    "limit": ({"type": "integer", "minimum": 1, "maximum": MOST}, "At most so many changes; 200 where nothing is said."),
    "record_id": ({"type": "string", "format": "uuid"}, "Only what befell this record."),
    "register": (TEXT, "Only what is of this register."),
    "before": ({"type": "integer", "minimum": 0, "maximum": 2**63 - 1}, "Only what is older than this; the cursor of the answer before."),
    "record_type": (TEXT, "Only acts that removed a record of this kind."),
    "notation": (TEXT, "Munsell notations, separated by commas; at most 200."),
    "lab": (TEXT, "L*a*b* (D65, 2° observer) as in 60,-8,24; several separated by semicolons."),
    "against": (
        {"type": "integer", "minimum": 1, "maximum": 100_000},
        "The generation (ordinal) to compare with; else the runner-up.",
    ),
    "about_type": ({"type": "string", "enum": list(TALKED_ABOUT)}, "Only what is about records of this type."),
    "tentative": ({"type": "string", "enum": ["true", "false"]}, "Whether tentative evidence bounds years too."),
}
STRING: Final = {"type": "string"}
PLACE: Final = {
    "type": "object",
    "description": "Where a fault is: a JSON pointer into the body, or the name of a parameter or header.",
    "properties": {"pointer": STRING, "code": STRING, "detail": STRING, "parameter": STRING},
    "required": ["pointer", "code", "detail"],
}
PROBLEM: Final = {
    "type": "object",
    "description": "A problem document (RFC 9457). The detail is a sentence for the person at the screen, the code a word for programs.",
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": STRING,
        "status": {"type": "integer"},
        "detail": STRING,
        "code": STRING,
        "received": {"type": "integer", "description": "Of a file on its way: the byte at which it goes on."},
        "errors": {"type": "array", "items": {"$ref": "#/components/schemas/ProblemPlace"}},
        "current": {
            "type": ["object", "null"],
            "description": "The record as it now stands, where the version was stale.",
        },
    },
    "required": ["type", "title", "status", "detail", "code"],
}


class TokenScheme(OpenApiAuthenticationExtension):
    """A token, for scripts."""

    target_class = "surveys.api.authentication.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        """The header that bears it."""
        return {"type": "apiKey", "in": "header", "name": "Authorization", "description": "'Token', a blank, and the token's secret."}


class SessionScheme(OpenApiAuthenticationExtension):
    """A session, for the browser."""

    target_class = "surveys.api.authentication.Session"
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        """The cookie that bears it."""
        return {"type": "apiKey", "in": "cookie", "name": "sessionid", "description": "With X-CSRFToken on what changes something."}


class Operation(AutoSchema):
    """Describes one operation by what its view says of it."""

    def _is_list_view(self, serializer: Any = None) -> bool:
        return False  # a page is an object of its own

    def get_operation_id(self) -> str:
        """The method and the address."""
        steps = [step for step in self.path.removeprefix("/api/v1").replace(".", "_").split("/") if step]
        names = [step for step in steps if not step.startswith("{")]
        if names[0] == "projects" and len(names) > 1:
            names = names[1:]
        one = ["one"] if steps[-1].startswith("{") else []
        return "_".join([self.method.lower(), *names, *one])

    def get_tags(self) -> list[str]:
        """The collection."""
        names = [step for step in self.path.removeprefix("/api/v1").split("/") if step and not step.startswith("{")]
        return [names[1] if names[0] == "projects" and len(names) > 1 else names[0]]

    def get_serializer_name(self, serializer: Any, direction: Any) -> str:
        """What a shape is called."""
        return super().get_serializer_name(serializer, direction).removesuffix("Shape")

    def get_request_serializer(self) -> Any:
        """What is sent."""
        return self.view.sends_by(self.method) if hasattr(self.view, "sends_by") else None

    def get_response_serializers(self) -> Any:
        """What is answered."""
        told = self.view.answers_by(self.method) if hasattr(self.view, "answers_by") else None
        return {204: OpenApiResponse(description="Done.")} if told is None else told

    def get_override_parameters(self) -> list[Any]:
        """Query parameters and headers."""
        return [*self._query(), *self._headers()]

    def _query(self) -> Iterator[OpenApiParameter]:
        from surveys.api.filters import filters_of

        view: Any = self.view
        own = getattr(view, "described", {})
        for name in view.parameters_by(self.method):
            if name in own:
                schema, description = own[name]
            elif name in LISTING or name in OTHERS:
                schema, description = (LISTING | OTHERS)[name]
            else:
                schema = filters_of(view.collection_name())[name].schema
                description = schema.get("description", "")
            yield OpenApiParameter(name, dict(schema), QUERY, description=description)

    def _headers(self) -> Iterator[OpenApiParameter]:
        conditioned = getattr(self.view, "conditioned", ())
        if self.method in conditioned and self.method == "GET":
            yield OpenApiParameter("If-None-Match", dict(TEXT), HEADER, description="The ETag that you have; 304 if it still holds.")
        elif self.method in conditioned:
            tag = {"type": "string", "pattern": conditional.TAG}
            yield OpenApiParameter("If-Match", tag, HEADER, required=True, description="The ETag of the version that you changed.")
        if self.method in getattr(self.view, "ranged", ()):
            yield from _of_a_part()
        if self.method in getattr(self.view, "repeatable", ()):
            schema: dict[str, Any] = {"type": "string", "minLength": 1, "maxLength": LONGEST_KEY, "pattern": r"^[!-~]+$"}
            text = "A key of your own; the same request with the same key is answered as the first time and done once."
            yield OpenApiParameter("Idempotency-Key", schema, HEADER, description=text)

    def _map_serializer_field(self, field: Any, direction: Any, bypass_extensions: bool = False) -> Any:
        if not isinstance(field, Typed):
            return super()._map_serializer_field(field, direction, bypass_extensions)
        schema = dict(field.schema)
        return {**schema, "type": [schema["type"], "null"]} if field.allow_null else schema


def _of_a_part() -> Iterator[OpenApiParameter]:
    """Of a file that is handed out: what asks for a part of it, and what tells which part came."""
    text = "One range of bytes (RFC 9110), as in bytes=1000- where a download broke off; anything else is answered with the whole."
    yield OpenApiParameter("Range", dict(TEXT), HEADER, description=text)
    text = "The ETag of what you have a part of: if it is another file now, the whole is answered."
    yield OpenApiParameter("If-Range", dict(TEXT), HEADER, description=text)
    yield OpenApiParameter(
        "ETag", STRING, HEADER, required=True, response=[200, 206], description="The SHA-256 of the whole file, in quotes."
    )
    yield OpenApiParameter("Accept-Ranges", STRING, HEADER, required=True, response=[200, 206], description="bytes")
    yield OpenApiParameter(
        "Content-Range", STRING, HEADER, required=True, response=[206], description="Which part: first, last, and how many in all."
    )


# What not everybody may look at who sees the project.
NOT_FOR_ALL: Final = ("{code}/invitations/", "{record_id}/leaving", "{code}/removed/", "{code}/sendings/{record_id}")


def refusals(path: str, method: str, operation: dict[str, Any]) -> set[int]:
    """The statuses by which an operation may refuse."""
    names = {parameter["name"] for parameter in operation.get("parameters", [])}
    # What is needed may be away whatever is asked.
    found = {400, 401, 503}
    if "{" in path:
        found |= {404}
    if method != "get" or any(part in path for part in NOT_FOR_ALL):
        found |= {403}
    if "requestBody" in operation:
        found |= {413, 415, 422}
    if method in ("post", "patch", "put", "delete"):
        found |= {409, 422}
    if method == "get":
        found |= {429}
    if "Range" in names:
        found |= {416}
    if path.endswith("/session") and method == "post":
        found = (found | {429}) - {409}
    if ("/invitations/" in path and "{" not in path) or "/password" in path or path.endswith("/me/email"):
        found |= {404, 429}
    if ("/second-factor" in path or "/me/sessions" in path) and method == "post":
        found |= {429}
    if "/dating" in path:
        found |= {422}
    if "/jobs/" in path and method == "post":
        found |= {404}
    if "If-Match" in names:
        found |= {412, 428}
    if path.endswith(("/join", "/split", "/restore")):
        found |= {412}
    if path.endswith("/batch"):
        found |= {412, 428}
    return found


def describe_problems(result: Any, generator: Any, request: Any, public: bool) -> Any:
    """Add to each operation how it refuses; leave fields of list rows optional (`?fields=`)."""
    schemas = result["components"]["schemas"]
    for path, operations in result["paths"].items():
        for method, operation in operations.items():
            if not isinstance(operation, dict) or "responses" not in operation:
                continue
            for status in sorted(refusals(path, method, operation)):
                content = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
                operation["responses"].setdefault(str(status), {"description": TITLES[status], "content": content})
            if any(parameter["name"] == "If-None-Match" for parameter in operation.get("parameters", [])):
                operation["responses"]["304"] = {"description": "What you have still holds."}
    schemas |= {"Problem": PROBLEM, "ProblemPlace": PLACE}
    for name, schema in schemas.items():
        for part in schema.get("properties", {}).values():
            if isinstance(part, dict) and part.pop("x-spec-enum-id", None):
                part.pop("description", None)  # it says each word twice
        if name.endswith("Request"):
            schema["additionalProperties"] = False
        if name.endswith("Row"):
            schema.pop("required", None)
        if name == "Project":
            schema["required"] = list(serializers.CARD)
    return result

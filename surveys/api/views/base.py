"""What all views share: the project by its code, deeds done once, lists in pages."""

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final
from urllib.parse import urlencode

import orjson
from django.utils.cache import patch_vary_headers
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from surveys import access, idempotency, throttling
from surveys.api import bodies, filters, pagination, problems
from surveys.api.authentication import TokenAuthentication, person_of, refuse_without_second_factor
from surveys.api.collections.machine import Collection
from surveys.api.rendering import OneForm, dump
from surveys.models import Person, Project

KEY: Final = "Idempotency-Key"
# In JSON; not the text of it, which has a backslash more.
NUL: Final = re.compile(rb"(?<!\\)((?:\\\\)*)\\u0000")
# The routes whose reads go through a whole project or hand out whole files, and are counted by themselves.
HEAVY: Final = frozenset(
    {
        "coverage", "dating", "chart", "chart-drawing", "readings", "as-of", "looking", "campaigns", "layer-why",
        "space-sides", "element-sides", "schedule-draft", "issue-since", "sample-lines", "traverse-profile",
        "job-file", "issue-file", "attachment-original",
    }
)  # fmt: skip
LIST_PARAMETERS: Final = ("page_size", "cursor", "ordering", "search", "fields", "count")


class View(APIView):
    """A view of the interface. Query parameters are refused unless `takes` names them."""

    permission_classes = [IsAuthenticated]
    content_negotiation_class = OneForm
    metadata_class = None
    http_method_names = ["get", "head", "post", "put", "patch", "delete"]
    # By method: query parameters; the body's shape; the answers' shapes by status.
    takes: Mapping[str, tuple[str, ...]] = {}
    sends: Mapping[str, Any] = {}
    answers: Mapping[str, Mapping[Any, Any]] = {}
    # The methods that take a condition (If-Match, If-None-Match), and those that take an Idempotency-Key.
    conditioned: tuple[str, ...] = ()
    repeatable: tuple[str, ...] = ()
    # What one must still be allowed in the project to be told again what a request was answered.
    to_hear: str = access.SEE
    # Whether it is for who has yet to set up a second factor, where everybody must have one.
    before_second_factor = False

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Refuse unknown parameters before anything else is done, but after it is known who asks."""
        super().initial(request, *args, **kwargs)
        if not self.before_second_factor:
            refuse_without_second_factor(request)
        self.given = bodies.parameters(request, self.parameters_by("GET" if request.method == "HEAD" else str(request.method)))

    def check_throttles(self, request: Request) -> None:
        """Count a read by who is signed in, those with the browser and those with tokens each by themselves."""
        if request.method in ("GET", "HEAD") and isinstance(request.user, Person):
            way = "token" if isinstance(request.successful_authenticator, TokenAuthentication) else "browser"
            match = request._request.resolver_match
            throttling.read(f"{request.user.pk} {way}", heavy=match is not None and match.url_name in HEAVY)

    def parameters_by(self, method: str) -> Iterable[str]:
        """The query parameters of a method."""
        return self.takes.get(method, ())

    def sends_by(self, method: str) -> Any:
        """The shape of what is sent with a method."""
        return self.sends.get(method)

    def answers_by(self, method: str) -> Any:
        """The shapes of what a method is answered with, by status."""
        return self.answers.get(method)

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        """Answers depend on who asks."""
        patch_vary_headers(response, ["Authorization", "Cookie"])
        return super().finalize_response(request, response, *args, **kwargs)

    @property
    def actor(self) -> Person:
        """Who asks."""
        return person_of(self.request)

    def project(self, code: str, capability: str = access.SEE) -> Project:
        """The project of the address, if the actor may do that in it."""
        return access.project(self.actor, code, capability)

    def once(self, request: Request, body: Any, deed: Callable[[], Response]) -> Response:
        """Do a deed once for a key (Idempotency-Key); without a key, simply do it."""
        key = request.headers.get(KEY)
        if key is None:
            return deed()
        idempotency.check_key(key)
        kept = idempotency.once(self.actor, key, bodies.digest(request, body), lambda: _kept(deed()), self._refusal)
        if kept.replayed and "code" in self.kwargs:
            self.project(self.kwargs["code"], self.to_hear)  # who may not see it any more is not told again what he was told
        headers = {**kept.headers, **({"Idempotency-Replayed": "true"} if kept.replayed else {})}
        media_type = problems.MEDIA_TYPE if kept.status >= 400 else None
        return Response(kept.body, status=kept.status, headers=headers, content_type=media_type)

    def _refusal(self, error: Exception) -> idempotency.Reply:
        return _kept(problems.answer(error, {"view": self, "request": self.request}))


def _kept(response: Response) -> idempotency.Reply:
    """An answer as plain values."""
    headers = {name: str(response.headers[name]) for name in ("ETag", "Location", "Retry-After") if name in response.headers}
    # A refusal may quote what was sent; PostgreSQL keeps no NUL.
    return idempotency.Reply(response.status_code, orjson.loads(NUL.sub(rb"\1\\ufffd", dump(response.data))), headers)


def listed(view: View, collection: Collection, scope: Project | Person, request: Request) -> Response:
    """One page of a collection, as its parameters ask."""
    given = dict(view.given)
    asked = {name: given.pop(name) for name in LIST_PARAMETERS if name in given}
    size = pagination.size_of(asked.get("page_size"))
    terms = pagination.order_of(collection, asked.get("ordering"))
    names = _fields(collection, asked.get("fields"))
    query = filters.narrow(collection, collection.listed(scope, terms[0].path, given), given)
    if "search" in asked:
        query = filters.search(collection, query, _search(asked["search"]))
    count = {"count": query.count()} if "count" in asked and bodies.truth(asked["count"], "count") else {}
    if "cursor" in asked:
        query = pagination.after(query, terms, pagination.values_of(terms, asked["cursor"]))
    query = pagination.in_order(query, terms)[: size + 1]
    wanted = None if names is None else list(dict.fromkeys([*names, *(term.name for term in terms)]))
    rows = collection.rows(scope, query, wanted)
    cursor = None
    if len(rows) > size:
        rows = rows[:size]
        cursor = pagination.cursor_of(terms, [rows[-1][term.name] for term in terms])
    if names is not None:
        rows = [{name: row[name] for name in names} for row in rows]
    return Response({"results": rows, "cursor": cursor, "next": _next(request, cursor), **count})


def _next(request: Request, cursor: str | None) -> str | None:
    if cursor is None:
        return None
    rest = {name: value for name, value in request.query_params.items() if name != "cursor"}
    return f"{request.path}?{urlencode({**rest, 'cursor': cursor})}"


def _fields(collection: Collection, asked: str | None) -> list[str] | None:
    if asked is None:
        return None
    names = list(dict.fromkeys(asked.split(",")))
    for name in names:
        if name not in collection.names:
            known = ", ".join(collection.names)
            raise problems.unknown_parameter("fields", f"{collection.title} have no field '{name[:80]}'. They have: {known}.")
    return names


def _search(text: str) -> str:
    if len(text) > 200:
        raise problems.unknown_parameter("search", "Search for at most 200 characters.")
    return text

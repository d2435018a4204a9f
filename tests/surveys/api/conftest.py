"""A client for each person, that speaks JSON and remembers the project."""

import json
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

ROOT = "/api/v1"
BASE = f"{ROOT}/projects/HALL"


class Api:
    """Sends JSON as one person; paths are below the project unless they begin with /."""

    def __init__(self, person: Any) -> None:
        self.client = Client(raise_request_exception=False)
        if person is not None:
            self.client.force_login(person)

    def send(self, method: str, path: str, body: Any = None, **headers: str) -> Any:
        address = path if path.startswith("/") else f"{BASE}/{path}"
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        data = b"" if body is None else body if isinstance(body, bytes) else json.dumps(body).encode()
        return self.client.generic(method, address, data, content_type="application/json", headers=named)

    def get(self, path: str, **headers: str) -> Any:
        return self.send("GET", path, **headers)

    def post(self, path: str, body: Any = None, **headers: str) -> Any:
        return self.send("POST", path, {} if body is None else body, **headers)

    def patch(self, path: str, body: Any, **headers: str) -> Any:
        return self.send("PATCH", path, body, **headers)

    def put(self, path: str, body: Any, **headers: str) -> Any:
        return self.send("PUT", path, body, **headers)

    def delete(self, path: str, **headers: str) -> Any:
        return self.send("DELETE", path, **headers)


@pytest.fixture(autouse=True)
def _fresh_throttle(settings):
    """Tries are counted in this process only: tests run beside each other."""
    settings.CACHES = {**settings.CACHES, "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()


@pytest.fixture
def api(cast):
    """A client for a person of the cast, by what he is."""
    made: dict[str, Api] = {}

    def as_(who: str) -> Api:
        if who not in made:
            made[who] = Api(cast[who])
        return made[who]

    as_.again = lambda who: made.pop(who)  # type: ignore[attr-defined]
    return as_


def rows(answer: Any) -> list[dict[str, Any]]:
    assert answer.status_code == 200, answer.content
    return answer.json()["results"]


def problem(answer: Any, status: int) -> dict[str, Any]:
    """The problem document of an answer that must be one."""
    assert answer.status_code == status, (answer.status_code, answer.content[:400])
    assert answer.headers["Content-Type"] == "application/problem+json"
    told = answer.json()
    assert told["status"] == status
    assert told["detail"]
    return told

"""The published schema leaves nothing out: every route and method, and of each every answer that the table of roles knows.

`test_schema_is_true` sends each operation fitting and unfitting input and refuses answers that are not described; this looks from the other
side, that nothing escapes it by not being in the schema.
"""

import json
import re

import pytest
from django.test import Client

from tests.surveys.api.conftest import ROOT
from tests.surveys.api.test_roles import TABLE, routes
from tests.surveys.api.test_schema_is_true import schema as tried

# The schema and its browser do not describe themselves.
ITSELF = {"schema", "docs"}


@pytest.fixture(scope="module")
def described() -> dict[tuple[str, str], set[int]]:
    """The statuses of each operation, by address and method."""
    raw = json.loads(Client().get(f"{ROOT}/schema?format=json", headers={"host": "localhost"}).content)
    return {
        (place.rstrip("/"), method.upper()): {int(status) for status in operation["responses"]}
        for place, operations in raw["paths"].items()
        for method, operation in operations.items()
    }


def place_of(path: str) -> str:
    named = re.sub(r"<[a-z]+:([a-z_]+)>", r"{\1}", path)
    return f"{ROOT}/{named}".rstrip("/")


def test_every_route_and_method_is_described_and_nothing_else(described):
    there = {(place_of(path), method) for name, method, path, _ in routes() if name not in ITSELF}
    assert there == set(described)


def test_every_operation_is_tried_by_the_fuzz(described):
    """Parameters are thinned out there, operations are not."""
    found = {(operation.ok().path.rstrip("/"), operation.ok().method.upper()) for operation in tried.get_all_operations()}
    assert {(place if place.startswith(ROOT) else f"{ROOT}{place}", method) for place, method in found} == set(described)


def test_what_the_table_of_roles_says_is_described(described):
    missing = []
    for name, method, path, _ in routes():
        if name not in ITSELF:
            told = set(TABLE[name, method].answers.values()) - described[place_of(path), method]
            if told:
                missing.append((name, method, sorted(told)))
    assert missing == []


def test_what_every_route_may_be_answered_is_described(described):
    """Below a project: that nobody is signed in, and that there is no such project; where something is changed by a session, forgery."""
    for (place, method), statuses in described.items():
        if "{code}" in place:
            assert {400, 401, 404} <= statuses, (place, method)
            if method != "GET":
                assert 403 in statuses, (place, method)
        assert not [status for status in statuses if status >= 500 and status != 503], (place, method)

"""The published schema, held to what the interface does: every operation, with fitting and unfitting input, in this process."""

import json
import os
from typing import Any

import pytest
import schemathesis
from django.core.cache import cache
from django.core.management import call_command
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from django.test import Client
from hypothesis import HealthCheck, settings
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from config.wsgi import application
from surveys import jobs, records, tokens
from surveys.api.collections import BY_NAME
from surveys.api.conditional import tag_of
from surveys.api.schema import LISTING, OTHERS
from surveys.models import Evidence, Generation, Interpretation, Phase, Project, Ruling
from tests.surveys.api.brought import brought
from tests.surveys.api.test_roles import sections

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    negative_data_rejection,
]


def test_the_schema_is_valid_and_says_of_every_operation_what_it_answers(tmp_path):
    call_command("spectacular", "--validate", "--fail-on-warn", "--file", str(tmp_path / "schema.yaml"))


def one_filter_of_each_kind(raw: dict) -> dict:
    """The schema with fewer filters: all are made by one function from the kind of column, so one of each kind stands for the rest.

    `test_lists` asks every list by every filter, with values that can be read and values that cannot.
    """
    seen = set()
    for operations in raw["paths"].values():
        kept = []
        for parameter in operations.get("get", {}).get("parameters", []):
            told = {name: value for name, value in parameter["schema"].items() if name not in ("description", "enum")}
            kind = (parameter["name"].partition("__")[2], json.dumps(told, sort_keys=True), "enum" in parameter["schema"])
            if parameter["in"] != "query" or parameter["name"] in LISTING or parameter["name"] in OTHERS or kind not in seen:
                kept.append(parameter)
            seen.add(kind)
        if kept:
            operations["get"]["parameters"] = kept
    return raw


# Values at and beyond every bound, one by one, are nearly all of the work, so each operation is tried by them once: what stores and reads
# the records themselves on PostgreSQL, which is strict of itself about what it stores, the rest here. Values at random are tried on both.
SERVICES = bool(os.environ.get("UNDERCOAT_TEST_SERVICES"))
STORED = {"include-path-regex": r"^/api/v1/projects/(\{code\}/[a-z-]+/(\{record_id\})?)?$"}
CONFIG = {
    "generation": {"deterministic": True},
    "phases": {"coverage": {"enabled": not SERVICES}},
    "operations": [{**STORED, "phases": {"coverage": {"enabled": SERVICES}}}],
}


def described() -> Any:
    raw = Client().get("/api/v1/schema?format=json", headers={"host": "localhost"}).content
    config = schemathesis.Config.from_dict(CONFIG)
    made = schemathesis.openapi.from_dict(one_filter_of_each_kind(json.loads(raw)), config=config)
    made.app = application
    return made


schema = described()


@pytest.fixture(autouse=True)
def _the_connection_stays():
    """The application closes its connection around each request; here it is the test's own, with the test's transaction in it."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.fixture
def token(cast, project, paint):
    """A coordinator's token, in a project in which each collection holds something."""
    make = lambda model, **values: records.create(cast.coordinator, project, model, values)  # noqa: E731
    make(Phase, label="first")
    make(Generation, space=paint.space.pk)
    make(Evidence, reference="E1", statement="seen")
    first, second = (paint.layers[number][0] for number in ("101-1", "101-2"))
    make(Ruling, kind="tie", first_layer=first.pk, second_layer=second.pk)
    finding = {"discipline": "archaeology", "subject": "space", "space": str(paint.space.pk), "statement": "seen"}
    make(Interpretation, **finding, citations=[{"type": "layer", "id": str(first.pk)}])
    jobs.upload(cast.coordinator, project, "register.xlsx", b"not a workbook")
    jobs.ask(cast.coordinator, project, "date", {})
    sections(cast, project, paint)
    brought(cast, project, paint.second)
    return tokens.make(cast.coordinator, "fuzz")[1]


def real(path: str) -> dict:
    """A record that there is, for an address that names one."""
    name = path.split("{code}/")[1].split("/")[0] if "{code}/" in path else ""
    if name not in BY_NAME or name == "projects":
        return {}
    project = Project.objects.get(code="HALL")
    found = BY_NAME[name].rows(project, BY_NAME[name].query(project).order_by("created_at"))
    return found[0] if found else {}


@schema.parametrize()
@settings(max_examples=4, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_nothing_fails_and_nothing_is_answered_that_the_schema_does_not_say(case, token):
    cache.clear()
    if case.meta is None or case.meta.generation.mode is GenerationMode.POSITIVE:
        row = real(case.path)
        if "code" in case.path_parameters:
            case.path_parameters["code"] = "HALL"
        if "record_id" in case.path_parameters and row:
            case.path_parameters["record_id"] = str(row["id"])
        if case.headers and "If-Match" in case.headers and "version" in row and len(str(case.body)) % 3:
            case.headers["If-Match"] = tag_of(row)
    case.call_and_validate(headers={"Authorization": f"Token {token}"}, checks=CHECKS)

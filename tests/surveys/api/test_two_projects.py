"""Object-level access, walked along the published schema: every reference in every body, every filter that takes an id, of every route.

Beside the project of the person who asks there is another with one of everything, brought from an archive of the first under new ids. Each
id of that is sent wherever the schema says that an id is taken. It must be refused word for word as an id that there never was, nothing may
come of it, and the person's own id at the same place must be answered otherwise, or the trial would prove nothing.
"""

import hashlib
import io
import json
import re
import uuid
from collections.abc import Iterator
from typing import Any

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.db import models
from django.test import Client

from surveys import jobs, records, saved_views
from surveys.models import Project, Upload
from surveys.work import archiving
from tests.surveys.api.conftest import ROOT, Api
from tests.surveys.api.test_nothing_leaks import tried
from tests.surveys.api.test_roles import BODIES, TABLE, routes, version, world  # noqa: F401 - a fixture
from tests.surveys.archives.conftest import quiet
from tests.surveys.pictures import made

EXAMPLE = uuid.UUID("6f9619ff-8b86-4d01-b42d-00cf4fc964ff")
UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")


def rows_of(project: Project) -> Iterator[tuple[str, Any]]:
    """(kind, id) of every row of a project that has a UUID."""
    for model in apps.get_app_config("surveys").get_models():
        of_a_project = any(one.name == "project" for one in model._meta.fields)
        if isinstance(model._meta.pk, models.UUIDField) and of_a_project:
            for pk in model._default_manager.filter(project=project).order_by("pk").values_list("pk", flat=True):
                yield str(model._meta.model_name), pk


@pytest.fixture
def mill(cast, project, world):  # noqa: F811
    """Another project with one of everything, of which the person who asks knows nothing: {kind: an id in it}."""
    # The pictures of that world are none; an archive brings only what is one.
    picture = made.png()
    for upload in Upload.objects.filter(project=project, attachments__isnull=False):
        with default_storage.open(upload.file.name, "wb") as kept:
            kept.write(picture)
        Upload.objects.filter(pk=upload.pk).update(size=len(picture), sha256=hashlib.sha256(picture).hexdigest())
    with archiving.archive(cast.coordinator, project, quiet, outputs=True) as (stream, _):
        stream.seek(0)
        kept = stream.read()
    other = records.create_project(cast.stranger, {"code": "MILL", "name": "The mill"})
    archiving.bring(cast.stranger, other, "archive.zip", io.BytesIO(kept), quiet)
    jobs.ask(cast.stranger, other, "date", {})
    jobs.upload(cast.stranger, other, "a.xlsx", b"x")
    saved_views.make(cast.stranger, other, "layers", "x", {})
    records.invite(cast.stranger, other, {"name": "Gast", "role": "owner", "discipline": "ownership"})
    found = dict(rows_of(other))
    assert {kind for kind, _ in rows_of(project)} - set(found) <= {"sending"}
    return found


@pytest.fixture(scope="module")
def published() -> dict[str, Any]:
    return json.loads(Client().get(f"{ROOT}/schema?format=json", headers={"host": "localhost"}).content)


def leaves(published: dict[str, Any], schema: dict[str, Any], path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Where in a body ids stand; '0' is the first of a list."""
    if "$ref" in schema:
        schema = published["components"]["schemas"][schema["$ref"].split("/")[-1]]
    if schema.get("format") == "uuid":
        yield path
    for part in [*schema.get("oneOf", []), *schema.get("anyOf", []), *schema.get("allOf", [])]:
        yield from leaves(published, part, path)
    for name, part in schema.get("properties", {}).items():
        yield from leaves(published, part, (*path, name))
    if "items" in schema:
        yield from leaves(published, schema["items"], (*path, "0"))


def operations(published: dict[str, Any]) -> Iterator[tuple[str, str, str, dict[str, Any]]]:
    """(name of the route, method, address with its places, operation) of everything below a project."""
    names = {}
    for name, method, path, _ in routes():
        place = re.sub(r"<\w+:(\w+)>", r"{\1}", path)
        names[place.rstrip("/"), method] = name
    for place, told in published["paths"].items():
        if "{code}" in place:
            for method, operation in told.items():
                yield names[place.removeprefix(f"{ROOT}/").rstrip("/"), method.upper()], method.upper(), place, operation


def put(body: Any, path: tuple[str, ...], value: Any) -> Any:
    """A copy of a body with a value at a place, which is made where it is missing."""
    if not path:
        return value
    if path[0] == "0":
        rest = list(body) if isinstance(body, list) and body else [{}]
        return [put(rest[0], path[1:], value), *rest[1:]]
    return {**(body or {}), path[0]: put((body or {}).get(path[0]), path[1:], value)}


def at(body: Any, path: tuple[str, ...]) -> Any:
    for step in path:
        body = body[0] if step == "0" and isinstance(body, list) and body else body.get(step) if isinstance(body, dict) else None
    return body


def bodies_of(name: str, method: str, path: tuple[str, ...], world: dict[str, Any]) -> list[Any]:  # noqa: F811
    """Bodies that are accepted as they stand, or would be with an id at that place: one for each deed by which it could be sent."""
    collection = name.removesuffix("-batch")
    if "citations" in path:
        cited = {**world["finding"], "statement": "y", "citations": [{"type": "sample", "id": str(world["samples"].pk)}]}
        return [{"operations": [{"op": "create", "values": cited}]} if name.endswith("-batch") else cited]
    if name == "question-answer":
        return [{"answer": "x", "records": [{"type": "sample", "id": str(world["samples"].pk)}]}]
    if name == "interpretations-batch" and path[-1] == "id":
        own = {"id": str(world["interpretations"].pk), "version": world["interpretations"].version}
        return [{"operations": [{"op": "remove", **own}]}]
    if name.endswith("-batch") and collection in BODIES:
        own = {"id": str(world[collection].pk), "version": world[collection].version}
        if path[-1] == "id" and len(path) == 3:
            return [{"operations": [{"op": "remove", **own}]}, {"operations": [{"op": "change", **own, "values": {}}]}]
        made = {"operations": [{"op": "create", "values": BODIES[collection](world)}]}
        return [made, {"operations": [{"op": "change", **own, "values": {path[3]: at(made, path)}}]}]
    row = TABLE[name, method]
    return [row.body(world) if row.body else {}]


def tried_kinds(name: str, mill: dict[str, Any], turn: int) -> list[str]:
    """The kind that a place means by its name, where that says one, and two others in turn."""
    kinds = sorted(mill)
    meant = [kind for kind in kinds if kind in name.replace("_", "") or name.replace("_", "").startswith(kind[:6])]
    return list(dict.fromkeys([*meant, kinds[turn % len(kinds)], kinds[(turn * 7 + 3) % len(kinds)]]))


def plain(text: str, key: Any) -> str:
    """An answer without what differs from one request to the next."""
    return re.sub(r"'X-Request-ID': '\w+'", "", text).replace(str(key), "ID")


def address(place: str, world: dict[str, Any]) -> str:  # noqa: F811
    record = world.get(place.split("{code}/")[-1].split("/")[0])
    return place.replace("{code}", "HALL").replace("{record_id}", str(getattr(record, "pk", EXAMPLE))).replace("{name}", "a.txt")


# Places at which the project of these tests has nothing that could be sent in earnest, or where one's own id is refused for another reason.
UNPROVED = {
    # Nothing is placed in the generation of this world, so that nothing can be split off.
    "generation-split",
    # What was read along the line of this world is taken over already; that one's own id counts is tried in tests/surveys/lines.
    "sample-lines-accept",
    # The last coordinator may not leave.
    "leaving",
}


def test_no_id_of_another_project_is_taken_at_any_place_of_any_body(cast, project, world, mill, published):  # noqa: F811
    client, kinds = Api(cast.coordinator), {str(pk): kind for kind, pk in rows_of(project)}
    before, wrong, unproved, many = sorted(map(str, rows_of(Project.objects.get(code="MILL")))), [], set(), 0
    for name, method, place, operation in operations(published):
        schema = operation.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema")
        for path in dict.fromkeys(leaves(published, schema)) if schema else ():
            proved = False
            for body in bodies_of(name, method, path, world):
                own = at(body, path)
                there = address(place, world)
                headers = {"If_Match": f'"{version(there, world)}"'} if TABLE[name, method].conditioned else {}

                def ask(key, body=body, path=path, there=there, method=method, headers=headers):
                    answer, text = tried_with(client, method, there, put(body, path, str(key)), headers)
                    return answer.status_code, plain(text, key)

                never = ask(uuid.uuid4())
                # Where one's own id stands in the body its kind is tried; else what the name says, and others.
                wanted = [kinds[str(own)]] if str(own) in kinds else tried_kinds(path[-1], mill, many)
                for kind in wanted:
                    told = ask(mill[kind])
                    many += 1
                    if told[0] < 400 or told[0] >= 500 or told != never:
                        wrong.append((name, method, path, kind, told, never))
                one_of_each = {kind: pk for pk, kind in kinds.items()}
                mine = [ask(own)] if own is not None else [ask(pk) for pk in one_of_each.values()]
                proved = proved or any(one[0] != never[0] or one[1] != never[1] for one in mine)
            if not proved:
                unproved.add((name, method, path))
    assert wrong == []
    assert sorted(f"{name} {method} {'/'.join(path)}" for name, method, path in unproved if name not in UNPROVED) == []
    assert many >= 200
    assert sorted(map(str, rows_of(Project.objects.get(code="MILL")))) == before


def tried_with(client, method, there, body, headers):
    """What is answered to a request with these headers, without anything being done."""
    from django.db import transaction

    from tests.surveys.api.test_nothing_leaks import read
    from tests.surveys.api.test_roles import Undo

    try:
        with transaction.atomic():
            answer = client.send(method, there, body, **headers)
            text = read(answer)
            raise Undo
    except Undo:
        return answer, text


def takes_an_id(parameter: dict[str, Any]) -> bool:
    told = parameter["schema"]
    return parameter["in"] == "query" and (told.get("format") == "uuid" or "The id of" in told.get("description", ""))


def test_every_filter_by_an_id_of_another_project_answers_as_by_one_that_there_never_was(cast, project, world, mill, published):  # noqa: F811
    client, wrong, many = Api(cast.coordinator), [], 0
    for _, method, place, operation in operations(published):
        for parameter in operation.get("parameters", []):
            if method != "GET" or not takes_an_id(parameter):
                continue
            for kind in tried_kinds(parameter["name"].removesuffix("__in"), mill, many):
                pk, key = mill[kind], uuid.uuid4()
                here = f"{address(place, world)}?{parameter['name']}="
                told = [plain(tried(client, "GET", f"{here}{one}", None)[1], one) for one in (pk, key)]
                many += 1
                if told[0] != told[1]:
                    wrong.append((place, parameter["name"], kind, told))
    assert wrong == []
    assert many >= 150


def test_every_id_of_another_project_in_every_address_is_answered_as_one_that_there_never_was(cast, project, world, mill, published):  # noqa: F811
    client, wrong, many = Api(cast.coordinator), [], 0
    for name, method, place, _ in operations(published):
        if "{record_id}" not in place:
            continue
        row = TABLE[name, method]
        body = row.body(world) if row.body else ({} if method != "GET" else None)
        body = body if isinstance(body, dict | None) else {}
        never = uuid.uuid4()

        def ask(key, method=method, place=place, body=body, query=row.query):
            there = place.replace("{code}", "HALL").replace("{record_id}", str(key)).replace("{name}", "a.txt") + query
            answer, text = tried_with(client, method, there, body, {"If_Match": '"1"'} if method != "GET" else {})
            return answer.status_code, plain(text, key)

        expected = ask(never)
        if not 400 <= expected[0] < 500:
            wrong.append((name, method, "one that never was", expected))
        for kind in tried_kinds(place.split("{code}/")[1].split("/")[0], mill, many):
            many += 1
            told = ask(mill[kind])
            if told != expected:
                wrong.append((name, method, kind, told, expected))
    assert wrong == []
    assert many >= 200

"""Single records over the interface: made, read, changed, removed, and what is refused."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from surveys import records
from surveys.models import Change, Evidence, Generation, Layer, Phase, Ruling, Sample, Space
from tests.surveys.api.conftest import BASE, problem


@pytest.fixture
def other(cast):
    """A project of somebody else, with a record of each kind that others can name."""
    theirs = records.create_project(cast.stranger, {"code": "OTHER", "name": "Other"})
    make = lambda model, **values: records.create(cast.stranger, theirs, model, values)  # noqa: E731
    space = make(Space, number="1")
    from surveys.models import Element

    element = make(Element, code="E", space=space.pk, element_class="wall")
    sample = make(Sample, number="S", element=element.pk)
    layer = make(Layer, sample=sample.pk, kind="paint")
    return {
        "space": space.pk,
        "element": element.pk,
        "sample": sample.pk,
        "layer": layer.pk,
        "first_layer": layer.pk,
        "second_layer": layer.pk,
        "generation": make(Generation, space=space.pk).pk,
        "phase": make(Phase).pk,
    }


def layer_of(paint):
    return paint.layers["101-1"][1]


def test_a_record_names_others_by_id_and_shows_their_human_names(api, paint):
    layer = layer_of(paint)
    told = api("conservator").get(f"layers/{layer.pk}").json()
    shown = {
        name: told[name] for name in ("id", "name", "sample", "sample_number", "element_code", "space_number", "created_by", "version")
    }
    assert shown == {
        "id": str(layer.pk),
        "name": "101-1/2",
        "sample": str(paint.first.pk),
        "sample_number": "101-1",
        "element_code": "101-BB",
        "space_number": "101",
        "created_by": "Connie Vator",
        "version": 1,
    }


def test_a_record_made_is_answered_with_its_address_and_tag(api, project):
    answer = api("conservator").post("spaces/", {"number": "202", "kind": "room"})
    assert answer.status_code == 201
    told = answer.json()
    assert answer.headers["Location"] == f"{BASE}/spaces/{told['id']}"
    assert answer.headers["ETag"].startswith('"1-')
    assert api("owner").get(answer.headers["Location"]).json() == told


def test_owner_cannot_make_a_space_that_a_consultant_can(api, project):
    assert "owner" in problem(api("owner").post("spaces/", {"number": "202"}), 403)["detail"]
    assert api("historian").post("spaces/", {"number": "202"}).status_code == 201


def test_a_reader_who_has_the_present_record_is_told_so_without_it(api, paint):
    path = f"layers/{layer_of(paint).pk}"
    tag = api("owner").get(path).headers["ETag"]
    again = api("owner").get(path, If_None_Match=tag)
    assert (again.status_code, again.content, again.headers["ETag"]) == (304, b"", tag)


def test_a_reader_is_given_the_record_again_when_a_name_shown_beside_it_changed(api, paint):
    path = f"layers/{layer_of(paint).pk}"
    tag = api("owner").get(path).headers["ETag"]
    api("conservator").patch(f"elements/{paint.baseboard.pk}", {"code": "101-SK"}, If_Match='"1"')
    again = api("owner").get(path, If_None_Match=tag)
    assert (again.status_code, again.json()["element_code"]) == (200, "101-SK")


@pytest.mark.parametrize("method", ["PATCH", "PUT", "DELETE"])
def test_a_change_without_the_version_is_refused_and_with_it_done(api, paint, method):
    path, body = f"spaces/{paint.space.pk}", {"number": "101", "name": "Back room"}
    send = lambda **headers: api("conservator").send(method, path, None if method == "DELETE" else body, **headers)  # noqa: E731
    assert "If-Match" in problem(send(), 428)["detail"]
    assert "names no version" in problem(send(If_Match="*"), 428)["detail"]
    problem(send(If_Match="seven"), 400)
    problem(send(If_Match='W/"1"'), 400)
    assert Space.objects.get().version == 1
    assert send(If_Match='"1"').status_code in (200, 204)


@pytest.mark.parametrize("method", ["PATCH", "PUT", "DELETE"])
def test_who_comes_too_late_is_told_with_the_record_as_it_stands(api, paint, method):
    layer = layer_of(paint)
    path = f"layers/{layer.pk}"
    tag = api("historian").get(path).headers["ETag"]
    changed = api("conservator").patch(path, {"colour": "sage"}, If_Match=tag)
    assert changed.status_code == 200
    body = None if method == "DELETE" else {"sample": str(paint.first.pk), "kind": "paint", "colour": "olive"}
    told = problem(api("historian").send(method, path, body, If_Match=tag), 412)
    assert told["current"] == changed.json()
    assert Layer.objects.get(pk=layer.pk).colour == "sage"


def test_put_clears_what_is_not_sent_and_patch_does_not(api, paint):
    path = f"spaces/{paint.space.pk}"
    patched = api("conservator").patch(path, {"notes": "warm"}, If_Match='"1"')
    assert (patched.json()["name"], patched.json()["kind"]) == ("Front room", "room")
    put = api("conservator").put(path, {"number": "101"}, If_Match=patched.headers["ETag"])
    assert (put.json()["number"], put.json()["name"], put.json()["kind"], put.json()["notes"]) == ("101", "", "", "")


def test_put_without_what_a_record_needs_is_refused(api, paint):
    told = problem(api("conservator").put(f"spaces/{paint.space.pk}", {"name": "x"}, If_Match='"1"'), 422)
    assert told["errors"] == [{"pointer": "/number", "code": "required", "detail": "This is needed."}]


def test_a_layer_put_back_as_it_was_read_stays_as_it_was(api, cast, project, paint):
    generation = records.create(cast.conservator, project, Generation, {"space": paint.space.pk})
    layer = layer_of(paint)
    Layer.objects.filter(pk=layer.pk).update(generation=generation, placed_by="computed", confidence=0.8)
    answer = api("conservator").get(f"layers/{layer.pk}")
    writable = ("sample", "position", "kind", "colour", "munsell", "generation")
    body = {name: answer.json()[name] for name in writable}
    put = api("conservator").put(f"layers/{layer.pk}", body, If_Match=answer.headers["ETag"])
    assert put.status_code == 200
    assert (put.json()["version"], put.json()["placed_by"]) == (1, "computed")
    assert not Ruling.objects.exists()


def test_a_removed_record_is_gone_and_its_history_says_by_whom(api, cast, paint):
    path = f"spaces/{paint.space.pk}"
    answer = api("conservator").delete(path, If_Match='"1"')
    assert (answer.status_code, answer.content) == (204, b"")
    problem(api("conservator").get(path), 404)
    line = Change.objects.get(record_id=paint.space.pk, action="removed")
    assert line.actor == cast.conservator


def test_what_others_cite_is_not_removed(api, cast, project, paint):
    records.create(
        cast.historian,
        project,
        Evidence,
        {"reference": "D1", "statement": "x", "bears_on": "space", "space": paint.space.pk},
    )
    assert problem(api("conservator").delete(f"spaces/{paint.space.pk}", If_Match='"1"'), 409)["code"] == "cited"


@pytest.mark.parametrize(
    ("collection", "values"),
    [
        ("spaces", {"number": "9", "nmae": "x"}),
        ("spaces", {"number": "9", "layer_count": 3}),
        ("layers", {"kind": "paint", "confidence": 1}),
        ("evidence", {"reference": "x", "statement": "y", "created_by": "me"}),
    ],
)
def test_a_field_that_cannot_be_set_is_refused_by_name(api, paint, collection, values):
    name = list(values)[-1]
    told = problem(api("conservator").post(f"{collection}/", values), 400)
    assert [place["pointer"] for place in told["errors"]] == [f"/{name}"]
    assert name in told["detail"]


@pytest.mark.parametrize(
    ("values", "pointer", "code"),
    [
        ({"munsell": "11YR 7/4"}, "/munsell", "impossible-munsell"),
        ({"kind": "primmer"}, "/kind", "unknown-word"),
        ({"thickness_um": "thick"}, "/thickness_um", "type"),
        ({"thickness_um": "12"}, "/thickness_um", "type"),
        ({"thickness_um": True}, "/thickness_um", "type"),
        ({"thickness_um": -1}, "/thickness_um", "out-of-range"),
        ({"position": 9}, "/position", "hole"),
        ({"position": 1.5}, "/position", "type"),
        ({"sample": "K-014"}, "/sample", "type"),
        ({"sample": None}, "/sample", "required"),
        ({"colour": 7}, "/colour", "type"),
        ({"colour": "x" * 121}, "/colour", "too-long"),
        ({"colour": "a\u0000b"}, "/colour", "invalid"),
        ({"lab_l": 50}, "/lab_l", "incomplete-lab"),
    ],
)
def test_a_value_that_cannot_be_is_told_of_its_field(api, paint, values, pointer, code):
    body = {"sample": str(paint.first.pk), "kind": "paint", **values}
    told = problem(api("conservator").post("layers/", body), 422)
    assert (told["errors"][0]["pointer"], told["errors"][0]["code"]) == (pointer, code)
    assert told["errors"][0]["detail"].endswith((".", "?"))
    assert Layer.objects.count() == 6


def test_faults_of_type_and_of_content_are_told_together(api, paint):
    body = {"sample": str(paint.first.pk), "kind": "paint", "thickness_um": "thick", "munsell": "11YR 7/4"}
    told = problem(api("conservator").post("layers/", body), 422)
    assert {place["pointer"] for place in told["errors"]} == {"/thickness_um", "/munsell"}


REFERENCES = [
    ("elements", {"code": "X", "element_class": "wall"}, "space"),
    ("samples", {"number": "X"}, "element"),
    ("layers", {"kind": "paint"}, "sample"),
    ("layers", {"kind": "paint", "sample": "mine"}, "generation"),
    ("rulings", {"kind": "tie", "second_layer": "my-second"}, "first_layer"),
    ("rulings", {"kind": "tie", "first_layer": "my-first"}, "second_layer"),
    ("rulings", {"kind": "hold", "first_layer": "my-first"}, "generation"),
    ("generations", {}, "space"),
    ("generations", {"space": "my-space"}, "phase"),
    ("evidence", {"reference": "X", "statement": "x", "bears_on": "phase"}, "phase"),
    ("evidence", {"reference": "X", "statement": "x", "bears_on": "space"}, "space"),
    ("evidence", {"reference": "X", "statement": "x", "bears_on": "element"}, "element"),
    ("evidence", {"reference": "X", "statement": "x", "bears_on": "generation"}, "generation"),
]


@pytest.mark.parametrize(("collection", "values", "field"), REFERENCES)
def test_a_record_of_another_project_cannot_be_named(api, cast, project, paint, other, collection, values, field):
    first, second = (paint.layers[number][0] for number in ("101-1", "101-2"))
    mine = {"mine": paint.first.pk, "my-space": paint.space.pk, "my-first": first.pk, "my-second": second.pk}
    own = {
        "space": paint.space.pk,
        "element": paint.baseboard.pk,
        "sample": paint.first.pk,
        "first_layer": first.pk,
        "second_layer": second.pk,
        "generation": records.create(cast.conservator, project, Generation, {"space": paint.space.pk}).pk,
        "phase": records.create(cast.conservator, project, Phase, {}).pk,
    }
    body = {name: str(mine.get(value, value)) for name, value in values.items()}
    told = problem(api("conservator").post(f"{collection}/", {**body, field: str(other[field])}), 422)
    assert [(place["pointer"], place["code"]) for place in told["errors"]] == [(f"/{field}", "not-found")]
    assert api("conservator").post(f"{collection}/", {**body, field: str(own[field])}).status_code == 201


def test_every_reference_that_can_be_written_is_in_the_test_above():
    from surveys import rules
    from surveys.api.collections import RECORDS

    written = {
        (collection.name, field.name)
        for collection in RECORDS
        for field in collection.model._meta.concrete_fields
        if field.is_relation and field.name in rules.WRITABLE[collection.model]
    }
    assert written == {(collection, field) for collection, _, field in REFERENCES}


def test_a_record_of_another_project_is_not_found_at_an_address_of_this_one(api, cast, project, paint, other):
    for name in ("spaces", "elements", "samples", "layers", "generations", "phases"):
        record = other[name.removesuffix("s")]
        problem(api("conservator").get(f"{name}/{record}"), 404)
        body = {"label": "x"} if name in ("generations", "phases") else {"notes": "x"}
        problem(api("conservator").patch(f"{name}/{record}", body, If_Match='"1"'), 404)
        problem(api("conservator").delete(f"{name}/{record}", If_Match='"1"'), 404)
    assert api("stranger").get(f"/api/v1/projects/OTHER/spaces/{other['space']}").status_code == 200
    problem(api("conservator").get(f"/api/v1/projects/OTHER/spaces/{other['space']}"), 404)


HOSTILE = "<script>alert(1)</script>\"'&;=cmd|' /C calc'!A1 \u202e \u2028 {{7*7}} ../../etc/passwd"


def test_hostile_text_is_given_back_as_json_and_nothing_else(api, project):
    answer = api("conservator").post("spaces/", {"number": "9", "name": HOSTILE})
    assert answer.status_code == 201
    again = api("owner").get("spaces/", Accept="text/html")
    assert again.headers["Content-Type"] == "application/json"
    assert again.headers["X-Content-Type-Options"] == "nosniff"
    assert "script" not in again.headers["Content-Security-Policy"].replace("default-src 'self'", "")
    assert again.json()["results"][0]["name"] == HOSTILE
    refused = problem(api("conservator").post("spaces/", {"number": "10", "kind": HOSTILE[:30]}), 422)
    assert HOSTILE[:30] in refused["detail"]


def test_both_forms_of_an_address_answer(api, paint):
    for path in ("spaces", "spaces/", f"spaces/{paint.space.pk}", f"spaces/{paint.space.pk}/"):
        assert api("owner").get(path).status_code == 200
    assert api("conservator").post("spaces", {"number": "301"}).status_code == 201
    assert api("conservator").post("spaces/", {"number": "302"}).status_code == 201


def test_of_four_at_once_one_changes_a_version_and_one_makes_what_a_key_names_once(tmp_path):
    """In a process of its own, on a database file: the tests' own database lies in memory and has one connection."""
    root = Path(__file__).parents[3]
    there = {**os.environ, "UNDERCOAT_DATA": str(tmp_path), "DATABASE_URL": f"sqlite:///{tmp_path}/race.sqlite3", "PYTHONPATH": str(root)}
    done = subprocess.run([sys.executable, str(Path(__file__).parent / "race.py")], env=there, capture_output=True, text=True, timeout=60)
    assert done.stdout.splitlines() == [
        "200 412 412 412 version 2",
        "201 201 201 201 replayed 3 same True spaces 2",
    ], done.stderr[-2000:]


def test_of_those_who_changed_the_same_version_one_after_the_other_the_first_wins(api, paint):
    path = f"spaces/{paint.space.pk}"
    answers = [api("conservator").patch(path, {"name": f"name {number}"}, If_Match='"1"') for number in range(4)]
    assert [answer.status_code for answer in answers] == [200, 412, 412, 412]
    assert Space.objects.get().name == "name 0"

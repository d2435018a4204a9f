"""Many at once: all or nothing, in order, each row told of."""

import pytest

from surveys import records
from surveys.models import Change, Layer, Sample, Space
from tests.surveys.api.conftest import problem


def test_rows_are_made_changed_and_removed_and_told_in_their_order(api, paint):
    first, second, third = paint.layers["101-1"]
    rows = [
        {"op": "change", "id": str(third.pk), "version": 1, "values": {"colour": "ivory"}},
        {"op": "create", "values": {"sample": str(paint.second.pk), "kind": "varnish"}},
        {"op": "remove", "id": str(first.pk), "version": 1},
        {"op": "change", "id": str(second.pk), "version": 1, "values": {"colour": "sage"}},
    ]
    answer = api("conservator").post("layers/batch", {"operations": rows})
    assert answer.status_code == 200
    told = answer.json()["outcomes"]
    assert [one["op"] for one in told] == [row["op"] for row in rows]
    assert [one["id"] for one in told[::2]] == [str(third.pk), str(first.pk)]
    assert [one["record"] and one["record"]["name"] for one in told] == ["101-1/2", "101-2/4", None, "101-1/1"]
    for one in told:
        if one["record"]:
            fetched = api("owner").get(f"layers/{one['id']}").json()
            assert (one["record"], one["version"]) == (fetched, fetched["version"])
    assert Change.objects.filter(record_type="layer", action__in=["changed", "removed"]).values("act").distinct().count() == 1


def test_one_fault_and_nothing_is_done(api, paint):
    before = list(Layer.objects.values_list("pk", "colour", "version"))
    good = {"op": "change", "id": str(paint.layers["101-1"][0].pk), "version": 1, "values": {"colour": "blue"}}
    bad = {"op": "change", "id": str(paint.layers["101-1"][1].pk), "version": 1, "values": {"munsell": "11YR 7/4", "thickness_um": "x"}}
    told = problem(
        api("conservator").post(
            "layers/batch", {"operations": [good, bad, {**good, "id": str(paint.layers["101-2"][0].pk), "values": {"kind": "nope"}}]}
        ),
        422,
    )
    assert {(place["pointer"], place["code"]) for place in told["errors"]} == {
        ("/operations/1/values/thickness_um", "type"),
        ("/operations/1/values/munsell", "impossible-munsell"),
        ("/operations/2/values/kind", "unknown-word"),
    }
    assert list(Layer.objects.values_list("pk", "colour", "version")) == before
    assert api("conservator").post("layers/batch", {"operations": [good]}).status_code == 200


def test_a_stale_row_is_named_with_the_record_as_it_stands(api, cast, project, paint):
    layer = paint.layers["101-1"][1]
    records.change(cast.historian, project, Layer, layer.pk, 1, {"colour": "sage"})
    rows = [
        {"op": "create", "values": {"sample": str(paint.second.pk), "kind": "varnish"}},
        {"op": "change", "id": str(layer.pk), "version": 1, "values": {"colour": "olive"}},
    ]
    told = problem(api("conservator").post("layers/batch", {"operations": rows}), 412)
    assert [place["pointer"] for place in told["errors"]] == ["/operations/1"]
    assert (told["current"]["colour"], told["current"]["version"]) == ("sage", 2)
    assert Layer.objects.count() == 6


def test_a_row_of_another_project_is_not_found(api, cast, paint):
    other = records.create_project(cast.stranger, {"code": "OTHER", "name": "Other"})
    space = records.create(cast.stranger, other, Space, {"number": "1"})
    row = {"op": "remove", "id": str(space.pk), "version": 1}
    told = problem(api("conservator").post("spaces/batch", {"operations": [row]}), 404)
    assert told["errors"][0]["pointer"] == "/operations/0"
    assert Space.objects.filter(pk=space.pk).exists()


def test_an_owner_cannot_send_a_batch_that_a_consultant_can(api, project):
    rows = {"operations": [{"op": "create", "values": {"number": "1"}}]}
    problem(api("owner").post("spaces/batch", rows), 403)
    assert api("conservator").post("spaces/batch", rows).status_code == 200


@pytest.mark.parametrize(
    ("body", "status", "pointer"),
    [
        ({}, 422, "/operations"),
        ({"operations": []}, 422, "/operations"),
        ({"operations": {}}, 422, "/operations"),
        ([], 422, ""),
        ({"operations": [], "extra": 1}, 400, "/extra"),
        ({"operations": [7]}, 422, "/operations/0"),
        ({"operations": [{"op": "move"}]}, 422, "/operations/0"),
        ({"operations": [{"op": ["create"]}]}, 422, "/operations/0"),
        ({"operations": [{"op": "create"}]}, 422, "/operations/0"),
        ({"operations": [{"op": "create", "values": []}]}, 422, "/operations/0"),
        ({"operations": [{"op": "create", "values": {"number": "1"}, "id": "x"}]}, 400, "/operations/0/id"),
        ({"operations": [{"op": "create", "values": {"nmber": "1"}}]}, 400, "/operations/0/values/nmber"),
        ({"operations": [{"op": "create", "values": {"a/b~c": "1"}}]}, 400, "/operations/0/values/a~1b~0c"),
        ({"operations": [{"op": "change", "id": "x", "version": 1, "values": {}}]}, 422, "/operations/0"),
        ({"operations": [{"op": "remove", "id": "6f9619ff-8b86-4d01-b42d-00cf4fc964ff", "version": "1"}]}, 422, "/operations/0"),
        ({"operations": [{"op": "remove", "id": "6f9619ff-8b86-4d01-b42d-00cf4fc964ff"}]}, 422, "/operations/0"),
    ],
)
def test_a_batch_that_is_none_is_refused_where_it_is_wrong(api, project, body, status, pointer):
    told = problem(api("conservator").post("spaces/batch", body), status)
    assert told["errors"][0]["pointer"] == pointer


def test_more_rows_than_a_batch_holds_are_refused_with_the_limit(api, project):
    rows = [{"op": "create", "values": {"number": str(number)}} for number in range(5_001)]
    assert "5,000" in problem(api("conservator").post("spaces/batch", {"operations": rows}), 413)["detail"]
    assert Space.objects.count() == 0


def test_a_record_stands_in_a_batch_once(api, paint):
    row = {"op": "change", "id": str(paint.space.pk), "version": 1, "values": {"name": "x"}}
    problem(api("conservator").post("spaces/batch", {"operations": [row, row]}), 422)


def test_a_number_taken_within_a_batch_undoes_all_of_it(api, paint):
    rows = [{"op": "create", "values": {"number": number, "element": str(paint.door.pk)}} for number in ("A", "B", "A")]
    assert problem(api("conservator").post("samples/batch", {"operations": rows}), 409)["code"] == "taken"
    assert Sample.objects.count() == 2

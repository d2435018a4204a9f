"""The changes feed, and bringing back what was removed."""

import uuid

import pytest

from surveys import records
from surveys.models import Layer, Space
from tests.surveys.api.conftest import problem


def follow(api, after=0, limit=3):
    """All changes after a cursor, page by page, and where it ends."""
    found = []
    while True:
        told = api("owner").get(f"changes/?after={after}&limit={limit}").json()
        found += told["changes"]
        after = told["cursor"]
        if not told["more"]:
            return found, after


def test_the_feed_is_whole_in_order_and_goes_on_from_its_cursor(api, cast, project, paint):
    found, cursor = follow(api)
    assert [one["sequence"] for one in found] == list(range(1, len(found) + 1))
    assert cursor == len(found) == api("owner").get("/api/v1/projects/HALL").json()["cursor"]
    assert follow(api, cursor) == ([], cursor)
    layer = paint.layers["101-1"][1]
    records.change(cast.historian, project, Layer, layer.pk, 1, {"colour": "sage"})
    (line,), further = follow(api, cursor)
    told = {name: line[name] for name in ("sequence", "actor", "action", "record_type", "record_id", "record_name", "version", "fields")}
    assert told == {
        "sequence": cursor + 1,
        "actor": "Hester Orian",
        "action": "changed",
        "record_type": "layer",
        "record_id": str(layer.pk),
        "record_name": "101-1/2",
        "version": 2,
        "fields": {"colour": ["green", "sage"]},
    }
    assert further == cursor + 1


def test_the_feed_of_one_record_is_its_history(api, cast, project, paint):
    layer = paint.layers["101-1"][1]
    records.change(cast.historian, project, Layer, layer.pk, 1, {"colour": "sage"})
    told = api("owner").get(f"changes/?record_id={layer.pk}").json()
    assert [one["action"] for one in told["changes"]] == ["created", "changed"]
    assert told["cursor"] == api("owner").get("changes/?limit=1000").json()["cursor"]


@pytest.mark.parametrize("query", ["after=-1", "after=x", "after=99999999999999999999", "limit=0", "limit=1001", "record_id=7", "since=1"])
def test_a_feed_that_cannot_be_is_refused(api, project, query):
    problem(api("owner").get(f"changes/?{query}"), 400)


def test_a_cursor_beyond_the_last_change_stays_where_it_is(api, project):
    assert api("owner").get("changes/?after=9000").json() == {"changes": [], "cursor": 9000, "more": False}


def test_what_was_removed_is_brought_back_by_a_coordinator_only(api, paint):
    path = f"spaces/{paint.space.pk}"
    before = api("owner").get(path).json()
    assert api("conservator").delete(path, If_Match='"1"').status_code == 204
    act = follow(api)[0][-1]["act"]
    problem(api("conservator").post("restorations/", {"act": act}), 403)
    problem(api("stranger").post("restorations/", {"act": act}), 404)
    answer = api("coordinator").post("restorations/", {"act": act})
    assert answer.status_code == 200
    told = answer.json()["restored"]
    assert (told[0]["type"], told[0]["collection"], told[0]["id"]) == ("space", "spaces", str(paint.space.pk))
    assert len(told) == 1 + 2 + 2 + 6
    after = api("owner").get(path).json()
    assert {**after, "version": 0} == {**before, "version": 0, "created_at": after["created_at"]}
    problem(api("coordinator").post("restorations/", {"act": act}), 409)


def test_an_act_that_removed_nothing_is_not_found(api, project):
    problem(api("coordinator").post("restorations/", {"act": str(uuid.uuid4())}), 404)
    problem(api("coordinator").post("restorations/", {"act": "yesterday"}), 422)
    assert Space.objects.count() == 0

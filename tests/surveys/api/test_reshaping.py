"""Joining and splitting generations, and asking what rulings would change, through the interface."""

import pytest

from surveys.models import Generation, Ruling
from tests.surveys.api.conftest import problem
from tests.surveys.test_computed import store


@pytest.fixture
def rows(cast, project, paint):
    store(cast, project, paint, (1, 2, 3), 3)
    return list(Generation.objects.filter(space=paint.space).order_by("ordinal"))


def joining(keep, gone):
    return f"generations/{keep.pk}/join", {"version": keep.version, "other": str(gone.pk), "other_version": gone.version}


def test_a_join_answers_the_kept_generation(api, rows):
    answer = api("conservator").post(*joining(rows[1], rows[2]))
    assert answer.status_code == 200
    (told,) = answer.json()["generations"]
    assert (told["id"], told["ordinal"], told["layer_count"]) == (str(rows[1].pk), 2, 4)
    assert told == api("owner").get(f"generations/{rows[1].pk}").json()
    assert api("owner").get(f"generations/{rows[2].pk}").status_code == 404


def test_a_join_on_an_old_version_is_answered_with_the_record_as_it_stands(api, rows):
    path, body = joining(rows[1], rows[2])
    api("historian").patch(f"generations/{rows[2].pk}", {"label": "cream"}, If_Match=f'"{rows[2].version}"')
    told = problem(api("conservator").post(path, body), 412)
    assert (told["current"]["id"], told["current"]["label"]) == (str(rows[2].pk), "cream")
    assert Generation.objects.count() == 3


def test_a_join_that_breaks_a_ruling_is_refused_with_its_chain(api, rows, paint):
    first, second = paint.layers["101-1"][1], paint.layers["101-2"][2]
    api("historian").post("rulings/", {"kind": "bar", "first_layer": str(first.pk), "second_layer": str(second.pk), "reason": "soiled"})
    told = problem(api("conservator").post(*joining(rows[1], rows[2])), 409)
    assert (told["code"], len(told["errors"]) >= 3) == ("contradiction", True)


def test_a_join_with_a_key_is_done_once(api, rows):
    first = api("conservator").post(*joining(rows[1], rows[2]), Idempotency_Key="one")
    again = api("conservator").post(*joining(rows[1], rows[2]), Idempotency_Key="one")
    assert (again.status_code, again.json()) == (200, first.json())
    assert again.headers["Idempotency-Replayed"] == "true"


def test_a_split_answers_both_generations(api, rows, paint):
    chosen = str(paint.layers["101-1"][1].pk)
    body = {"version": rows[1].version, "layers": [chosen], "place": "below"}
    answer = api("conservator").post(f"generations/{rows[1].pk}/split", body)
    assert answer.status_code == 200, answer.content
    old, new = answer.json()["generations"]
    assert (old["id"], old["ordinal"], new["ordinal"]) == (str(rows[1].pk), 3, 2)
    assert Ruling.objects.filter(kind="hold").count() == 2


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({"layers": []}, 422),
        ({"version": 1}, 422),
        ({"version": 1, "layers": ["x"]}, 422),
        ({"version": 1, "layers": "x"}, 422),
        ({"version": 1, "layers": [], "place": "beside"}, 422),
        ({"version": 1, "layers": [], "also": 1}, 400),
        ({"version": 9, "layers": []}, 412),
        ([], 422),
    ],
)
def test_what_is_no_split_is_refused(api, rows, body, status):
    problem(api("conservator").post(f"generations/{rows[1].pk}/split", body), status)


def test_a_preview_is_a_job_for_those_who_may_rule(api, project, rows):
    body = {"kind": "preview", "params": {"space": "101", "rulings": [{"kind": "tie", "first": "101-1/1", "second": "101-2/1"}]}}
    assert api("conservator").post("jobs/", body).status_code == 202
    problem(api("owner").post("jobs/", body), 403)
    told = problem(api("conservator").post("jobs/", {"kind": "preview", "params": {"space": "101", "rulings": []}}), 422)
    assert "1 to 500" in told["detail"]
    problem(api("conservator").post("jobs/", {"kind": "preview", "params": {"space": "101", "rulings": None}}), 422)

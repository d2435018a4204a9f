"""Named views: a person's own, kept whole, and seen by nobody else."""

import pytest

from surveys import records
from surveys.models import Change, Membership, SavedView
from tests.surveys.api.conftest import problem, rows

LOOK = {
    "search": "edge",
    "filters": {"kind": "=paint|primer"},
    "sort": [{"name": "munsell", "down": True}],
    "groups": ["space_number"],
    "hidden": ["notes"],
    "order": ["name", "kind"],
    "frozen": 2,
}


def make(api, who="conservator", **more):
    answer = api(who).post("views/", {"register": "layers", "name": "By colour", "arrangement": LOOK, **more})
    assert answer.status_code == 201, answer.content
    return answer


def test_a_view_is_kept_as_it_was_and_comes_back(api, project):
    answer = make(api)
    made = answer.json()
    assert (made["register"], made["name"], made["arrangement"], made["version"]) == ("layers", "By colour", LOOK, 1)
    assert answer.headers["Location"].endswith(f"/views/{made['id']}")
    assert rows(api("conservator").get("views/")) == [made]
    assert api("conservator").get(f"views/{made['id']}").json() == made


def test_views_are_listed_by_register_and_name_and_narrowed_to_one(api, project):
    for register, name in (("samples", "b"), ("samples", "a"), ("layers", "c")):
        make(api, register=register, name=name)
    assert [view["name"] for view in rows(api("conservator").get("views/"))] == ["c", "a", "b"]
    assert [view["name"] for view in rows(api("conservator").get("views/?register=samples"))] == ["a", "b"]


def test_nobody_else_sees_changes_or_forgets_a_view(api, project):
    made = make(api).json()
    for who in ("coordinator", "historian", "owner"):
        assert rows(api(who).get("views/")) == []
        problem(api(who).get(f"views/{made['id']}"), 404)
        problem(api(who).patch(f"views/{made['id']}", {"name": "x"}, If_Match='"1"'), 404)
        problem(api(who).delete(f"views/{made['id']}", If_Match='"1"'), 404)
    assert rows(api("conservator").get("views/")) == [made]


def test_two_people_may_use_one_name_and_one_person_may_not_twice(api, project):
    make(api)
    make(api, "owner")
    told = problem(api("conservator").post("views/", {"register": "layers", "name": " By colour ", "arrangement": {}}), 409)
    assert "already" in told["detail"]
    make(api, register="samples")
    other = make(api, name="Other").json()
    problem(api("conservator").patch(f"views/{other['id']}", {"name": "By colour"}, If_Match='"1"'), 409)
    assert SavedView.objects.get(pk=other["id"]).name == "Other"


def test_a_change_says_which_version_it_was_made_on(api, project):
    made = make(api).json()
    here = f"views/{made['id']}"
    problem(api("conservator").patch(here, {"name": "x"}), 428)
    changed = api("conservator").patch(here, {"arrangement": {"frozen": 0}}, If_Match='"1"')
    assert (changed.status_code, changed.json()["version"], changed.json()["arrangement"]) == (200, 2, {"frozen": 0})
    told = problem(api("conservator").patch(here, {"name": "x"}, If_Match='"1"'), 412)
    assert told["current"]["version"] == 2
    problem(api("conservator").delete(here, If_Match='"1"'), 412)
    assert api("conservator").delete(here, If_Match='"2"').status_code == 204
    assert rows(api("conservator").get("views/")) == []


@pytest.mark.parametrize(
    "arrangement",
    [
        {"colour": "red"},
        {"frozen": -1},
        {"frozen": True},
        {"frozen": 100},
        {"sort": ["number"]},
        {"sort": [{"name": "number"}]},
        {"sort": [{"name": "number", "down": "yes"}]},
        {"hidden": "notes"},
        {"groups": ["<b>"]},
        {"filters": {"part": 3}},
        {"filters": {"Part of": "x"}},
        {"search": "\x00"},
        {"order": [1]},
    ],
)
def test_what_is_no_arrangement_is_refused_and_nothing_is_kept(api, project, arrangement):
    problem(api("conservator").post("views/", {"register": "layers", "name": "x", "arrangement": arrangement}), 422)
    assert not SavedView.objects.exists()


def test_a_view_that_says_too_much_is_refused(api, project):
    arrangement = {"filters": {"part": "=" + "|".join(["x" * 50] * 400)}}
    problem(api("conservator").post("views/", {"register": "layers", "name": "x", "arrangement": arrangement}), 413)
    assert not SavedView.objects.exists()


def test_unknown_registers_fields_and_empty_names_are_refused(api, project):
    post = api("conservator").post
    whole = {"register": "layers", "name": "x", "arrangement": {}}
    problem(post("views/", {**whole, "register": "members"}), 422)
    problem(post("views/", {**whole, "name": "  "}), 422)
    problem(post("views/", {**whole, "name": "x" * 81}), 422)
    problem(post("views/", {**whole, "shared": True}), 400)
    problem(post("views/", {"register": "layers", "name": "x"}), 422)
    problem(api("conservator").get("views/?registr=layers"), 400)
    assert not SavedView.objects.exists()


def test_more_views_than_anybody_can_use_are_refused(api, cast, project):
    SavedView.objects.bulk_create(
        SavedView(person=cast.conservator, project=project, register="layers", name=f"{number}") for number in range(100)
    )
    told = problem(api("conservator").post("views/", {"register": "layers", "name": "x", "arrangement": {}}), 422)
    assert "100" in told["detail"]
    make(api, register="samples")


def test_who_leaves_the_project_sees_his_views_no_more(api, cast, project):
    made = make(api).json()
    membership = Membership.objects.get(project=project, person=cast.conservator)
    records.remove_member(cast.coordinator, project, membership.pk, membership.version)
    problem(api("conservator").get("views/"), 404)
    problem(api("conservator").get(f"views/{made['id']}"), 404)


def test_views_are_no_part_of_the_record_and_leave_no_history(api, project):
    before = Change.objects.count()
    made = make(api).json()
    api("conservator").delete(f"views/{made['id']}", If_Match='"1"')
    assert Change.objects.count() == before


def test_a_list_of_views_takes_as_many_queries_as_there_are_views_or_not(api, project, django_assert_num_queries):
    api("conservator").get("views/")
    make(api)
    with django_assert_num_queries(5):
        one = api("conservator").get("views/")
    for name in "abcde":
        make(api, name=name)
    with django_assert_num_queries(5):
        six = api("conservator").get("views/")
    assert (len(rows(one)), len(rows(six))) == (1, 6)

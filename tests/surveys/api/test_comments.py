"""Comments: threads on records and their columns, members called by name, settled and opened again; and what is refused."""

import pytest

from surveys import records
from surveys.models import Change, Comment, Element, Generation, Interpretation, Layer, Mention, Ruling, Space
from tests.surveys.api.conftest import problem, rows


def about(record, field: str = "") -> dict[str, str]:
    return {"about_type": record._meta.model_name, "about_id": str(record.pk), **({"about_field": field} if field else {})}


def say(client, record, text="It looks overpainted.", field="", **more):
    return client.post("comments/", {**about(record, field), "text": text, **more})


@pytest.fixture
def layer(paint):
    return paint.layers["101-1"][1]


@pytest.fixture
def said(api, layer):
    """A thread that the conservator began on a layer."""
    made = say(api("conservator"), layer)
    assert made.status_code == 201, made.content
    return made.json()


# -- saying ---------------------------------------------------------------------------------------------------------------------


def test_a_comment_stands_on_its_record_by_name_and_on_the_column_it_speaks_of(api, layer):
    made = say(api("owner"), layer, "Is this cream or stone?", "munsell").json()
    assert (made["about_name"], made["about_field"], made["author"], made["created_by"]) == ("101-1/2", "munsell", "owner", "Owen Nerr")
    assert (made["resolved"], made["thread"], made["edited_at"]) == (False, None, None)
    listed = rows(api("historian").get(f"comments/?about_type=layer&about_id={layer.pk}&about_field=munsell"))
    assert listed == [made]
    assert rows(api("historian").get(f"comments/?about_type=layer&about_id={layer.pk}&about_field=colour")) == []


def test_one_may_comment_on_every_kind_of_record_and_on_the_project_itself(api, cast, project, paint, said):
    make = lambda model, **values: records.create(cast.coordinator, project, model, values)  # noqa: E731
    first, second = (paint.layers[number][0] for number in ("101-1", "101-2"))
    generation = make(Generation, space=paint.space.pk)
    ruling = make(Ruling, kind="tie", first_layer=first.pk, second_layer=second.pk)
    expected = {
        "project": (project, "HALL"),
        "space": (paint.space, "101"),
        "element": (paint.door, "101-DL"),
        "sample": (paint.first, "101-1"),
        "layer": (first, "101-1/1"),
        "generation": (generation, "101/1"),
        "ruling": (ruling, str(ruling)),
    }
    for word, (record, name) in expected.items():
        made = say(api("historian"), record)
        assert made.status_code == 201, (word, made.content)
        assert made.json()["about_name"] == name


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"about_type": "person"}, "about_type"),
        ({"about_type": "comment"}, "about_type"),
        ({"about_id": "9b2f5a0e-0000-4000-8000-000000000000"}, "about_id"),
        ({"about_id": "x"}, "about_id"),
        ({"about_type": "sample"}, "about_id"),
        ({"about_field": "Not a column"}, "about_field"),
        ({"text": ""}, "text"),
        ({"text": "   "}, "text"),
        ({"text": "a\u0007b"}, "text"),
        ({"text": "x" * 20_001}, "text"),
        ({"text": None}, "text"),
        ({"thread": "9b2f5a0e-0000-4000-8000-000000000000"}, "thread"),
    ],
)
def test_a_comment_that_cannot_stand_is_refused_and_nothing_is_kept(api, layer, change, field):
    refused = problem(api("conservator").post("comments/", {**about(layer), "text": "x", **change}), 422)
    assert f"/{field}" in [one["pointer"] for one in refused["errors"]]
    assert Comment.objects.count() == 0


def test_a_comment_on_a_record_of_another_project_is_refused_as_if_there_were_none(api, cast, paint):
    other = records.create_project(cast.conservator, {"code": "OTHER", "name": "Another house"})
    space = records.create(cast.conservator, other, Space, {"number": "1"})
    told = problem(say(api("conservator"), space), 422)
    nothing = problem(
        api("conservator").post("comments/", {**about(space), "about_id": "9b2f5a0e-0000-4000-8000-000000000000", "text": "x"}), 422
    )
    assert told["errors"] == nothing["errors"]


@pytest.mark.parametrize("field", ["resolved_at", "created_by", "mentions", "about_name", "project", "sneaky"])
def test_what_follows_from_other_things_cannot_be_sent(api, layer, field):
    assert api("conservator").post("comments/", {**about(layer), "text": "x", field: "x"}).status_code == 400


def test_a_retry_with_its_key_says_it_once(api, layer):
    body = {**about(layer), "text": "Once."}
    first, again = (api("conservator").post("comments/", body, Idempotency_Key="k1") for _ in range(2))
    assert first.json() == again.json()
    assert Comment.objects.count() == 1
    assert Change.objects.filter(record_type="comment").count() == 1


# -- threads --------------------------------------------------------------------------------------------------------------------


def test_answers_hang_on_the_first_comment_of_a_thread_and_on_no_answer(api, layer, said):
    reply = say(api("historian"), layer, "So says the bill.", thread=said["id"])
    assert reply.status_code == 201
    assert [one["text"] for one in rows(api("owner").get(f"comments/?thread={said['id']}"))] == ["So says the bill."]
    refused = problem(say(api("owner"), layer, "Indeed.", thread=reply.json()["id"]), 422)
    assert refused["errors"][0]["code"] == "not-first"


def test_an_answer_stands_where_its_thread_stands(api, paint, said):
    for record, field in ((paint.layers["101-1"][0], ""), (paint.layers["101-1"][1], "colour")):
        refused = problem(say(api("historian"), record, field=field, thread=said["id"]), 422)
        assert refused["errors"][0]["code"] == "other-record"
    assert Comment.objects.count() == 1


def test_a_thread_is_resolved_and_opened_again_with_all_its_answers(api, layer, said):
    say(api("historian"), layer, "So says the bill.", thread=said["id"])
    done = api("owner").post(f"comments/{said['id']}/resolve").json()
    assert (done["resolved"], done["resolved_by"], done["version"]) == (True, "Owen Nerr", 2)
    assert [one["resolved"] for one in rows(api("owner").get("comments/"))] == [True, True]
    assert rows(api("owner").get("comments/?resolved=false")) == []
    assert len(rows(api("owner").get("comments/?resolved=true"))) == 2
    open_ = api("conservator").post(f"comments/{said['id']}/reopen").json()
    assert (open_["resolved"], open_["resolved_by"], open_["resolved_at"]) == (False, None, None)


def test_what_is_resolved_or_open_already_is_not_so_again_and_who_did_it_is_told(api, said):
    assert problem(api("owner").post(f"comments/{said['id']}/reopen"), 409)["code"] == "open"
    api("owner").post(f"comments/{said['id']}/resolve")
    assert "Owen Nerr" in problem(api("historian").post(f"comments/{said['id']}/resolve"), 409)["detail"]


def test_an_answer_does_not_resolve_its_thread(api, layer, said):
    reply = say(api("historian"), layer, thread=said["id"]).json()
    assert problem(api("historian").post(f"comments/{reply['id']}/resolve"), 422)["code"] == "not-first"


def test_open_threads_are_counted_by_record_and_column_in_one_query(api, layer, paint, said, django_assert_num_queries):
    say(api("owner"), layer, field="munsell")
    other = say(api("owner"), layer, field="munsell").json()
    say(api("owner"), layer, thread=said["id"])
    say(api("owner"), paint.space)
    api("owner").post(f"comments/{other['id']}/resolve")
    told = {
        (one["about_type"], one["about_field"]): (one["open"], one["resolved"]) for one in rows(api("historian").get("comments/threads"))
    }
    assert told == {("layer", ""): (1, 0), ("layer", "munsell"): (1, 1), ("space", ""): (1, 0)}
    assert len(rows(api("historian").get("comments/threads?about_type=layer"))) == 2
    problem(api("historian").get("comments/threads?about_type=person"), 400)
    from surveys.selectors import talk

    with django_assert_num_queries(1):
        talk.thread_counts(layer.project, "layer")


# -- changing, taking back ------------------------------------------------------------------------------------------------------


def test_one_edits_ones_own_words_and_the_history_keeps_the_former(api, said):
    changed = api("conservator").patch(f"comments/{said['id']}", {"text": "It looks scraped."}, If_Match='"1"').json()
    assert (changed["text"], changed["version"]) == ("It looks scraped.", 2)
    assert changed["edited_at"] is not None
    line = Change.objects.get(record_id=said["id"], action="changed")
    assert line.fields["text"] == ["It looks overpainted.", "It looks scraped."]


def test_words_that_stay_as_they_are_are_no_change(api, said):
    same = api("conservator").patch(f"comments/{said['id']}", {"text": said["text"]}, If_Match='"1"').json()
    assert (same["version"], same["edited_at"]) == (1, None)


@pytest.mark.parametrize("who", ["coordinator", "historian", "owner"])
def test_nobody_edits_anothers_words(api, said, who):
    told = problem(api(who).patch(f"comments/{said['id']}", {"text": "x"}, If_Match='"1"'), 403)
    assert "Connie Vator" in told["detail"]
    assert Comment.objects.get().text == said["text"]


def test_a_comment_is_not_moved_or_resolved_by_editing_it(api, said, paint):
    for body in ({"about_id": str(paint.space.pk)}, {"thread": None}, {"resolved_at": "2026-01-01T00:00:00Z"}):
        assert api("conservator").patch(f"comments/{said['id']}", body, If_Match='"1"').status_code == 400


def test_two_windows_that_edit_one_comment_the_second_is_told(api, said):
    api("conservator").patch(f"comments/{said['id']}", {"text": "a"}, If_Match='"1"')
    late = problem(api("conservator").patch(f"comments/{said['id']}", {"text": "b"}, If_Match='"1"'), 412)
    assert late["current"]["text"] == "a"
    problem(api("conservator").patch(f"comments/{said['id']}", {"text": "b"}), 428)


def test_one_takes_back_ones_own_comment_with_its_answers_and_a_coordinator_brings_all_back(api, layer, said):
    reply = say(api("historian"), layer, "Hester agrees, @owner.", thread=said["id"]).json()
    first = api("historian").get(f"comments/{said['id']}").json()
    assert api("conservator").delete(f"comments/{said['id']}", If_Match='"1"').status_code == 204
    assert rows(api("owner").get("comments/")) == []
    act = Change.objects.filter(record_id=said["id"], action="removed").get().act
    assert api("coordinator").post("restorations/", {"act": str(act)}).status_code == 200
    back = {one["id"]: one for one in rows(api("owner").get("comments/"))}
    assert set(back) == {said["id"], reply["id"]}
    assert (back[reply["id"]]["thread"], back[reply["id"]]["created_by"]) == (said["id"], "Hester Orian")
    assert back[reply["id"]]["mentions"] == [{"username": "owner", "name": "Owen Nerr"}]
    assert back[said["id"]]["created_at"] <= back[reply["id"]]["created_at"]
    assert {**back[said["id"]], "version": 1, "created_at": ""} == {**first, "created_at": ""}


@pytest.mark.parametrize(("who", "status"), [("historian", 403), ("owner", 403), ("conservator", 204), ("coordinator", 204)])
def test_only_its_author_or_a_coordinator_removes_a_comment(api, said, who, status):
    assert api(who).delete(f"comments/{said['id']}", If_Match='"1"').status_code == status
    assert Comment.objects.exists() == (status == 403)


# -- records that go ------------------------------------------------------------------------------------------------------------


def test_a_record_takes_its_comments_along_however_deep_and_brings_them_back(api, cast, project, paint, said):
    layer = Layer.objects.get(pk=said["about_id"])
    say(api("historian"), layer, "An answer.", thread=said["id"])
    say(api("owner"), paint.first, "On the sample.")
    say(api("owner"), paint.second, "Stays.")
    element = Element.objects.get(pk=paint.baseboard.pk)
    records.remove(cast.coordinator, project, Element, element.pk, element.version)
    assert [one["text"] for one in rows(api("owner").get("comments/"))] == ["Stays."]
    act = Change.objects.get(record_id=element.pk, action="removed").act
    records.restore(cast.coordinator, project, act)
    back = rows(api("owner").get("comments/?ordering=created_at"))
    assert {one["text"] for one in back} == {"It looks overpainted.", "An answer.", "On the sample.", "Stays."}
    assert {one["about_name"] for one in back} == {"101-1/2", "101-1", "101-2"}


def test_a_layer_removed_from_its_stack_takes_its_comments_along(api, cast, project, said):
    layer = Layer.objects.get(pk=said["about_id"])
    records.remove(cast.conservator, project, Layer, layer.pk, layer.version)
    assert Comment.objects.count() == 0
    records.restore(cast.coordinator, project, Change.objects.get(record_id=layer.pk, action="removed").act)
    assert Comment.objects.get().about_id == layer.pk


def test_many_comments_go_and_come_back_in_a_number_of_queries_that_does_not_grow(cast, project, paint):
    """A thread on each of three layers, with one answer each in the one sample and twelve in the other."""

    def talk_on(layers, many):
        for layer in layers:
            head = records.create(cast.owner, project, Comment, {**about(layer), "text": "x"})
            for _ in range(many):
                records.create(cast.historian, project, Comment, {**about(layer), "text": "y", "thread": head.pk})

    def cost(sample):
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        with CaptureQueriesContext(connection) as gone:
            records.remove(cast.coordinator, project, type(sample), sample.pk, sample.version)
        act = Change.objects.filter(record_id=sample.pk, action="removed").latest("sequence").act
        with CaptureQueriesContext(connection) as back:
            records.restore(cast.coordinator, project, act)
        return len(gone), len(back)

    talk_on(paint.layers["101-1"], 1)
    few = cost(paint.first)
    talk_on(paint.layers["101-2"], 12)
    many = cost(paint.second)
    assert many == few
    assert Comment.objects.count() == 3 * 2 + 3 * 13


def test_what_hung_on_a_record_does_not_come_back_without_it(api, cast, project, paint, said):
    layer = Layer.objects.get(pk=said["about_id"])
    api("conservator").delete(f"comments/{said['id']}", If_Match='"1"')
    act = Change.objects.get(record_id=said["id"], action="removed").act
    records.remove(cast.conservator, project, Layer, layer.pk, layer.version)
    assert problem(api("coordinator").post("restorations/", {"act": str(act)}), 409)["code"] == "cited"
    assert Comment.objects.count() == 0


def test_a_generation_that_is_spoken_of_stays_when_a_correlation_no_longer_shows_it(api, cast, project, paint):
    from surveys.records import computed

    generation = records.create(cast.conservator, project, Generation, {"space": paint.space.pk})
    silent = records.create(cast.conservator, project, Generation, {"space": paint.space.pk})
    say(api("owner"), generation, "Where is this one?")
    assert computed._cited(paint.space) == {generation.pk}
    assert silent.pk not in computed._cited(paint.space)


def test_what_was_said_of_a_generation_that_is_joined_to_another_is_said_of_that(api, cast, project, paint):
    keep, gone = (records.create(cast.conservator, project, Generation, {"space": paint.space.pk}) for _ in range(2))
    say(api("owner"), gone, "The green one.")
    records.join(cast.conservator, project, keep.pk, keep.version, gone.pk, gone.version)
    assert rows(api("owner").get("comments/"))[0]["about_id"] == str(keep.pk)


# -- names that are called ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "called"),
    [
        ("@historian, see the bill.", ["historian"]),
        ("Ask (@historian).", ["historian"]),
        ("@Historian and @HISTORIAN", ["historian"]),
        ("@owner @historian @owner", ["historian", "owner"]),
        ("historian@example.org is an address", []),
        ("@stranger and @nobody-at-all", []),
        # A contractor belongs to the project and does not see it.
        ("@contractor", []),
        ("@ historian", []),
        ("@historians", []),
    ],
)
def test_members_who_see_the_project_are_called_and_every_other_word_is_text(api, layer, text, called):
    made = say(api("conservator"), layer, text)
    assert made.status_code == 201
    assert [one["username"] for one in made.json()["mentions"]] == called
    assert made.json()["text"] == text


def test_calling_somebody_outside_is_answered_as_calling_nobody(api, layer):
    told = [say(api("conservator"), layer, text).json() for text in ("Look, @stranger!", "Look, @nobodyatall!")]
    assert [{**one, "id": "", "text": "", "created_at": ""} for one in told[:1]] == [{**told[1], "id": "", "text": "", "created_at": ""}]


def test_who_is_called_follows_the_text_when_it_is_edited(api, layer):
    made = say(api("conservator"), layer, "@owner?").json()
    api("conservator").patch(f"comments/{made['id']}", {"text": "@historian?"}, If_Match='"1"')
    assert list(Mention.objects.values_list("person__username", flat=True)) == ["historian"]


def test_where_i_am_called_is_found_by_me(api, layer):
    say(api("conservator"), layer, "@owner, please.")
    say(api("conservator"), layer, "@historian, please.")
    assert [one["text"] for one in rows(api("owner").get("comments/?mentions=me"))] == ["@owner, please."]
    assert [one["text"] for one in rows(api("owner").get("comments/?mentions=historian"))] == ["@historian, please."]
    assert rows(api("owner").get("comments/?author=me")) == []
    assert len(rows(api("conservator").get("comments/?author=me"))) == 2


def test_the_candidates_are_the_members_who_see_the_project(api, cast):
    told = rows(api("owner").get("comments/candidates"))
    assert [one["username"] for one in told] == ["conservator", "coordinator", "historian", "owner"]
    assert told[2] == {"username": "historian", "name": "Hester Orian", "role": "consultant", "discipline": "architectural history"}


def test_who_has_left_is_no_longer_called(api, cast, project, layer):
    member = project.memberships.get(person=cast.historian)
    records.remove_member(cast.coordinator, project, member.pk, member.version)
    assert say(api("conservator"), layer, "@historian").json()["mentions"] == []
    assert "historian" not in [one["username"] for one in rows(api("conservator").get("comments/candidates"))]


# -- lists ----------------------------------------------------------------------------------------------------------------------


def test_a_list_costs_the_same_however_many_comments_and_one_query_more_for_each_type(api, cast, project, paint, said):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def cost():
        with CaptureQueriesContext(connection) as queries:
            found = rows(api("owner").get("comments/?page_size=1000"))
        return len(found), len(queries)

    api("owner").get("comments/")
    calling_nobody = cost()
    say(api("historian"), paint.layers["101-2"][0], "First @owner")
    one = cost()
    assert one[1] == calling_nobody[1] + 1
    for number in range(20):
        say(api("historian"), paint.layers["101-2"][number % 3], f"{number} @owner")
    many = cost()
    assert (one[0], many[0]) == (2, 22)
    assert many[1] == one[1]
    say(api("historian"), paint.space)
    assert cost()[1] == one[1] + 1


def test_comments_are_searched_ordered_and_cut_as_other_lists(api, layer, said):
    say(api("owner"), layer, "Second.")
    assert [one["text"] for one in rows(api("owner").get("comments/?search=second"))] == ["Second."]
    assert [one["text"] for one in rows(api("owner").get("comments/?ordering=created_at&fields=text"))] == [said["text"], "Second."]
    page = api("owner").get("comments/?page_size=1").json()
    assert page["results"][0]["text"] == "Second."
    assert rows(api("owner").get(f"/{page['next'].lstrip('/')}"))[0]["text"] == said["text"]
    problem(api("owner").get("comments/?ordering=resolved"), 400)
    problem(api("owner").get("comments/?resolved=maybe"), 400)
    problem(api("owner").get("comments/?mention=me"), 400)


def test_the_history_of_the_project_tells_of_comments_to_its_members(api, said):
    lines = api("owner").get("changes/").json()["changes"]
    assert [one["record_type"] for one in lines][-1] == "comment"


# -- outside --------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("who", ["stranger", "contractor"])
def test_to_who_does_not_see_the_project_there_are_no_comments(api, layer, said, who):
    for method, path, body in (
        ("GET", "comments/", None),
        ("GET", f"comments/?search=overpainted&about_id={layer.pk}", None),
        ("GET", f"comments/{said['id']}", None),
        ("GET", "comments/threads", None),
        ("GET", "comments/candidates", None),
        ("POST", "comments/", {**about(layer), "text": "x"}),
        ("POST", f"comments/{said['id']}/resolve", {}),
        ("PATCH", f"comments/{said['id']}", {"text": "x"}),
        ("DELETE", f"comments/{said['id']}", None),
    ):
        answer = api(who).send(method, path, body, If_Match='"1"')
        told = problem(answer, 404)
        assert "HALL" in told["detail"]
        assert "overpainted" not in answer.content.decode()
        assert said["id"] not in answer.content.decode()


def test_an_interpretation_takes_its_thread_along(api, cast, project, paint):
    found = Interpretation(project=project, number=1, discipline="archaeology", subject="space", space=paint.space, statement="x")
    found.created_by = cast.historian
    found.save()
    say(api("owner"), found, "Why?")
    with records.writing(cast.coordinator, project) as pen:
        pen.remove([found])
    assert Comment.objects.count() == 0

"""The history of a record in words, former values put back, and what was removed."""

import datetime as dt
import uuid

import pytest
from django.apps import apps

from surveys import history as keeping
from surveys import jobs, records
from surveys.models import (
    Change,
    Element,
    Evidence,
    Generation,
    Interpretation,
    Layer,
    Membership,
    Phase,
    Record,
    Ruling,
    Sample,
    Space,
)
from surveys.selectors import wording
from tests.surveys.api.conftest import problem


def change(cast, project, record, **values):
    fresh = type(record).objects.get(pk=record.pk)
    return records.change(cast.historian, project, type(record), record.pk, fresh.version, values)


def told(api, record, who="owner", query=""):
    answer = api(who).get(f"history/{record.pk}{query}")
    assert answer.status_code == 200, answer.content
    return answer.json()


def put_back(api, who, record, sequence, *fields, version=None):
    version = version or type(record).objects.get(pk=record.pk).version
    return api(who).post(f"history/{record.pk}/restore", {"sequence": sequence, "fields": list(fields), "version": version})


def test_what_befell_a_record_is_told_newest_first_with_names_and_units(api, cast, project, paint):
    change(cast, project, paint.first, height_mm=1200, taken_on="2026-05-14")
    change(cast, project, paint.first, height_mm=1350.5, element=str(paint.door.pk))
    page = told(api, paint.first)
    assert (page["type"], page["name"], page["version"], page["cursor"]) == ("sample", "101-1", 3, None)
    last, first, made = page["changes"]
    assert (
        last["sentence"]
        == "Changed element from “element 101-BB” to “element 101-DL”; height above the floor from “1,200 mm” to “1,350.5 mm”."
    )
    assert (last["actor"], last["version"], last["action"]) == ("Hester Orian", 3, "changed")
    assert first["fields"] == [
        {"name": "height_mm", "label": "height above the floor", "before": "", "after": "1,200 mm", "restorable": False},
        {"name": "taken_on", "label": "taken on", "before": "", "after": "14 May 2026", "restorable": False},
    ]
    assert made["sentence"] == "Made."
    assert {"name": "number", "label": "number", "before": "", "after": "101-1", "restorable": False} in made["fields"]


def test_years_shares_persons_and_lists_are_told_as_they_are_said(api, cast, project, paint):
    phase = records.create(cast.historian, project, Phase, {"label": "first", "earliest": -120})
    assert {"before": "", "after": "120 BCE"}.items() <= next(
        one for one in told(api, phase)["changes"][0]["fields"] if one["name"] == "earliest"
    ).items()
    answer = api("coordinator").patch("/api/v1/projects/HALL", {"element_classes": ["baseboard", "door leaf", "privy"]}, If_Match='"1"')
    assert answer.status_code == 200
    line = told(api, project)["changes"][0]
    assert line["fields"][0]["after"] == "baseboard, door leaf, privy"
    member = Membership.objects.get(person=cast.owner)
    assert {"name": "person", "label": "person", "before": "", "after": "Owen Nerr", "restorable": False} in told(api, member)["changes"][
        0
    ]["fields"]
    generation = records.create(cast.historian, project, Generation, {"space": str(paint.space.pk)})
    Change.objects.filter(record_id=generation.pk).update(
        fields={"distinctness": [0.5, 0.823], "earliest_by": [[], [{"sentence": "E1 says so"}]]}
    )
    assert [one["after"] for one in told(api, generation)["changes"][0]["fields"]] == ["82 %", "E1 says so"]


def test_what_a_reference_named_is_told_by_its_last_name_when_it_is_gone(api, cast, project, paint):
    spare = records.create(cast.historian, project, Element, {"code": "SPARE", "space": str(paint.space.pk), "element_class": "wall"})
    sample = records.create(cast.historian, project, Sample, {"number": "S", "element": str(spare.pk)})
    change(cast, project, sample, element=str(paint.door.pk))
    records.remove(cast.historian, project, Element, spare.pk, 1)
    assert told(api, sample)["changes"][0]["fields"][0]["before"] == "element SPARE (removed)"


def test_what_else_the_same_act_touched_is_told(api, cast, project, paint):
    records.remove(cast.historian, project, Sample, paint.first.pk, 1)
    page = told(api, paint.first)
    assert (page["version"], page["changes"][0]["sentence"]) == (None, "Removed.")
    assert page["changes"][0]["beside_count"] == 3
    assert {(one["type"], one["action"]) for one in page["changes"][0]["beside"]} == {("layer", "removed")}


def test_a_history_is_paged_and_costs_a_fixed_number_of_queries(api, cast, project, paint, django_assert_num_queries):
    for number in range(12):
        change(cast, project, paint.first, notes=f"note {number}", element=str((paint.door, paint.baseboard)[number % 2].pk))
    seen, query = [], "?limit=5"
    while True:
        page = told(api, paint.first, query=query)
        seen += [line["sequence"] for line in page["changes"]]
        if page["cursor"] is None:
            break
        query = f"?limit=5&before={page['cursor']}"
    assert seen == sorted(set(seen), reverse=True)
    assert len(seen) == 13
    counts = []
    for limit in (2, 13):
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        with CaptureQueriesContext(connection) as queries:
            told(api, paint.first, query=f"?limit={limit}")
        counts.append(len(queries))
    assert counts[0] == counts[1]


@pytest.mark.parametrize("query", ["?before=-1", "?before=x", "?limit=0", "?after=1"])
def test_a_history_that_cannot_be_asked_for_is_refused(api, paint, query):
    problem(api("owner").get(f"history/{paint.first.pk}{query}"), 400)


def test_of_what_there_never_was_there_is_no_history(api, project):
    problem(api("owner").get(f"history/{uuid.uuid4()}"), 404)


def test_every_field_that_history_tells_has_a_word_for_people():
    """No label is a column's name, for any kind of record."""
    wrong = []
    for model in apps.get_app_config("surveys").get_models():
        if issubclass(model, Record):
            names = [field.name for field in model._meta.concrete_fields if field.name not in keeping.UNTOLD]
            wrong += [(model._meta.model_name, name) for name in names if "_" in wording.label(model._meta.model_name, name)]
    assert wrong == []


# -- putting back ----------------------------------------------------------------------------------------------------------------


def test_a_former_value_is_put_back_as_a_new_change(api, cast, project, paint):
    layer = paint.layers["101-1"][1]
    change(cast, project, layer, colour="sage", munsell="10GY 6/2")
    line = told(api, layer, "conservator")["changes"][0]
    assert [one["restorable"] for one in line["fields"]] == [True, True]
    answer = put_back(api, "conservator", layer, line["sequence"], "colour")
    assert (answer.status_code, answer.json()["version"]) == (200, 3)
    layer.refresh_from_db()
    assert (layer.colour, layer.munsell) == ("green", "10GY 6/2")
    newest = told(api, layer)["changes"][0]
    assert (newest["actor"], newest["reason"]) == ("Connie Vator", f"Put back to what it was before change {line['sequence']}.")


def test_a_reference_and_a_date_are_put_back(api, cast, project, paint):
    change(cast, project, paint.first, taken_on="2026-05-14")
    change(cast, project, paint.first, taken_on="2026-05-15", element=str(paint.door.pk))
    sequence = told(api, paint.first)["changes"][0]["sequence"]
    assert put_back(api, "conservator", paint.first, sequence, "taken_on", "element").status_code == 200
    paint.first.refresh_from_db()
    assert (paint.first.taken_on, paint.first.element_id) == (dt.date(2026, 5, 14), paint.baseboard.pk)


def test_what_would_break_a_rule_now_is_not_put_back_and_the_reason_told(api, cast, project, paint):
    change(cast, project, paint.first, number="101-9")
    sequence = told(api, paint.first)["changes"][0]["sequence"]
    records.create(cast.historian, project, Sample, {"number": "101-1", "element": str(paint.door.pk)})
    assert "already used" in problem(put_back(api, "conservator", paint.first, sequence, "number"), 409)["detail"]
    spare = records.create(cast.historian, project, Element, {"code": "SPARE", "space": str(paint.space.pk), "element_class": "wall"})
    change(cast, project, paint.second, element=str(spare.pk))
    change(cast, project, paint.second, element=str(paint.door.pk))
    sequence = told(api, paint.second)["changes"][0]["sequence"]
    records.remove(cast.historian, project, Element, spare.pk, 1)
    refused = problem(put_back(api, "conservator", paint.second, sequence, "element"), 422)
    assert "There is no such element" in refused["detail"]
    phase = records.create(cast.historian, project, Phase, {"earliest": 1700, "latest": 1800})
    change(cast, project, phase, earliest=1750)
    change(cast, project, phase, latest=1760)
    change(cast, project, phase, earliest=1755)
    change(cast, project, phase, latest=None)
    change(cast, project, phase, earliest=1790)
    sequence = told(api, phase)["changes"][1]["sequence"]
    assert "before the earliest" in problem(put_back(api, "conservator", phase, sequence, "latest"), 422)["detail"]


def test_a_placement_is_put_back_as_a_hold(api, cast, project, paint):
    """A placement by hand is a hold, and so is one that is put back by hand."""
    jobs.ask(cast.historian, project, "correlate", {})
    older, newer = (records.create(cast.historian, project, Generation, {"space": str(paint.space.pk)}) for _ in range(2))
    layer = paint.layers["101-1"][2]
    change(cast, project, layer, generation=str(older.pk))
    change(cast, project, layer, generation=str(newer.pk))
    sequence = told(api, layer)["changes"][0]["sequence"]
    assert put_back(api, "conservator", layer, sequence, "generation").status_code == 200
    assert Ruling.objects.get(kind="hold", first_layer=layer).generation_id == older.pk


@pytest.mark.parametrize(
    ("fields", "code"), [(["notes"], "not-found"), (["placed_by"], "derived"), (["sample"], "not-found"), ([], "required")]
)
def test_what_was_not_changed_or_is_derived_is_not_put_back(api, cast, project, paint, fields, code):
    generation = records.create(cast.historian, project, Generation, {"space": str(paint.space.pk)})
    layer = paint.layers["101-1"][2]
    change(cast, project, layer, generation=str(generation.pk))
    sequence = told(api, layer)["changes"][0]["sequence"]
    answer = problem(put_back(api, "conservator", layer, sequence, *fields), 422)
    assert (answer["errors"][0]["pointer"], answer["errors"][0]["code"]) == ("/fields", code)


def test_nothing_is_put_back_by_who_may_not_write_or_had_an_older_version(api, cast, project, paint):
    change(cast, project, paint.space, name="Parlour")
    line = told(api, paint.space, "owner")["changes"][0]
    assert [one["restorable"] for one in line["fields"]] == [False]
    problem(put_back(api, "owner", paint.space, line["sequence"], "name"), 403)
    problem(put_back(api, "contractor", paint.space, line["sequence"], "name"), 404)
    stale = problem(put_back(api, "conservator", paint.space, line["sequence"], "name", version=1), 412)
    assert stale["current"]["name"] == "Parlour"
    records.create_project(cast.stranger, {"code": "MILL", "name": "The mill"})
    body = {"sequence": line["sequence"], "fields": ["name"], "version": 2}
    problem(api("stranger").post(f"/api/v1/projects/MILL/history/{paint.space.pk}/restore", body), 404)
    problem(api("stranger").get(f"/api/v1/projects/MILL/history/{paint.space.pk}"), 404)


def test_a_role_and_a_projects_settings_are_put_back_by_a_coordinator_only(api, cast, project):
    member = Membership.objects.get(person=cast.owner)
    records.change_member(cast.coordinator, project, member.pk, 1, {"role": "consultant"})
    sequence = told(api, member)["changes"][0]["sequence"]
    problem(put_back(api, "conservator", member, sequence, "role"), 403)
    assert put_back(api, "coordinator", member, sequence, "role").status_code == 200
    member.refresh_from_db()
    assert member.role == "owner"
    records.change_project(cast.coordinator, project, 1, {"name": "The other hall"})
    sequence = told(api, project)["changes"][0]["sequence"]
    assert put_back(api, "coordinator", project, sequence, "name").status_code == 200
    project.refresh_from_db()
    assert project.name == "The hall"


def test_only_its_author_puts_back_what_an_interpretation_said(api, cast, project, paint):
    values = {"discipline": "paint conservation", "subject": "space", "space": str(paint.space.pk), "statement": "One scheme."}
    finding = records.create(cast.conservator, project, Interpretation, values)
    records.change(cast.conservator, project, Interpretation, finding.pk, finding.version, {"statement": "Two schemes."})
    for who, restorable in (("conservator", True), ("historian", False)):
        line = told(api, finding, who)["changes"][0]
        assert [one["restorable"] for one in line["fields"]] == [restorable]
    problem(put_back(api, "historian", finding, line["sequence"], "statement"), 403)
    assert put_back(api, "conservator", finding, line["sequence"], "statement").status_code == 200


def test_what_was_removed_is_brought_back_before_its_values_are(api, cast, project, paint):
    change(cast, project, paint.first, notes="x")
    sequence = told(api, paint.first)["changes"][0]["sequence"]
    records.remove(cast.historian, project, Sample, paint.first.pk, 2)
    answer = api("conservator").post(f"history/{paint.first.pk}/restore", {"sequence": sequence, "fields": ["notes"], "version": 3})
    assert "was removed" in problem(answer, 409)["detail"]


# -- what was removed ------------------------------------------------------------------------------------------------------------


def removed(api, query=""):
    answer = api("coordinator").get(f"removed/{query}")
    assert answer.status_code == 200, answer.content
    return answer.json()["acts"]


def test_what_was_removed_is_listed_act_by_act_and_can_be_brought_back(api, cast, project, paint):
    records.remove(cast.historian, project, Sample, paint.first.pk, 1)
    records.remove(cast.conservator, project, Layer, paint.layers["101-2"][0].pk, 1)
    layer, sample = removed(api)
    assert (sample["actor"], sample["state"], sample["recoverable"], sample["hindrance"]) == ("Hester Orian", "removed", True, "")
    assert sorted((one["type"], one["count"]) for one in sample["counts"]) == [("layer", 3), ("sample", 1)]
    assert [(one["type"], one["name"]) for one in sample["records"]] == [("sample", "101-1")]
    assert [one["name"] for one in layer["records"]] == ["101-2/1"]
    assert api("coordinator").post("restorations/", {"act": sample["act"]}).status_code == 200
    assert [(one["state"], one["recoverable"]) for one in removed(api)] == [("removed", True), ("brought back", False)]
    assert Sample.objects.filter(pk=paint.first.pk).exists()


def test_why_something_cannot_come_back_is_told_beforehand_and_so_it_is(api, cast, project, paint):
    records.remove(cast.historian, project, Layer, paint.layers["101-1"][0].pk, 1)
    records.remove(cast.historian, project, Sample, paint.first.pk, 1)
    records.remove(cast.historian, project, Sample, paint.second.pk, 1)
    records.create(cast.historian, project, Sample, {"number": "101-2", "element": str(paint.door.pk)})
    records.remove_member(cast.coordinator, project, Membership.objects.get(person=cast.owner).pk, 1)
    member, taken, sample, layer = removed(api)
    assert "invite the person" in member["hindrance"]
    assert taken["hindrance"] == "There is another sample 101-2 now. Give that another number first."
    assert sample["recoverable"]
    assert layer["hindrance"] == "Bring back sample 101-1 first: it belongs to that."
    for act, status in ((member, 403), (taken, 409), (layer, 409), (sample, 200), (layer, 200)):
        assert api("coordinator").post("restorations/", {"act": act["act"]}).status_code == status


def test_the_list_is_paged_narrowed_to_a_kind_and_costs_a_fixed_number_of_queries(api, cast, project, paint):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    for number in range(6):
        made = records.create(cast.historian, project, Evidence, {"reference": f"E{number}", "statement": "x"})
        records.remove(cast.historian, project, Evidence, made.pk, 1)
    records.remove(cast.historian, project, Sample, paint.first.pk, 1)
    assert [one["records"][0]["name"] for one in removed(api, "?record_type=sample")] == ["101-1"]
    page = api("coordinator").get("removed/?limit=4").json()
    rest = api("coordinator").get(f"removed/?limit=4&before={page['cursor']}").json()
    names = [one["records"][0]["name"] for one in (*page["acts"], *rest["acts"])]
    assert (names, rest["cursor"]) == (["101-1", "E5", "E4", "E3", "E2", "E1", "E0"], None)
    counts = []
    for limit in (2, 6):
        with CaptureQueriesContext(connection) as queries:
            removed(api, f"?limit={limit}")
        counts.append(len(queries))
    assert counts[0] == counts[1]
    problem(api("coordinator").get("removed/?record_type=person"), 400)


def test_a_space_that_is_removed_is_told_by_its_own_name(api, cast, project, paint):
    records.remove(cast.coordinator, project, Space, paint.space.pk, 1)
    (act,) = removed(api)
    assert [(one["type"], one["name"]) for one in act["records"]] == [("space", "101")]
    assert sum(one["count"] for one in act["counts"]) == 1 + 2 + 2 + 6

"""What is offered across spaces, over the interface: with reasons, for a phase, never imposed; a fixed cost."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys import records
from surveys.models import Element, Generation, Layer, Phase, Sample, Space
from surveys.work import correlating
from tests.surveys.api.conftest import problem

COLOURS = ("5R 4/10", "5GY 6/4", "5PB 4/8")


def house(cast, project, *numbers):
    """Spaces of one door casing each, sampled twice, with the same three colours."""
    make = lambda model, **values: records.create(cast.conservator, project, model, values)  # noqa: E731
    for number in numbers:
        space = make(Space, number=number)
        element = make(Element, code=f"{number}-DC", space=space.pk, element_class="door casing")
        for letter in "ab":
            sample = make(Sample, number=f"{number}{letter}", element=element.pk, base_state="complete", top_state="complete")
            for position, munsell in enumerate(COLOURS, start=1):
                make(Layer, sample=sample.pk, position=position, kind="paint", munsell=munsell, lower_boundary="soiled")
        correlating.correlate(cast.conservator, project, [space], lambda done, total, now="": None)


def ask(api, query="", who="owner"):
    answer = api(who).get(f"campaigns/{query}")
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_where_there_is_nothing_to_compare_it_is_said(api, cast, project, paint):
    assert ask(api)["sentence"].startswith("Fewer than two spaces have generations")
    house(cast, project, "1", "2")
    assert ask(api, "?space=101")["sentence"] == "No layer of space 101 stands in a generation: correlate it first."
    assert ask(api, "?space=101")["campaigns"] == []


def test_generations_of_two_spaces_are_offered_with_what_they_share_and_nothing_is_changed(api, cast, project):
    house(cast, project, "1", "2")
    before = list(Generation.objects.order_by("pk").values())
    told = ask(api)
    assert told["spaces"] == ["1", "2"]
    names = [{one["name"] for one in campaign["generations"]} for campaign in told["campaigns"]]
    assert {"1/2", "2/2"} in names
    offered = next(one for one in told["campaigns"] if {"1/2", "2/2"} == {each["name"] for each in one["generations"]})
    assert offered["phase_id"] is None
    assert "the same colour on the door casing" in offered["pairs"][0]["reasons"][0]
    assert 0.5 <= offered["chance"] <= 1.0
    assert list(Generation.objects.order_by("pk").values()) == before


def test_an_offer_taken_up_by_a_batch_is_no_longer_made_and_a_half_taken_one_names_its_phase(api, cast, project):
    house(cast, project, "1", "2")
    phase = records.create(cast.historian, project, Phase, {"label": "the sale"})
    offered = next(one for one in ask(api)["campaigns"] if {"1/2", "2/2"} == {each["name"] for each in one["generations"]})

    def put(ones):
        operations = [{"op": "change", "id": one["id"], "version": one["version"], "values": {"phase": str(phase.pk)}} for one in ones]
        answer = api("conservator").post("generations/batch", {"operations": operations})
        assert answer.status_code == 200, answer.content

    put(offered["generations"][:1])
    again = next(one for one in ask(api)["campaigns"] if {"1/2", "2/2"} == {each["name"] for each in one["generations"]})
    assert again["phase_id"] == str(phase.pk)
    assert [one["phase"] for one in again["generations"]] == ["phase 1", None]
    put(again["generations"][1:])
    assert all({"1/2", "2/2"} != {each["name"] for each in one["generations"]} for one in ask(api)["campaigns"])


def test_generations_of_different_phases_are_not_offered_together(api, cast, project):
    house(cast, project, "1", "2")
    for number, label in (("1", "before"), ("2", "after")):
        phase = records.create(cast.historian, project, Phase, {"label": label})
        one = Generation.objects.get(space__number=number, ordinal=2)
        records.change(cast.conservator, project, Generation, one.pk, one.version, {"phase": phase.pk})
    assert all({"1/2", "2/2"} != {each["name"] for each in one["generations"]} for one in ask(api)["campaigns"])


def test_one_space_can_be_asked_for_and_layers_set_aside_count_for_nothing(api, cast, project):
    house(cast, project, "1", "2", "3")
    told = ask(api, "?space=3")
    assert told["space"] == "3"
    assert told["campaigns"]
    assert all("3" in {one["space"] for one in campaign["generations"]} for campaign in told["campaigns"])
    for sample in Sample.objects.filter(element__space__number="3"):
        records.change(cast.conservator, project, Sample, sample.pk, sample.version, {"status": "set aside"})
    assert all("3" not in {one["space"] for one in campaign["generations"]} for campaign in ask(api)["campaigns"])


def test_campaigns_cost_as_many_queries_for_four_spaces_as_for_two(api, cast, project):
    house(cast, project, "1", "2")

    def queries():
        with CaptureQueriesContext(connection) as counted:
            ask(api)
        return len(counted)

    ask(api)
    before = queries()
    house(cast, project, "3", "4")
    assert queries() == before == 7


def test_unknown_parameters_are_refused(api, project):
    problem(api("owner").get("campaigns/?floor=2"), 400)

"""Coverage: its numbers are those of the record, its state that of each chart, its cost the same for much as for little."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys import records, selectors
from surveys.models import Element, Evidence, Generation, Interpretation, Layer, Phase, Ruling, Sample, Space
from surveys.work import correlating, coverage
from tests.conftest import Paint
from tests.surveys.api.conftest import problem


def ask(api, who="owner"):
    answer = api(who).get("coverage/")
    assert answer.status_code == 200, answer.content
    return answer.json()


def correlate(cast, project, *spaces):
    correlating.correlate(cast.conservator, project, spaces, lambda done, total, now="": None)


def test_every_cell_counts_the_records_behind_it_and_names_them(api, cast, project, paint):
    records.create(cast.conservator, project, Element, {"code": "101-W", "space": paint.space.pk, "element_class": "wall"})
    planned = {"number": "101-9", "element": paint.door.pk, "status": "planned"}
    records.create(cast.conservator, project, Sample, planned)
    told = ask(api)
    cells = {(one["space"], one["element_class"]): one for one in told["cells"]}
    assert set(cells) == {("101", "baseboard"), ("101", "door leaf"), ("101", "wall")}
    door = cells["101", "door leaf"]
    assert (door["elements"], door["layers"], door["placed"]) == (1, 3, 0)
    assert [door[stage] for stage in ("planned", "sampled", "mounted", "visible", "uv")] == [["101-9"], *[["101-2"]] * 3, []]
    assert cells["101", "wall"]["sampled"] == []
    kinds = {(one["kind"], one["element_class"]) for one in told["missing"]}
    assert {("not correlated", ""), ("unsampled", "wall"), ("planned", ""), ("no UV", "")} <= kinds
    gains = [one["gain"] for one in told["missing"]]
    assert gains == sorted(gains, reverse=True)


def test_a_space_is_current_until_something_that_its_correlation_read_changes(api, cast, project, paint):
    other = Paint(cast, project, "102")
    assert [one["current"] for one in ask(api)["spaces"]] == [False, False]
    correlate(cast, project, paint.space, other.space)
    assert [one["current"] for one in ask(api)["spaces"]] == [True, True]
    first, second = (paint.layers[number][0] for number in ("101-1", "101-2"))
    records.create(cast.conservator, project, Ruling, {"kind": "tie", "first_layer": first.pk, "second_layer": second.pk})
    told = ask(api)
    assert [one["current"] for one in told["spaces"]] == [False, True]
    assert [one["space"] for one in told["missing"] if one["kind"] == "out of date"] == ["101"]


def test_the_digests_of_all_spaces_are_those_of_each(cast, project, paint):
    other = Paint(cast, project, "102")
    records.create(cast.conservator, project, Space, {"number": "103"})
    correlate(cast, project, paint.space, other.space)
    generation = Generation.objects.get(space=paint.space, ordinal=1)
    held = paint.layers["101-1"][0]
    records.create(cast.conservator, project, Ruling, {"kind": "hold", "first_layer": held.pk, "generation": generation.pk})
    sample = Sample.objects.get(pk=other.first.pk)
    records.change(cast.conservator, project, Sample, sample.pk, sample.version, {"status": "set aside"})
    found = selectors.correlation_digests(project)
    assert found == {space.pk: selectors.correlation_digest(space.pk) for space in Space.objects.filter(project=project)}
    assert len(set(found.values())) == 3


def test_the_studys_own_years_date_nothing_and_evidence_on_both_sides_does(api, cast, project, paint):
    correlate(cast, project, paint.space)
    assert all(one["dated"] == [] for one in ask(api)["cells"])
    generation = Generation.objects.get(space=paint.space, ordinal=1)
    values = {"reference": "E-1", "statement": "a bill", "bears_on": "generation", "generation": generation.pk, "relation": "made in"}
    records.create(cast.historian, project, Evidence, {**values, "earliest": 1840, "latest": 1840, "certainty": "firm"})
    assert all(one["dated"] == ["101/1"] for one in ask(api)["cells"] if "101/1" in one["generations"])


def test_conflicts_of_date_stand_among_what_is_missing(api, cast, project, paint):
    correlate(cast, project, paint.space)
    first, last = (Generation.objects.filter(space=paint.space).order_by(order).first() for order in ("ordinal", "-ordinal"))
    for reference, generation, year in (("E-1", first, 1900), ("E-2", last, 1850)):
        values = {"reference": reference, "statement": "x", "bears_on": "generation", "generation": generation.pk, "relation": "made in"}
        records.create(cast.historian, project, Evidence, {**values, "earliest": year, "latest": year, "certainty": "firm"})
    told = ask(api)
    (conflict,) = told["conflicts"]
    assert {one["key"] for one in conflict["records"]} == {"E-1", "E-2"}
    assert all(one["id"] for one in conflict["records"])
    assert conflict["sentence"] in [one["sentence"] for one in told["missing"] if one["kind"] == "conflict"]


def conclude(cast, project, state, **about):
    """An interpretation by the conservator, moved to a state by those who may."""
    cites = [{"type": "sample", "id": str(Sample.objects.filter(project=project).first().pk)}]
    values = {"discipline": "paint conservation", "statement": "x", "citations": cites, **about}
    found = records.create(cast.conservator, project, Interpretation, values)
    for who, to in ((cast.conservator, "for comment"), (cast.owner, state)):
        if state != "working" and found.state != state:
            found = records.transition(who, project, found.pk, found.version, to, "so says the bill")
    return found


def interpreted(api):
    return {one["element_class"]: (one["interpreted"], one["agreed"]) for one in ask(api)["cells"]}


def test_an_element_is_interpreted_by_what_bears_on_it_its_layer_its_generation_or_its_space(api, cast, project, paint):
    correlate(cast, project, paint.space)
    assert interpreted(api) == {"baseboard": ([], []), "door leaf": ([], [])}
    conclude(cast, project, "agreed", subject="element", element=paint.door.pk)
    assert interpreted(api) == {"baseboard": ([], []), "door leaf": (["101-DL"], ["101-DL"])}
    conclude(cast, project, "working", subject="layer", layer=paint.layers["101-1"][0].pk)
    assert interpreted(api)["baseboard"] == (["101-BB"], [])
    conclude(cast, project, "agreed", subject="space", space=paint.space.pk)
    assert interpreted(api)["baseboard"] == (["101-BB"], ["101-BB"])


def test_a_generation_interprets_the_elements_that_carry_it_and_what_is_superseded_interprets_nothing(api, cast, project, paint):
    correlate(cast, project, paint.space)
    generation = Generation.objects.get(space=paint.space, ordinal=1)
    carriers = {
        one.element_class
        for one in Element.objects.filter(space=paint.space)
        if Layer.objects.filter(sample__element=one, generation=generation).exists()
    }
    old = conclude(cast, project, "agreed", subject="generation", generation=generation.pk)
    assert {name for name, (codes, _) in interpreted(api).items() if codes} == carriers
    conclude(cast, project, "agreed", subject="phase", phase=records.create(cast.coordinator, project, Phase, {}).pk, supersedes=old.pk)
    old.refresh_from_db()
    assert old.state == "superseded"
    assert all(codes == [] for codes, _ in interpreted(api).values())


def test_coverage_costs_as_many_queries_for_three_spaces_as_for_one(api, cast, project, paint):
    records.create(cast.coordinator, project, Phase, {"label": "x"})

    def queries():
        coverage.KEPT.clear()
        with CaptureQueriesContext(connection) as counted:
            ask(api)
        return len(counted)

    ask(api)
    before = queries()
    for number in ("102", "103"):
        more = Paint(cast, project, number)
        correlate(cast, project, more.space)
    assert Layer.objects.filter(generation__isnull=False).count() == 12
    assert queries() == before
    # Three of them tell whether anything has changed.
    assert before == 27


def test_coverage_takes_no_parameter(api, project):
    problem(api("owner").get("coverage/?space=101"), 400)


def test_what_was_told_is_told_again_only_while_nothing_has_changed(api, cast, project, paint):
    """The answer is kept by what tells of every change; another project's, however alike, is its own."""

    def queries():
        with CaptureQueriesContext(connection) as caught:
            told = ask(api)
        return len(caught), told

    first = queries()
    again = queries()
    assert again[1] == first[1]
    assert again[0] < first[0] / 2
    other = records.create_project(cast.owner, {"code": "OTHER", "name": "Other"})
    assert api("owner").get(f"/api/v1/projects/{other.code}/coverage/").json()["cells"] == []
    records.create(cast.conservator, project, Element, {"code": "101-W", "space": paint.space.pk, "element_class": "wall"})
    assert {one["element_class"] for one in ask(api)["cells"]} == {"baseboard", "door leaf", "wall"}
    correlate(cast, project, paint.space)
    assert [one["current"] for one in ask(api)["spaces"]] == [True]

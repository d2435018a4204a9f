"""Readings and as-of: what they answer of the record, what they refuse, and that they cost the same for much as for little."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys import records
from surveys.models import Element, Evidence, Generation, Layer, Phase, Sample
from surveys.work import correlating
from tests.conftest import Paint
from tests.surveys.api.conftest import problem


def ask(api, path, who="owner"):
    answer = api(who).get(path)
    assert answer.status_code == 200, answer.content
    return answer.json()


def correlate(cast, project, *spaces):
    correlating.correlate(cast.conservator, project, spaces, lambda done, total, now="": None)


def generations(paint):
    return list(Generation.objects.filter(space=paint.space).order_by("ordinal"))


def dated(cast, project, generation, year, reference):
    values = {"reference": reference, "statement": "a bill", "bears_on": "generation", "generation": generation.pk, "relation": "made in"}
    records.create(cast.historian, project, Evidence, {**values, "earliest": year, "latest": year, "certainty": "firm"})


def hold(cast, project, layer, generation):
    layer = Layer.objects.get(pk=layer.pk)
    records.change(cast.conservator, project, Layer, layer.pk, layer.version, {"generation": str(generation.pk)})


def one_of(told, code):
    return next(one for one in told["elements"] if one["element"] == code)


# --- as of --------------------------------------------------------------------------------------------------------------------


def test_as_of_a_year_the_finish_in_force_is_told_with_its_colour_and_the_layers_that_it_rests_on(api, cast, project, paint):
    correlate(cast, project, paint.space)
    found = generations(paint)
    for layers in paint.layers.values():
        hold(cast, project, layers[0], found[0])
        hold(cast, project, layers[1], found[0])
        hold(cast, project, layers[2], found[-1])
    dated(cast, project, found[0], 1800, "E-1")
    dated(cast, project, found[-1], 1900, "E-2")
    told = ask(api, "as-of/?year=1850")
    assert (told["year"], told["phase"], told["when"]) == (1850, None, "1850")
    door = one_of(told, "101-DL")
    assert door["state"] == "found"
    assert door["in_force"]["generation"] == found[0].ordinal
    assert door["in_force"]["generation_id"] == str(found[0].pk)
    assert (door["in_force"]["probability"], door["certainty"]) == (1.0, "surely")
    finish = door["in_force"]["finish"]
    # The primer below it belongs to the campaign and is no finish.
    assert finish["cited"] == [{"layer": "101-2/2", "id": str(paint.layers["101-2"][1].pk)}]
    assert finish["colour"]["munsell"] == "5GY 6/4"
    assert finish["colour"]["srgb"].startswith("#")
    assert finish["samples"] == [{"number": "101-2", "id": str(paint.second.pk)}]
    later = one_of(ask(api, "as-of/?year=1900"), "101-DL")
    assert later["in_force"]["finish"]["colour"]["munsell"] == "10YR 8/2"


def test_before_the_first_paint_there_is_no_evidence_and_the_cautions_are_there_all_the_same(api, cast, project, paint):
    correlate(cast, project, paint.space)
    dated(cast, project, generations(paint)[0], 1800, "E-1")
    records.create(cast.conservator, project, Element, {"code": "101-W", "space": paint.space.pk, "element_class": "wall"})
    told = ask(api, "as-of/?year=1795")
    assert {one["state"] for one in told["elements"]} == {"no evidence"}
    assert one_of(told, "101-W")["sentence"] == "No evidence for 1795: no sample was taken of it."
    assert any("lead" in one for one in told["cautions"])
    assert any("never a paint match" in one for one in told["cautions"])


def test_as_of_a_phase(api, cast, project, paint):
    correlate(cast, project, paint.space)
    found = generations(paint)
    phase = records.create(cast.coordinator, project, Phase, {"label": "The rebuilding", "earliest": 1838, "latest": 1842})
    for one in found[:1]:
        fresh = Generation.objects.get(pk=one.pk)
        records.change(cast.coordinator, project, Generation, fresh.pk, fresh.version, {"phase": str(phase.pk)})
    told = ask(api, "as-of/?phase=1")
    assert (told["year"], told["phase"], told["when"]) == (None, 1, "phase 1, The rebuilding")
    assert {one["state"] for one in told["elements"]} == {"found"}


def test_a_sample_set_aside_shows_nothing(api, cast, project, paint):
    correlate(cast, project, paint.space)
    sample = Sample.objects.get(pk=paint.second.pk)
    records.change(cast.conservator, project, Sample, sample.pk, sample.version, {"status": "set aside"})
    assert "no sample was taken of it" in one_of(ask(api, "as-of/?year=2020"), "101-DL")["sentence"]
    assert one_of(ask(api, "readings/"), "101-DL")["conclusion"] == "no evidence"


def test_tentative_evidence_counts_only_when_asked_and_either_prior_is_given(api, cast, project, paint):
    correlate(cast, project, paint.space)
    values = {"reference": "E-9", "statement": "x", "bears_on": "generation", "generation": generations(paint)[0].pk, "relation": "made in"}
    records.create(cast.historian, project, Evidence, {**values, "earliest": 1980, "latest": 1980, "certainty": "tentative"})
    firm, what_if = (one_of(ask(api, f"as-of/?year=1979{more}"), "101-DL") for more in ("", "&tentative=true"))
    assert what_if["state"] == "no evidence"
    assert firm["in_force"] is not None
    told = ask(api, "as-of/?year=1979&prior=span")
    assert told["prior"] == "every span from first to last equally likely"
    assert all("every span" in one["sentence"] for one in told["spaces"])


def test_what_as_of_cannot_read_is_refused_in_words(api, project, paint):
    for query, words in (
        ("", "either a year, or a phase"),
        ("?year=1850&phase=1", "either a year, or a phase"),
        ("?year=c.1850", "whole number"),
        ("?year=185000", "whole number"),
        ("?phase=7", "There is no phase 7"),
        ("?phase=x", "whole number"),
        ("?year=1850&prior=flat", "'prior' is one of"),
        ("?year=1850&tentative=perhaps", "'true' or 'false'"),
        ("?yeer=1850", "Did you mean 'year'"),
    ):
        assert words in problem(api("owner").get(f"as-of/{query}"), 400)["detail"]
    assert "There is no space 999" in problem(api("owner").get("as-of/?year=1850&space=999"), 404)["detail"]


# --- readings -----------------------------------------------------------------------------------------------------------------


def test_readings_tell_what_each_element_carries_and_on_which_samples_it_rests(api, cast, project, paint):
    correlate(cast, project, paint.space)
    told = ask(api, "readings/")
    door = one_of(told, "101-DL")
    carried = sorted({one.generation.ordinal for one in Layer.objects.filter(sample=paint.second).select_related("generation")})
    assert door["carried"] == carried
    assert (door["first"], door["last"]) == (carried[0], carried[-1])
    assert door["samples"] == [{"number": "101-2", "id": str(paint.second.pk)}]
    assert door["sentence"].startswith(f"Door leaf 101-DL carries {len(carried)} of the ")
    assert {"from the start", "inserted", "stripped", "reused"} == {one["history"] for one in door["chances"]}


def test_readings_are_narrowed_by_space_and_by_class_and_still_read_against_all_neighbours(api, cast, project, paint):
    other = Paint(cast, project, "102")
    correlate(cast, project, paint.space, other.space)
    assert len(ask(api, "readings/")["elements"]) == 4
    assert {one["element"] for one in ask(api, "readings/?space=102")["elements"]} == {"102-BB", "102-DL"}
    (door,) = ask(api, "readings/?space=102&element_class=door%20leaf")["elements"]
    assert door["element"] == "102-DL"
    assert door["neighbours"]["elements"] == 1
    assert ask(api, "readings/?element_class=ceiling")["elements"] == []


def test_firm_evidence_of_its_making_is_weighed_and_named_and_tentative_is_not(api, cast, project, paint):
    correlate(cast, project, paint.space)
    values = {
        "statement": "a bill",
        "bears_on": "element",
        "element": paint.door.pk,
        "relation": "made in",
        "earliest": 1884,
        "latest": 1884,
    }
    records.create(cast.historian, project, Evidence, {**values, "reference": "E-8", "certainty": "firm"})
    records.create(cast.historian, project, Evidence, {**values, "reference": "E-9", "certainty": "tentative"})
    because = " ".join(one_of(ask(api, "readings/"), "101-DL")["because"])
    assert "E-8 says that it was made in 1884" in because
    assert "E-9" not in because


def test_readings_refuse_what_they_cannot_read(api, project, paint):
    assert "There is no space 999" in problem(api("owner").get("readings/?space=999"), 404)["detail"]
    problem(api("owner").get("readings/?class=door"), 400)


# --- cost ---------------------------------------------------------------------------------------------------------------------


def test_both_cost_as_many_queries_for_three_spaces_as_for_one(api, cast, project, paint):
    records.create(cast.coordinator, project, Phase, {"label": "x", "latest": 1900})
    correlate(cast, project, paint.space)

    def queries(path):
        with CaptureQueriesContext(connection) as counted:
            ask(api, path)
        return len(counted)

    asked = {"readings/": 13, "as-of/?year=1850": 13, "as-of/?phase=1": 14, "as-of/?year=1850&space=101": 14}
    for path in asked:
        ask(api, path)
    before = {path: queries(path) for path in asked}
    for number in ("102", "103"):
        more = Paint(cast, project, number)
        correlate(cast, project, more.space)
    assert {path: queries(path) for path in asked} == before
    assert before == asked

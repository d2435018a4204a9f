"""Where to look next, over the interface: questions that name records, sentences where there is nothing, a fixed cost."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys import records
from surveys.models import Element, Layer, Ruling, Sample
from surveys.work import correlating
from tests.surveys.api.conftest import problem


def correlate(cast, project, space):
    correlating.correlate(cast.conservator, project, [space], lambda done, total, now="": None)


def ask(api, paint, who="owner"):
    answer = api(who).get(f"spaces/{paint.space.pk}/looking/")
    assert answer.status_code == 200, answer.content
    return answer.json()


def doubtful(cast, project, paint):
    """Two more samples of whites that only UV would part; on one of them nobody looked."""
    element = records.create(
        cast.conservator, project, Element, {"code": "101-DC", "space": paint.space.pk, "element_class": "door casing"}
    )
    for number, glows in (("101-3", ("yellow", "violet", "green")), ("101-4", ("yellow", "violet", "green")), ("101-5", ("", ""))):
        values = {"number": number, "element": element.pk, "base_state": "complete", "top_state": "complete"}
        sample = records.create(cast.conservator, project, Sample, values)
        for position, glow in enumerate(glows, start=1):
            values = {"sample": sample.pk, "position": position, "kind": "paint", "munsell": "N 9", "lower_boundary": "soiled"}
            records.create(cast.conservator, project, Layer, {**values, "uv_colour": glow, "uv_strength": "strong" if glow else ""})


def test_before_correlation_it_is_said_that_nothing_can_be_weighed(api, paint):
    told = ask(api, paint)
    assert told["sentence"] == "Nothing of this space is correlated yet, so nothing can be weighed. Correlate it first."
    assert (told["rulings"], told["examinations"], told["doubt"]) == ([], [], 0.0)


def test_suggestions_name_layers_that_can_be_selected_and_come_most_to_be_gained_first(api, cast, project, paint):
    doubtful(cast, project, paint)
    correlate(cast, project, paint.space)
    told = ask(api, paint)
    assert told["current"]
    assert told["rulings"]
    names = {str(layer): str(layer.pk) for layer in Layer.objects.select_related("sample")}
    for some in (told["rulings"], told["examinations"]):
        gains = [one["gain"] for one in some]
        assert gains == sorted(gains, reverse=True)
        for one in some:
            assert one["layer_ids"] == [names[layer] for layer in one["layers"]]
    assert all(len(one["layers"]) == 2 and one["kind"] in ("layer", "joint") for one in told["rulings"])
    assert any(one["kind"] == "UV" and "101-5/1" in one["layers"] for one in told["examinations"])
    assert told["doubt"] > told["rulings"][0]["gain"] > 0


def test_what_was_ruled_is_not_asked_about_again(api, cast, project, paint):
    doubtful(cast, project, paint)
    correlate(cast, project, paint.space)
    first = next(one for one in ask(api, paint)["rulings"] if one["kind"] == "layer")
    pair = dict(zip(("first_layer", "second_layer"), first["layer_ids"], strict=True))
    records.create(cast.conservator, project, Ruling, {"kind": "tie", **pair})
    correlate(cast, project, paint.space)
    again = ask(api, paint)
    assert all(set(one["layers"]) != set(first["layers"]) for one in again["rulings"])


def test_a_record_that_changed_since_is_said_to_have_changed(api, cast, project, paint):
    correlate(cast, project, paint.space)
    layer = Layer.objects.get(pk=paint.layers["101-1"][1].pk)
    records.change(cast.conservator, project, Layer, layer.pk, layer.version, {"munsell": "N 1"})
    told = ask(api, paint)
    assert not told["current"]
    assert "correlate it again" in told["sentence"]


def test_looking_costs_as_many_queries_for_many_samples_as_for_few(api, cast, project, paint):
    correlate(cast, project, paint.space)

    def queries():
        with CaptureQueriesContext(connection) as counted:
            ask(api, paint)
        return len(counted)

    ask(api, paint)
    before = queries()
    doubtful(cast, project, paint)
    correlate(cast, project, paint.space)
    assert queries() == before == 11


def test_looking_takes_no_parameter(api, paint):
    problem(api("owner").get(f"spaces/{paint.space.pk}/looking/?most=3"), 400)

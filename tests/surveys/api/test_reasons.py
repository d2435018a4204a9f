"""Why a layer stands where it stands, over the interface: numbers that add up, sentences for what cannot be told, a fixed cost."""

from decimal import Decimal

from django.db import connection
from django.test.utils import CaptureQueriesContext

from analysis.core.correlation import Parameters
from surveys import records
from surveys.models import Generation, Layer, Ruling, Sample
from surveys.work import correlating
from tests.surveys.api.conftest import problem


def correlate(cast, project, space):
    correlating.correlate(cast.conservator, project, [space], lambda done, total, now="": None)


def ask(api, layer, query="", who="owner"):
    answer = api(who).get(f"layers/{layer.pk}/why{query}")
    assert answer.status_code == 200, answer.content
    return answer.json()


def explained(paint):
    """A layer that has a runner-up."""
    return Layer.objects.filter(sample__element__space=paint.space, runner_up__isnull=False).order_by("sample__number", "position").first()


def test_terms_in_decibans_add_up_and_their_total_is_the_ratio_of_the_two_probabilities(api, cast, project, paint):
    correlate(cast, project, paint.space)
    layer = explained(paint)
    told = ask(api, layer)
    assert (told["layer"], told["generation"], told["against"]) == (str(layer), layer.generation.ordinal, layer.runner_up.ordinal)
    assert sum(Decimal(str(one["decibans"])) for one in told["terms"]) == Decimal(str(told["total"]))
    # 10 decibans are a factor of ten; the total is shown to a tenth.
    assert abs(10 ** (told["total"] / 10) / (told["probability"] / told["against_probability"]) - 1) < 0.02
    assert told["confidence"] == layer.confidence
    assert told["sentence"].startswith(f"{layer} stands in generation {layer.generation.ordinal}")
    assert told["notes"][0].startswith("The total is the ratio of the two probabilities")
    assert not any("Correlate it again" in note for note in told["notes"])


def test_the_confidence_on_record_is_told_as_the_mean_of_this_weighing_and_the_draws_of_the_search(api, cast, project, paint):
    correlate(cast, project, paint.space)
    weight = Parameters().draws_weight
    mixed = 0
    for layer in Layer.objects.filter(runner_up__isnull=False, placed_by="computed"):
        told = ask(api, layer)
        share = (layer.confidence - (1 - weight) * told["probability"]) / weight
        assert -1e-4 <= share <= 1 + 1e-4
        said = [note for note in told["notes"] if note.startswith("The chart says")]
        if abs(layer.confidence - told["probability"]) > 0.01:
            mixed += 1
            assert f"{int(min(1, max(0, share)) * 100 + 1e-9)} % by the draws of the search" in said[0]
    assert mixed


def test_another_generation_can_be_asked_for_and_one_that_is_not_there_is_told(api, cast, project, paint):
    correlate(cast, project, paint.space)
    layer = explained(paint)
    others = set(Generation.objects.filter(space=paint.space, layers__isnull=False).values_list("ordinal", flat=True)) - {
        layer.generation.ordinal
    }
    for other in others:
        assert ask(api, layer, f"?against={other}")["against"] == other
    told = ask(api, layer, "?against=99")
    assert (told["terms"], told["total"]) == ([], None)
    assert told["sentence"] == "No layer of space 101 stands in a generation 99, so it cannot be compared with."
    assert "itself stands in" in ask(api, layer, f"?against={layer.generation.ordinal}")["sentence"]
    problem(api("owner").get(f"layers/{layer.pk}/why?against=zero"), 400)
    problem(api("owner").get(f"layers/{layer.pk}/why?versus=2"), 400)


def test_a_layer_without_a_generation_or_of_a_sample_set_aside_is_told_in_a_sentence(api, cast, project, paint):
    layer = paint.layers["101-1"][0]
    assert "Correlate its space first" in ask(api, layer)["sentence"]
    correlate(cast, project, paint.space)
    sample = Sample.objects.get(pk=paint.first.pk)
    records.change(cast.conservator, project, Sample, sample.pk, sample.version, {"status": "set aside"})
    told = ask(api, layer)
    assert told["sentence"] == "Its sample is set aside, so it is not correlated."
    assert told["terms"] == []


def test_a_record_that_changed_since_is_weighed_anew_and_it_is_said(api, cast, project, paint):
    correlate(cast, project, paint.space)
    layer = explained(paint)
    first = paint.layers["101-1"][1]
    first.refresh_from_db()
    records.change(cast.conservator, project, Layer, first.pk, first.version, {"munsell": "N 1"})
    assert any("has changed since the space was correlated; this is weighed anew" in note for note in ask(api, layer)["notes"])


def test_a_hold_is_told_as_what_decides(api, cast, project, paint):
    correlate(cast, project, paint.space)
    layer = explained(paint)
    records.create(cast.conservator, project, Ruling, {"kind": "hold", "first_layer": layer.pk, "generation": layer.generation_id})
    correlate(cast, project, paint.space)
    told = ask(api, layer)
    assert told["decided_by_ruling"]
    assert told["sentence"].startswith(f"A ruling puts {layer} in generation")
    assert told["notes"] == ["What a ruling decides has no odds; the table says what everything else would say."]


def test_a_ruling_that_is_not_obeyed_yet_is_said_to_be_left_out(api, cast, project, paint):
    correlate(cast, project, paint.space)
    layer = explained(paint)
    other = Generation.objects.filter(space=paint.space).exclude(pk=layer.generation_id).exclude(layers=None).first()
    mate = Layer.objects.filter(generation=other).exclude(sample=layer.sample).first()
    records.create(cast.conservator, project, Ruling, {"kind": "tie", "first_layer": layer.pk, "second_layer": mate.pk})
    told = ask(api, layer)
    assert not told["decided_by_ruling"]
    assert any("left out of account" in note for note in told["notes"])


def test_reasons_cost_as_many_queries_for_many_samples_as_for_few(api, cast, project, paint):
    correlate(cast, project, paint.space)
    layer = explained(paint)

    def queries():
        with CaptureQueriesContext(connection) as counted:
            ask(api, layer)
        return len(counted)

    ask(api, layer)
    before = queries()
    for number in ("3", "4", "5"):
        sample = records.create(
            cast.conservator, project, Sample, {"number": f"101-{number}", "element": paint.door.pk, "base_state": "complete"}
        )
        for colour in ("N 6", "5GY 6/4"):
            records.create(cast.conservator, project, Layer, {"sample": sample.pk, "kind": "paint", "munsell": colour})
    correlate(cast, project, paint.space)
    assert queries() == before == 10


def test_a_layer_of_another_project_is_not_found(api, cast, project, paint):
    records.create_project(cast.owner, {"code": "ELSE", "name": "Elsewhere"})
    problem(api("owner").get(f"/api/v1/projects/ELSE/layers/{paint.layers['101-1'][0].pk}/why"), 404)

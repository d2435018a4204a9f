import pytest

from surveys import records, selectors
from surveys.errors import Forbidden
from surveys.models import Evidence, Generation, Layer, Phase, Ruling, Sample
from surveys.records import Found, InputChanged, Placed
from surveys.records.identities import match_in_order
from surveys.work import correlating, dating


def nothing(done, total, now=""):
    pass


def correlate(cast, project, paint):
    return correlating.correlate(cast.conservator, project, [paint.space], nothing)


def generations_of(sample):
    return list(Layer.objects.filter(sample=sample).order_by("position").values_list("generation__ordinal", flat=True))


def placed(paint, rows):
    """{layer id: Placed} from {layer: ordinal}."""
    return {
        str(layer.pk): Placed(ordinal=ordinal, confidence=0.9, runner_up=None, runner_up_confidence=None, held=False)
        for layer, ordinal in rows.items()
    }


def store(cast, project, paint, ordinals, count, held=()):
    """Store a correlation as if a kernel had found it: `ordinals` for the three layers of each sample."""
    rows = {layer: ordinal for sample in ("101-1", "101-2") for layer, ordinal in zip(paint.layers[sample], ordinals, strict=True)}
    found = [Found(0.9 if number else None, dict(held).get(number + 1, "")) for number in range(count)]
    digest = selectors.correlation_digest(paint.space.pk)
    return records.store_correlation(cast.conservator, project, paint.space, digest, "test", found, placed(paint, rows))


def test_correlation_places_every_layer_and_never_lets_generations_fall(cast, project, paint):
    told = correlate(cast, project, paint)
    assert told["spaces"][0]["layers"] == 6
    for sample in (paint.first, paint.second):
        found = generations_of(sample)
        assert None not in found
        assert found == sorted(found)


def test_like_stacks_fall_into_the_same_generations(cast, project, paint):
    correlate(cast, project, paint)
    assert generations_of(paint.first) == generations_of(paint.second)


def test_owner_cannot_correlate(cast, project, paint):
    with pytest.raises(Forbidden):
        correlating.correlate(cast.owner, project, [paint.space], nothing)


def test_a_bar_is_obeyed_when_the_space_is_correlated_again(cast, project, paint):
    correlate(cast, project, paint)
    one, two = paint.layers["101-1"][1], paint.layers["101-2"][1]
    assert Layer.objects.get(pk=one.pk).generation == Layer.objects.get(pk=two.pk).generation
    records.create(cast.conservator, project, Ruling, {"kind": "bar", "first_layer": one.pk, "second_layer": two.pk, "reason": "seen so"})
    correlate(cast, project, paint)
    assert Layer.objects.get(pk=one.pk).generation != Layer.objects.get(pk=two.pk).generation


def test_a_correlation_of_unchanged_input_changes_nothing(cast, project, paint):
    correlate(cast, project, paint)
    told = correlate(cast, project, paint)
    assert told["spaces"][0]["layers_changed"] == 0


def test_a_generation_keeps_its_identity_and_its_words_when_an_older_one_is_found(cast, project, paint):
    store(cast, project, paint, (1, 1, 2), 2)
    cream = Generation.objects.get(space=paint.space, ordinal=2)
    records.change(cast.conservator, project, Generation, cream.pk, cream.version, {"label": "cream"})
    store(cast, project, paint, (1, 2, 3), 3)
    cream.refresh_from_db()
    assert (cream.ordinal, cream.label, cream.earlier_ordinals[-1]["ordinal"]) == (3, "cream", 2)


def test_a_generation_that_nobody_named_and_nothing_shows_goes(cast, project, paint):
    store(cast, project, paint, (1, 2, 3), 3)
    store(cast, project, paint, (1, 1, 2), 2)
    assert list(Generation.objects.filter(space=paint.space).order_by("ordinal").values_list("ordinal", flat=True)) == [1, 2]


def test_a_generation_that_somebody_dated_stays_although_nothing_shows_it(cast, project, paint):
    store(cast, project, paint, (1, 2, 3), 3)
    green = Generation.objects.get(space=paint.space, ordinal=2)
    values = {"reference": "E-1", "statement": "Painted green.", "bears_on": "generation", "generation": green.pk}
    records.create(cast.historian, project, Evidence, values)
    store(cast, project, paint, (1, 1, 2), 2)
    assert Generation.objects.filter(pk=green.pk).exists()
    assert Generation.objects.filter(space=paint.space).count() == 3


def test_a_result_of_a_record_that_changed_meanwhile_is_not_stored(cast, project, paint):
    digest = selectors.correlation_digest(paint.space.pk)
    records.create(cast.conservator, project, Layer, {"sample": paint.first.pk, "kind": "varnish"})
    with pytest.raises(InputChanged):
        records.store_correlation(cast.conservator, project, paint.space, digest, "test", [], {})


def test_layers_of_a_sample_set_aside_are_not_correlated(cast, project, paint):
    records.change(cast.conservator, project, Sample, paint.second.pk, paint.second.version, {"status": "set aside"})
    correlate(cast, project, paint)
    assert generations_of(paint.second) == [None, None, None]


@pytest.mark.parametrize(
    ("shared", "pairs"),
    [
        ([], []),
        ([[5.0, 0.0], [0.0, 3.0]], [(0, 0), (1, 1)]),
        # A new generation between two old ones.
        ([[5.0, 0.0], [0.0, 0.0], [0.0, 3.0]], [(0, 0), (2, 1)]),
        # Crossing pairs: the heavier stays.
        ([[0.0, 9.0], [4.0, 0.0]], [(0, 1)]),
    ],
)
def test_identities_are_continued_in_order(shared, pairs):
    assert match_in_order(shared) == pairs


def test_dating_stores_bounds_with_the_records_that_set_them(cast, project, paint):
    store(cast, project, paint, (1, 2, 3), 3)
    green = Generation.objects.get(space=paint.space, ordinal=2)
    for reference, relation, year in (("E-1", "made after", 1824), ("E-2", "made before", 1850)):
        values = {"reference": reference, "statement": "…", "bears_on": "generation", "generation": green.pk, "relation": relation}
        values["earliest" if relation == "made after" else "latest"] = year
        records.create(cast.historian, project, Evidence, {**values, "certainty": "firm"})
    dating.date(cast.conservator, project, nothing)
    oldest, green, newest = Generation.objects.filter(space=paint.space).order_by("ordinal")
    assert (green.earliest, green.latest) == (1824, 1850)
    assert green.earliest_by[0]["key"] == "E-1"
    # Order carries a bound down to what is older and up to what is younger; the study's years close the rest.
    assert (oldest.earliest, oldest.latest) == (1790, 1850)
    assert (newest.earliest, newest.latest) == (1824, 2020)


def test_evidence_that_cannot_all_be_true_is_told_by_name(cast, project, paint):
    store(cast, project, paint, (1, 2, 3), 3)
    oldest, _, newest = Generation.objects.filter(space=paint.space).order_by("ordinal")
    for reference, generation, field, relation in (("E-1", oldest, "earliest", "made after"), ("E-2", newest, "latest", "made before")):
        values = {"reference": reference, "statement": "…", "bears_on": "generation", "generation": generation.pk, "relation": relation}
        records.create(cast.historian, project, Evidence, {**values, field: 1900 if field == "earliest" else 1800, "certainty": "firm"})
    conflicts = dating.answer(project)["conflicts"]
    assert len(conflicts) == 1
    assert {record["key"] for record in conflicts[0]["records"]} == {"E-1", "E-2"}


def test_a_phase_bounds_a_generation_that_is_given_it(cast, project, paint):
    store(cast, project, paint, (1, 2, 3), 3)
    phase = records.create(cast.historian, project, Phase, {"ordinal": 2, "label": "remodelling", "earliest": 1868, "latest": 1871})
    cream = Generation.objects.get(space=paint.space, ordinal=3)
    records.change(cast.conservator, project, Generation, cream.pk, cream.version, {"phase": phase.pk})
    dating.date(cast.conservator, project, nothing)
    cream.refresh_from_db()
    assert (cream.earliest, cream.latest) == (1868, 1871)

"""What an agreed interpretation rests on changes: it is for comment again, in the same act, and its thread says what changed."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys import records, selectors, workbooks
from surveys.errors import Forbidden, Invalid
from surveys.models import Change, Citation, Comment, Element, Generation, Interpretation, Layer, Phase, ReviewRequest, Sample
from surveys.records import Found, Operation, Placed
from tests.surveys.findings.conftest import cite
from tests.surveys.workbooks.books import book, headers

AGAIN = "This was agreed and is for comment again"


def note_of(record):
    """The last word in its thread."""
    return Comment.objects.filter(about_type="interpretation", about_id=record.pk).latest("created_at")


def reopened(findings, record, who, *words):
    """That it was put back in one act with the change, by whoever made that, with a note that says what changed."""
    record.refresh_from_db()
    note = note_of(record)
    person = findings.cast[who]
    assert (record.state, record.state_by, note.created_by) == ("for comment", person, person)
    assert note.text.startswith(AGAIN)
    assert record.state_reason == note.text
    for word in words:
        assert word in note.text
    line = Change.objects.filter(record_id=record.pk).latest("sequence")
    assert line.fields["state"] == ["agreed", "for comment"]
    assert Change.objects.filter(act=line.act, record_id=note.pk).exists()


def untouched(findings, record):
    assert findings.state(record) == "agreed"
    assert not Comment.objects.filter(about_id=record.pk).exists()


def test_an_edit_of_a_cited_layer(findings):
    record = findings.at("agreed")
    findings.change("coordinator", findings.layer, colour="blue", munsell="")
    reopened(findings, record, "coordinator", "layer 101-1/2", "colour from 'green' to 'blue'", "munsell from '5GY 6/4' to blank")


def test_a_paste_that_reaches_two_interpretations_tells_each_of_its_own(findings):
    other = findings.paint.layers["101-2"][0]
    one, two, three = findings.at("agreed"), findings.at("agreed", cites=cite(other)), findings.at("agreed", cites=cite(findings.evidence))
    rows = [Operation("change", {"sheen": "matt"}, str(layer.pk), 1) for layer in (findings.layer, other)]
    records.batch(findings.cast.conservator, findings.project, Layer, rows)
    reopened(findings, one, "conservator", "101-1/2: sheen from blank to 'matt'")
    reopened(findings, two, "conservator", "101-2/1: sheen from blank to 'matt'")
    assert "101-2/1" not in note_of(one).text
    untouched(findings, three)


def test_evidence_that_is_read_anew(findings):
    record = findings.at("agreed", cites=cite(findings.evidence))
    findings.change("historian", findings.evidence, earliest=1806, latest=1826)
    reopened(findings, record, "historian", "evidence E-1", "latest from blank to '1826'")


def test_a_sample_is_its_layers_too(findings):
    record = findings.at("agreed", cites=cite(findings.paint.first))
    findings.change("conservator", findings.paint.first, base_state="stripped")
    reopened(findings, record, "conservator", "sample 101-1: base state from 'complete' to 'stripped'")
    findings.move(record, "historian", "agreed")
    findings.change("conservator", findings.layer, kind="glaze")
    reopened(findings, record, "conservator", "layer 101-1/2: kind from 'paint' to 'glaze'")
    findings.move(record, "historian", "agreed")
    records.create(findings.cast.conservator, findings.project, Layer, {"sample": findings.paint.first.pk, "kind": "varnish"})
    reopened(findings, record, "conservator", "layer 101-1/4 was added")


def test_a_removal_and_what_is_brought_back(findings):
    record = findings.at("agreed", cites=cite(findings.paint.first))
    top = findings.paint.layers["101-1"][2]
    records.remove(findings.cast.conservator, findings.project, Layer, top.pk, top.version)
    reopened(findings, record, "conservator", "layer 101-1/3 was removed")
    findings.move(record, "historian", "agreed")
    records.restore(findings.cast.coordinator, findings.project, Change.objects.get(record_id=top.pk, action="removed").act)
    reopened(findings, record, "coordinator", "layer 101-1/3 was brought back")


def test_a_layer_put_in_beneath_moves_a_cited_one(findings):
    record = findings.at("agreed")
    values = {"sample": findings.paint.first.pk, "kind": "size", "position": 1}
    records.create(findings.cast.conservator, findings.project, Layer, values)
    reopened(findings, record, "conservator", "position from '2' to '3'")


def test_an_import(findings):
    record = findings.at("agreed")
    names = headers("Layers")
    row = {"Sample": "101-1", "Layer": 2, "Kind": "paint", "Colour": "olive"}
    content = book({"Layers": [names, [row.get(name) for name in names]]})
    workbooks.load(findings.cast.historian, findings.project, "a.xlsx", content)
    reopened(findings, record, "historian", "colour from 'green' to 'olive'")


def correlate(findings, ordinals, confidence=0.9):
    """Store a correlation as if a kernel had found it."""
    paint = findings.paint
    placed = {
        str(layer.pk): Placed(ordinal, confidence, None, None, held=False)
        for sample in ("101-1", "101-2")
        for layer, ordinal in zip(paint.layers[sample], ordinals, strict=True)
    }
    found = [Found(0.9 if number else None) for number in range(max(ordinals))]
    digest = selectors.correlation_digest(paint.space.pk)
    return records.store_correlation(findings.cast.conservator, findings.project, paint.space, digest, "test", found, placed)


def test_a_correlation_that_moves_a_cited_layer_and_only_such(findings):
    correlate(findings, (1, 2, 3))
    record = findings.at("agreed")
    top = findings.at("agreed", cites=cite(findings.paint.layers["101-1"][2]))
    correlate(findings, (1, 1, 2))
    reopened(findings, record, "conservator", "layer 101-1/2: generation from")
    # The topmost layers keep their generation, which is only numbered anew.
    untouched(findings, top)


def test_how_sure_a_placement_is_reopens_nothing(findings):
    correlate(findings, (1, 2, 3))
    record = findings.at("agreed", cites=cite(findings.layer, findings.paint.first))
    correlate(findings, (1, 2, 3), confidence=0.4)
    assert Layer.objects.get(pk=findings.layer.pk).confidence == 0.4
    untouched(findings, record)


def test_what_it_is_about_counts_as_well(findings):
    generation = records.create(findings.cast.conservator, findings.project, Generation, {"space": findings.paint.space.pk})
    phase = records.create(findings.cast.conservator, findings.project, Phase, {"label": "first", "earliest": 1790})
    about = {
        "layer": (findings.paint.layers["101-2"][0], {"colour": "pink"}),
        "element": (findings.paint.door, {"position": "south wall"}),
        "generation": (generation, {"phase": phase.pk}),
        "phase": (phase, {"earliest": 1800}),
    }
    for subject, (target, values) in about.items():
        record = findings.at("agreed", subject=subject, **{subject: str(target.pk)}, cites=cite(findings.evidence))
        findings.change("historian", target, **values)
        reopened(findings, record, "historian", subject)


def test_a_generation_that_is_only_numbered_anew_is_the_same(findings):
    space = {"space": findings.paint.space.pk}
    make = lambda **values: records.create(findings.cast.conservator, findings.project, Generation, {**space, **values})  # noqa: E731
    generation = make()
    record = findings.at("agreed", subject="generation", generation=str(generation.pk))
    make(ordinal=1)
    generation.refresh_from_db()
    assert generation.ordinal == 2
    untouched(findings, record)


def test_two_generations_that_are_joined(findings):
    correlate(findings, (1, 2, 3))
    one, two = Generation.objects.order_by("ordinal")[:2]
    record = findings.at("agreed", subject="generation", generation=str(two.pk), cites=cite(findings.evidence))
    records.join(findings.cast.coordinator, findings.project, one.pk, one.version, two.pk, two.version)
    record.refresh_from_db()
    assert (record.generation, record.state) == (one, "for comment")
    # Who joined them wrote none of its text, and may agree to it.
    findings.move(record, "coordinator", "agreed")


def test_its_own_text_put_otherwise(findings):
    record = findings.at("agreed")
    findings.change("conservator", record, statement="First painted in green.")
    reopened(findings, record, "conservator", "its text was changed")
    findings.move(record, "historian", "agreed")
    findings.change("conservator", record, citations=cite(findings.evidence))
    reopened(findings, record, "conservator", "its text was changed")


def test_a_cited_interpretation_that_falls_takes_along_what_rests_on_it(findings):
    ground = findings.at("agreed")
    middle = findings.at("agreed", cites=cite(ground))
    top = findings.at("agreed", cites=cite(middle))
    aside = findings.at("agreed", cites=cite(findings.evidence))
    findings.move(ground, "owner", "disputed", "I doubt it.")
    for record, cause in ((middle, ground), (top, middle)):
        reopened(findings, record, "owner", f"interpretation {cause.number} is no longer agreed")
    untouched(findings, aside)
    assert len({Change.objects.filter(record_id=one.pk).latest("sequence").act for one in (ground, middle, top)}) == 1


def test_a_change_far_below_reaches_all_that_rests_on_it(findings):
    ground = findings.at("agreed")
    top = findings.at("agreed", cites=cite(ground))
    findings.change("historian", findings.layer, colour="blue")
    reopened(findings, ground, "historian", "colour")
    reopened(findings, top, "historian", f"interpretation {ground.number} is no longer agreed")


def test_one_that_is_replaced_reopens_what_cites_it_but_not_what_replaces_it(findings):
    older = findings.at("agreed")
    citing = findings.at("agreed", cites=cite(older))
    newer = findings.at("for comment", supersedes=str(older.pk), cites=cite(older))
    findings.move(newer, "historian", "agreed")
    reopened(findings, citing, "historian", f"interpretation {older.number} is no longer agreed")
    untouched(findings, newer)


@pytest.mark.parametrize("state", ["working", "for comment", "disputed", "superseded"])
def test_what_is_not_agreed_stays_where_it_is(findings, state):
    record = findings.at(state)
    findings.change("historian", findings.layer, colour="blue")
    assert findings.state(record) == state


def test_where_a_sample_is_kept_is_nobodys_ground(findings):
    record = findings.at("agreed", cites=cite(findings.paint.first))
    findings.change("conservator", findings.paint.first, kept_at="drawer 4", bag="B-2", mount="M-1", taken_by="C. V.")
    untouched(findings, record)


def test_who_had_looked_is_asked_again(findings, cast, project):
    record = findings.at("for comment")
    records.ask_review(cast.conservator, project, record.pk, ["historian"])
    findings.move(record, "historian", "agreed")
    assert ReviewRequest.objects.get().answered_at is not None
    findings.change("conservator", findings.layer, colour="blue")
    assert ReviewRequest.objects.get().answered_at is None


def test_an_act_that_is_refused_reopens_nothing(findings):
    record = findings.at("agreed")
    with pytest.raises(Forbidden):
        findings.change("owner", findings.layer, colour="blue")
    rows = [Operation("change", {"colour": "blue"}, str(findings.layer.pk), 1), Operation("create", {"kind": "paint"})]
    with pytest.raises(Invalid):
        records.batch(findings.cast.conservator, findings.project, Layer, rows)
    untouched(findings, record)


def test_what_comes_with_its_ground_in_one_act_stays_as_it_came(findings, cast, project):
    with records.writing(cast.coordinator, project) as pen:
        sample = Sample(project=project, number="B-1", element=findings.paint.door)
        layer = Layer(project=project, sample=sample, position=1, kind="paint")
        told = {"discipline": "archaeology", "subject": "layer", "layer": layer, "statement": "x", "state": "agreed", "number": 9}
        record = Interpretation(project=project, **told)
        for made in (sample, layer, record, Citation(project=project, interpretation=record, kind="sample", sample=sample)):
            pen.create([made])
    assert findings.state(record) == "agreed"
    findings.change("historian", Layer.objects.get(pk=layer.pk), colour="blue")
    assert findings.state(record) == "for comment"


def test_the_words_of_a_note_are_bounded(findings):
    record = findings.at("agreed", cites=cite(findings.paint.first))
    findings.change("conservator", findings.paint.first, notes="n" * 19_000)
    rows = [Operation("create", {"sample": str(findings.paint.first.pk), "kind": "paint"}) for _ in range(40)]
    assert "notes (changed)" in note_of(record).text
    findings.move(record, "historian", "agreed")
    records.batch(findings.cast.conservator, findings.project, Layer, rows)
    assert "and 28 more changes" in note_of(record).text
    assert len(Interpretation.objects.get(pk=record.pk).state_reason) <= 2_000


def more_queries(findings, many):
    """What a paste over so many layers, all of one cited sample, costs more once what cites it is agreed."""
    element = records.create(findings.cast.conservator, findings.project, Element, element_values(findings, many))
    sample = records.create(findings.cast.conservator, findings.project, Sample, {"number": f"S{many}", "element": element.pk})
    rows = [Operation("create", {"sample": str(sample.pk), "kind": "paint"}) for _ in range(many)]
    made = [outcome.record for outcome in records.batch(findings.cast.conservator, findings.project, Layer, rows)]
    record = findings.at("for comment", cites=cite(sample, *made[:2]))
    before = pasted(findings, made, "red")
    findings.move(record, "historian", "agreed")
    after = pasted(findings, made, "blue")
    assert findings.state(record) == "for comment"
    return after - before


def pasted(findings, layers, colour):
    rows = [Operation("change", {"colour": colour}, str(one.pk), Layer.objects.get(pk=one.pk).version) for one in layers]
    with CaptureQueriesContext(connection) as caught:
        records.batch(findings.cast.conservator, findings.project, Layer, rows)
    return len(caught)


def element_values(findings, many):
    return {"code": f"E{many}", "space": findings.paint.space.pk, "element_class": "wall"}


def test_it_costs_the_same_however_large_the_act_is(findings):
    assert more_queries(findings, 3) == more_queries(findings, 300) <= 12

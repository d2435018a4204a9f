"""Rows of a finish schedule: what the evidence says, what a person set in its place, and what changed."""

from dataclasses import replace

import pytest

from analysis.core.as_of import FOUND, Candidate, Colour, ElementAsOf, Finish, FinishLayer
from analysis.core.colour import ImpossibleMunsell
from analysis.core.gloss import LEVELS, gloss_range
from analysis.core.schedules import MARKS, NO_EVIDENCE, Additions, differences, row_of, with_additions

GREEN = Colour("K-1/3", "5GY 6/4", False, (61.7, -11.0, 24.0), "#87996c", True, 2.4, 3, "green", "")


def finish(*, samples=("K-1", "K-2"), colour=GREEN, sheen="satin", technique="", recorded=""):
    layers = (FinishLayer("paint", 2, ("K-1/2", "K-1/3"), samples, colour), FinishLayer("varnish", 1, ("K-1/4",), samples, None))
    return Finish("paint, varnished", recorded, layers, "", sheen, colour, 0.91, samples, ("K-1/2", "K-1/3", "K-1/4"), ())


def answer(in_force=None, others=(), probability=0.97):
    candidate = Candidate(4, probability, in_force or finish())
    return ElementAsOf("103-BB", "103", "baseboard", "wood", FOUND, candidate, others, "surely", ("K-1", "K-2", "K-9"), (), "A sentence.")


NOTHING = ElementAsOf(
    "103-CO",
    "103",
    "cornice",
    "plaster",
    "no evidence",
    None,
    (),
    "no evidence",
    (),
    (),
    "No evidence: no sample was taken of it.",
)


def test_a_row_names_the_finish_with_its_coats_the_colour_the_gloss_and_what_it_rests_on():
    row = row_of(answer(), position="north wall", review="agreed")
    assert (row.space, row.element, row.position, row.substrate, row.generation) == ("103", "103-BB", "north wall", "wood", 4)
    assert row.finish == "paint in 2 coats, varnish"
    assert (row.munsell, row.lab, row.spread, row.readings) == ("5GY 6/4", (61.7, -11.0, 24.0), 2.4, 3)
    assert row.samples == ("K-1", "K-2")
    assert (row.probability, row.certainty, row.placed) == (0.97, "surely", 0.91)
    assert row.gloss == "20–35 GU at 60°, 35 or more GU at 85° (G4)"
    assert row.marks == ("as found",)


def test_an_element_without_evidence_is_a_row_that_says_so_and_names_no_finish():
    row = row_of(NOTHING)
    assert row.state == NO_EVIDENCE
    assert (row.finish, row.munsell, row.lab, row.samples) == ("", "", None, ())
    assert row.marks == ("no evidence", "not agreed")
    assert row.doubts[0] == "No evidence: no sample was taken of it."


@pytest.mark.parametrize(
    ("state", "mark"), [("", "not agreed"), ("working", "not agreed"), ("for comment", "not agreed"), ("disputed", "disputed")]
)
def test_what_is_not_agreed_is_marked(state, mark):
    assert mark in row_of(answer(), review=state).marks


def test_a_single_sample_and_a_near_alternative_are_marked_and_the_alternative_is_named():
    other = Candidate(5, 0.4, finish(colour=replace(GREEN, munsell="10YR 8/2")))
    row = row_of(answer(finish(samples=("K-1",)), (other,), 0.6), review="agreed")
    assert row.marks == ("one sample", "uncertain", "as found")
    assert row.alternatives == ("generation 5: paint in 2 coats, varnish, 10YR 8/2 (40%)",)


def test_a_person_sets_something_in_place_and_what_was_computed_stays_beside_it():
    computed = row_of(answer(), review="agreed")
    row = with_additions(
        computed, Additions(munsell="10YR 8/2", sheen="eggshell", reason="The owner decided.", by="Owen", remarks="Two coats.")
    )
    assert (row.munsell, row.computed_munsell) == ("10YR 8/2", "5GY 6/4")
    assert (row.sheen, row.computed_sheen, row.gloss) == ("eggshell", "satin", "10–25 GU at 60°, 10–35 GU at 85° (G3)")
    assert (row.spread, row.readings, row.computed_finish) == (None, 0, "")
    assert "by decision" in row.marks
    assert "as found" not in row.marks
    # ASTM D1535: at value 8 Y = 57.6196; L* = 116 · 0.576196^(1/3) - 16 = 80.53 by hand. Adaptation from C to D65 alters L* very little.
    assert row.lab is not None
    assert row.lab[0] == pytest.approx(80.53, abs=0.1)


def test_what_is_set_where_there_was_no_evidence_says_that_there_was_none():
    row = with_additions(row_of(NOTHING), Additions(finish="as the wall", reason="By analogy.", by="Cora"))
    assert (row.finish, row.computed_finish) == ("as the wall", NO_EVIDENCE)
    assert row.marks == ("no evidence", "not agreed", "by decision")


def test_a_notation_of_which_there_is_no_chip_is_refused():
    with pytest.raises(ImpossibleMunsell, match="no such chip"):
        with_additions(row_of(answer()), Additions(munsell="5Y 1/30", reason="x", by="Cora"))


def test_every_mark_is_explained_in_a_sentence():
    assert all(meaning.endswith(".") and ":" in meaning for meaning in MARKS.values())


# The published table: MPI gloss levels, maximum and minimum at 60°, and at 85°; measured by ASTM D523.
MPI = {
    "G1": (None, 5, None, 10), "G2": (None, 10, 10, 35), "G3": (10, 25, 10, 35), "G4": (20, 35, 35, None), "G5": (35, 70, None, None),
    "G6": (70, 85, None, None), "G7": (85, None, None, None),
}  # fmt: skip


def test_gloss_levels_are_those_of_the_published_table():
    assert {one.level: (one.least, one.most, one.least_85, one.most_85) for one in LEVELS} == MPI


@pytest.mark.parametrize(
    ("word", "level"), [("Dead flat", "G1"), ("eggshell", "G3"), ("egg-shell", "G3"), ("semi-gloss", "G5"), ("HIGH GLOSS", "G7")]
)
def test_a_word_for_sheen_finds_its_level(word, level):
    assert gloss_range(word).level == level


@pytest.mark.parametrize("word", ["", "waxy", "enamelled", "glossless"])
def test_a_word_that_stands_for_no_level_gets_no_range(word):
    assert gloss_range(word) is None


def test_what_changed_is_told_field_by_field_with_new_rows_and_rows_taken_out():
    before = [row_of(answer(), review="for comment"), row_of(NOTHING)]
    after = [
        with_additions(row_of(answer(finish(sheen="gloss")), review="agreed"), Additions(hold_point="mock-up first")),
        replace(before[0], element="103-DL"),
    ]
    told = [(one.element, one.what, one.before, one.after) for one in differences(before, after)]
    assert told == [
        ("103-BB", "sheen", "satin", "gloss"),
        ("103-BB", "review state", "for comment", "agreed"),
        ("103-BB", "marks", "not agreed, as found", "as found"),
        ("103-BB", "hold point", "", "mock-up first"),
        ("103-DL", "new row", "", "paint in 2 coats, varnish"),
        ("103-CO", "row taken out", "no evidence", ""),
    ]


def test_nothing_changed_is_nothing_told():
    rows = [row_of(answer(), review="agreed"), row_of(NOTHING)]
    assert differences(rows, list(rows)) == ()

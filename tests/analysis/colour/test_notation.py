"""Munsell notation: one way of writing it, and a sentence for each way of getting it wrong."""

import math

import pytest

from analysis.core.colour import ImpossibleMunsell, MunsellNotation, parse_munsell


@pytest.mark.parametrize(
    ("written", "canonical"),
    [
        ("10YR 7/4", "10YR 7/4"),
        ("10yr 7/4", "10YR 7/4"),
        ("  10 YR 7 / 4 ", "10YR 7/4"),
        ("10YR7/4", "10YR 7/4"),
        ("10.0YR 7.0/4.0", "10YR 7/4"),
        ("8.7YR 7.3/2.6", "8.7YR 7.3/2.6"),
        ("7,5YR 4/4", "7.5YR 4/4"),
        (".5Y 8/2", "0.5Y 8/2"),
        ("2.5Y 8.5⁄2", "2.5Y 8.5/2"),
        ("10YR\u00a07/4", "10YR 7/4"),
        ("N 9", "N 9"),
        ("N9", "N 9"),
        ("n9/", "N 9"),
        ("N 9/", "N 9"),
        ("N 9.5/0", "N 9.5"),
        ("N 0", "N 0"),
        ("N 10", "N 10"),
    ],
)
def test_a_notation_in_any_usual_writing_has_one_canonical_text(written, canonical):
    assert str(parse_munsell(written)) == canonical
    assert parse_munsell(canonical) == parse_munsell(written)


@pytest.mark.parametrize(
    ("written", "canonical"), [("0Y 7/4", "10YR 7/4"), ("0R 5/6", "10RP 5/6"), ("0YR 5/6", "10R 5/6"), ("0GY 8/6", "10Y 8/6")]
)
def test_hue_0_of_a_family_is_written_as_10_of_the_one_before(written, canonical):
    assert str(parse_munsell(written)) == canonical


def test_chroma_0_of_any_hue_is_the_neutral():
    assert parse_munsell("5Y 8/0") == parse_munsell("N 8")


def test_the_parts_are_numbers_to_work_with():
    assert parse_munsell("10YR 7/4") == MunsellNotation(hue=10.0, family="YR", value=7.0, chroma=4.0)
    assert parse_munsell("10YR 7/4").hue_number == 20
    assert parse_munsell("5R 4/4").hue_number == 5
    assert parse_munsell("10RP 4/4").hue_number == 100
    neutral = parse_munsell("N 8.5")
    assert (neutral.hue, neutral.family, neutral.value, neutral.chroma) == (None, "N", 8.5, 0.0)
    assert math.isnan(neutral.hue_number)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("11YR 7/4", "hue 11YR, which does not exist: the step before the family runs from 0 to 10"),
        ("10.5YR 7/4", "hue 10.5YR, which does not exist"),
        ("-1YR 7/4", "hue -1YR, which does not exist"),
        ("5X 7/4", "no hue family that exists: X. The families are R, YR, Y"),
        ("5RY 7/4", "no hue family that exists: RY"),
        ("5Y 11/2", "value 11; value runs from 0"),
        ("5Y -1/2", "value -1; value runs from 0"),
        ("N 10.5", "value 10.5; value runs from 0"),
        ("N -1", "value -1; value runs from 0"),
        ("5Y 8/-2", "chroma -2; chroma starts at 0"),
        ("5R 4/30", "no such chip: at 5R 4/ the renotation ends at chroma /"),
        ("5Y 10/2", "no such chip: at 5Y 10/ the renotation has only neutrals"),
        ("5Y 0.1/1", "no such chip: at 5Y 0.1/ the renotation has only neutrals"),
        ("N 8/(Y,0.5)", "Write the hue step out, for instance 5Y 8/0.5"),
        ("N8/(GY 0.3)", "Write the hue step out"),
        ("N 8/2", "no Munsell notation"),
        ("10YR 7", "no Munsell notation. Write hue, value and chroma like 10YR 7/4"),
        ("YR 7/4", "no Munsell notation"),
        ("10YR 7/4/2", "no Munsell notation"),
        ("10YR 7/4 or so", "no Munsell notation"),
        ("5R 4/1e3", "no Munsell notation"),
        ("5R nan/4", "no Munsell notation"),
        ("٥R 4/4", "no Munsell notation"),
        ("cream", "no Munsell notation"),
        ("", "no Munsell notation"),
    ],
)
def test_an_impossible_notation_is_refused_with_a_sentence_that_says_why(written, said):
    with pytest.raises(ImpossibleMunsell) as refusal:
        parse_munsell(written)
    assert said in str(refusal.value)
    assert str(refusal.value).endswith(".")
    assert isinstance(refusal.value, ValueError)


def test_a_refusal_quotes_the_text_shortened_and_without_control_characters():
    with pytest.raises(ImpossibleMunsell) as refusal:
        parse_munsell("a\x00b\n" + "c" * 500)
    assert "a·b·ccc" in str(refusal.value)
    assert len(str(refusal.value)) < 200

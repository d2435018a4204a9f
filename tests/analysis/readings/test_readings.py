"""Readings of elements beside their neighbours: counts, what is missing, what follows and in which words."""

from dataclasses import replace

import pytest

from analysis.core.elements import Element, Layer, Sample
from analysis.core.readings import Making, Reading, Span, read_elements

SPANS = tuple(Span(number, 1780 + 20 * number, 1790 + 20 * number) for number in range(1, 9))


def element(code: str, ordinals: list[int], base: str = "complete", top: str = "complete", boundary: str = "", **more: object) -> Element:
    layers = tuple(
        Layer(f"{code}/{place}", place, "paint", lower_boundary=boundary if place == 1 else "", generation=ordinal, confidence=0.95)
        for place, ordinal in enumerate(ordinals, start=1)
    )
    return Element(code, "1", "door leaf", "wood", (Sample(f"S-{code}", base, top, layers),))


ROOM = [element(f"N{number}", list(range(1, 9))) for number in range(6)]


def read(one: Element, makings: tuple[Making, ...] = (), others: list[Element] | None = None) -> Reading:
    found = read_elements([one, *(ROOM if others is None else others)], {"1": SPANS}, makings)
    return found[0]


def test_an_element_that_carries_all_reaches_generation_1_in_one_sentence_with_the_numbers() -> None:
    found = read(element("D", list(range(1, 9))))
    assert found.conclusion == "from the start"
    assert found.certainty is not None
    assert found.certainty > 0.95
    assert found.sentence.startswith(
        "Door leaf D carries 8 of the 8 generations that it could, where its 6 neighbours carry 8; it reaches generation 1 ("
    )
    assert (found.missing_before, found.missing_between, found.missing_after) == ((), (), ())


def test_what_is_missing_is_told_before_between_and_after() -> None:
    found = read(element("D", [3, 5, 6]))
    assert (found.first, found.last) == (3, 6)
    assert (found.missing_before, found.missing_between, found.missing_after) == ((1, 2), (4,), (7, 8))
    assert found.could == tuple(range(1, 9))


def test_a_lost_top_and_a_base_not_reached_take_from_what_it_could_carry() -> None:
    found = read(element("D", [3, 5, 6], base="not reached", top="lost"))
    assert found.could == (3, 4, 5, 6)
    assert (found.missing_before, found.missing_after) == ((), ())
    assert found.conclusion == "beginning not seen"
    assert found.certainty is None
    assert "no sample reaches its substrate, so its beginning is not seen" in found.sentence


def test_a_late_start_on_a_complete_base_is_an_insertion_with_the_years_of_its_first_generation() -> None:
    found = read(element("D", [5, 6, 7, 8]))
    assert found.conclusion == "inserted"
    assert "carries 4 of the 8 generations that it could" in found.sentence
    assert "it starts at generation 5 of 1880 to 1890: inserted about then (" in found.sentence


@pytest.mark.parametrize(("base", "boundary"), [("stripped", ""), ("unknown", "scraped or scorched")])
def test_a_late_start_on_a_stripped_base_or_a_scraped_surface_is_a_stripping(base: str, boundary: str) -> None:
    found = read(element("D", [5, 6, 7, 8], base=base, boundary=boundary))
    assert found.conclusion == "stripped"
    assert "stripped before" in found.sentence


def test_where_nothing_tells_them_apart_both_are_said_and_what_would_tell() -> None:
    found = read(element("D", [5, 6, 7, 8], base="unknown"))
    assert found.conclusion == "inserted or stripped"
    assert "inserted about then or stripped before" in found.sentence
    assert found.sentence.endswith("the state of its base would tell.")


def test_evidence_of_its_making_decides_and_is_named() -> None:
    # Generation 4 is not later than 1870, generation 5 not earlier than 1880: an element of 1875 came between the two.
    found = read(element("D", [5, 6, 7, 8], base="unknown"), (Making("D", 1875, 1875, "E-08"),))
    assert found.conclusion == "inserted"
    assert "E-08 says that it was made in 1875, later than the first paint of the space." in found.because
    other = read(element("D", [5, 6, 7, 8], base="unknown"), (Making("X", 1875, 1875, "E-08"),))
    assert other.conclusion == "inserted or stripped"


def test_evidence_that_it_is_as_old_as_the_house_makes_a_late_start_a_stripping() -> None:
    # Generation 1 is of 1800 to 1810: an element of 1798 was there for it.
    found = read(element("D", [5, 6, 7, 8], base="unknown"), (Making("D", 1798, 1798, "E-01"),))
    assert found.conclusion == "stripped"


def test_films_that_fit_no_neighbour_below_a_gap_were_brought_from_elsewhere() -> None:
    others = [element(f"N{number}", [2, 4, 5, 6, 7, 8]) for number in range(6)]
    found = read(element("D", [1, 3, 7, 8]), others=others)
    assert found.foreign == (1, 3)
    assert found.conclusion == "reused"
    assert found.begins == 7
    assert (
        "its films in generations 1 and 3 fit no neighbour: brought from elsewhere, and set up before generation 7 of 1920 to 1930 ("
        in found.sentence
    )
    assert "Generations 1 and 3 are shown by no other element." in found.because


def test_nothing_is_said_to_be_brought_while_too_little_of_its_kind_with_older_paint_stands_beside_it() -> None:
    walls = [Element(f"W{number}", "1", "wall", samples=element(f"W{number}", [2, 4, 5, 6, 7, 8]).samples) for number in range(6)]
    found = read(element("D", [1, 3, 7, 8]), others=walls)
    assert found.conclusion == "undecided"
    assert found.because[-1] == "Too little other door leaf with older paint stands beside it to tell what it brought."


@pytest.mark.parametrize(
    ("older", "words"),
    [(0, "as early as any of them"), (1, "as early as all but 1 of them"), (4, "as an element may that the earlier campaigns left out")],
)
def test_an_element_that_starts_later_and_may_have_stood_from_the_start_is_told_beside_the_others(older: int, words: str) -> None:
    late = [element(f"N{number}", [2, 3, 4, 5, 6, 7, 8]) for number in range(6 - older)]
    early = [element(f"M{number}", list(range(1, 9))) for number in range(older)]
    found = read(element("D", [2, 3, 4, 5, 6, 7, 8], boundary=""), (Making("D", 1790, 1790, "E-01"),), [*late, *early])
    assert found.conclusion == "from the start"
    assert found.neighbours.earlier == older
    assert words in found.sentence


def test_where_it_carries_few_beside_its_neighbours_the_numbers_stand_in_the_sentence() -> None:
    others = [element("A", [1, 2]), element("B", [1, 2, 3]), element("C", [1, 2, 3, 4, 5]), element("E", list(range(1, 9)))]
    found = read(element("D", [8]), others=others)
    # Neighbours carry 2, 3, 5 and 8: of the two in the middle the lower is 3.
    assert (found.neighbours.elements, found.neighbours.fewest, found.neighbours.median, found.neighbours.most) == (4, 2, 3, 8)
    assert "carries 1 of the 8 generations that it could, where its 4 neighbours carry 2 to 8, half of them 3 or more" in found.sentence


@pytest.mark.parametrize(
    ("one", "why"),
    [
        (Element("D", "1", "door leaf"), "it has no sample"),
        (Element("D", "1", "door leaf", samples=(Sample("S"),)), "no layer of it is recorded"),
        (Element("D", "1", "door leaf", samples=(Sample("S", layers=(Layer("S/1", 1, "paint"),)),)), "no layer of it is placed"),
    ],
)
def test_no_evidence_is_an_answer(one: Element, why: str) -> None:
    found = read(one)
    assert found.conclusion == "no evidence"
    assert found.chances == ()
    assert found.certainty is None
    assert why in found.sentence


def test_alone_in_its_space_nothing_is_weighed() -> None:
    found = read(element("D", [2, 3]), others=[])
    assert found.conclusion == "undecided"
    assert found.certainty is None
    assert found.because == ("No other element of the space shows enough to compare with.",)


def test_a_film_in_an_old_generation_that_is_placed_with_little_confidence_does_not_make_it_old() -> None:
    sample = element("D", [1, 6, 7, 8]).samples[0]
    doubtful = replace(sample, layers=(replace(sample.layers[0], confidence=0.3), *sample.layers[1:]))
    found = read(Element("D", "1", "door leaf", "wood", (doubtful,)))
    assert found.conclusion == "inserted"
    assert (found.first, found.begins) == (1, 6)
    assert "it starts at generation 6 of 1900 to 1910, if what stands in generation 1 is misplaced: inserted about then" in found.sentence
    assert "Its films in generation 1 are placed with little confidence." in found.because


def test_the_order_of_elements_and_samples_changes_no_reading() -> None:
    given = [element("D", [5, 6, 7, 8], base="unknown"), element("F", [1, 3, 8]), *ROOM]
    forward = {one.element: one for one in read_elements(given, {"1": SPANS})}
    backward = {one.element: one for one in read_elements(given[::-1], {"1": SPANS})}
    assert forward == backward


def test_published_panelling_of_1795_in_a_house_of_1738_is_later_than_its_house() -> None:
    # Stratford Hall, dining room (A Vivid View, 2017, p. 2): the house is of 1738, its panelling of 1795 carries six generations. The
    # other elements of the room are invented: they carry three generations before it.
    spans = (Span(1, 1738, 1760), Span(2, 1740, 1780), Span(3, 1750, 1794), *(Span(number, 1795, 1937) for number in range(4, 10)))
    others = [element(f"N{number}", list(range(1, 10))) for number in range(5)]
    panelling = element("wainscot", [4, 5, 6, 7, 8, 9], base="complete")
    (found, *_) = read_elements([panelling, *others], {"1": spans}, (Making("wainscot", 1795, 1795, "E-02"),))
    assert len(found.carried) == 6
    assert found.conclusion == "inserted"
    assert "it starts at generation 4 of 1795 to 1937: inserted about then" in found.sentence


def test_published_bed_the_carved_canopy_carries_four_generations_and_its_neighbours_one() -> None:
    # S. L. Buck on a bed (about 2015): shellac, with or over a stain, is generation 1 on every sample; the canopy carries three later ones.
    canopy = Element("canopy", "1", "bed", samples=(element("4", [1, 2, 3, 4]).samples[0], element("3", [1]).samples[0]))
    others = [element("rail", [1]), element("frame", [1]), element("foot", [1])]
    (found, rail, *_) = read_elements([canopy, *others], {"1": [Span(number) for number in range(1, 5)]})
    assert found.carried == (1, 2, 3, 4)
    assert (found.neighbours.fewest, found.neighbours.most) == (1, 1)
    assert rail.missing_after == (2, 3, 4)

"""A published case: the dining-room wainscot of Stratford Hall, Virginia.

Source: *A Vivid View* (museum publication, 2017), page 2. The house was built in 1738; the panelling is of 1795 and was taken down in
1937; it carries six generations of paint. So every generation lies within 1795-1937 by the element's own evidence, though
the house allows fifty-seven years more.
"""

from analysis.core.dating import Element, Generation, Records, Statement, date_generations, distributions

GENERATIONS = tuple(Generation(f"g{number}", "dining room", number) for number in range(1, 7))
HOUSE = Statement("house", "structure", "", "made in", 1738, label="E-01")
MADE = Statement("made", "element", "wainscot", "made in", 1795, label="E-02")
# Paint on a thing is no later than its removal: entered on the last generation that it carries.
REMOVED = Statement("removed", "generation", "g6", "made before", 1937, label="E-03")
RECORDS = Records(GENERATIONS, statements=(HOUSE, MADE, REMOVED), elements=(Element("wainscot", tuple(one.key for one in GENERATIONS)),))


def test_all_six_generations_lie_within_the_life_of_the_panelling() -> None:
    dating = date_generations(RECORDS)
    assert dating.conflicts == ()
    assert [(one.earliest, one.latest) for one in dating.generations] == [(1795, 1937)] * 6


def test_each_bound_names_the_element_and_the_removal_not_the_house() -> None:
    for one in date_generations(RECORDS).generations:
        assert one.earliest_by[0].key == "made"
        assert one.latest_by[0].key == "removed"


def test_the_expected_years_are_those_of_the_order_statistics() -> None:
    # 1795 + 142·k/7 for k = 1..6, by hand.
    by_hand = [1815.2857142857, 1835.5714285714, 1855.8571428571, 1876.1428571429, 1896.4285714286, 1916.7142857143]
    (room,) = distributions(GENERATIONS, date_generations(RECORDS).generations)
    assert [round(one.mean, 10) for one in room.generations] == by_hand

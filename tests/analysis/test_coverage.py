"""What is covered and what is missing. Expected numbers are counted by hand beside each case."""

import random

import pytest

from analysis.core.coverage import Conflict, Element, Generation, Layer, Sample, Space, coverage, has_come_to

SPACES = (Space("101", correlated=True, current=True), Space("102"))


def films(*generations: str, **more) -> tuple[Layer, ...]:
    return tuple(Layer(generation, **more) for generation in generations)


def kinds(found):
    return [(gap.kind, gap.space, gap.element_class) for gap in found.missing]


def one(found, kind):
    (gap,) = [gap for gap in found.missing if gap.kind == kind]
    return gap


@pytest.mark.parametrize(
    ("sample", "stages"),
    [
        (Sample("1", "101", "wall", "planned"), []),
        (Sample("1", "101", "wall"), ["sampled"]),
        (Sample("1", "101", "wall", "taken"), ["sampled"]),
        (Sample("1", "101", "wall", "taken", mounted=True), ["sampled", "mounted"]),
        (Sample("1", "101", "wall", "examined"), ["sampled", "mounted", "visible"]),
        (Sample("1", "101", "wall", "planned", layers=films("")), ["sampled", "mounted", "visible"]),
        (Sample("1", "101", "wall", "mounted", uv=True), ["sampled", "mounted", "uv"]),
        (Sample("1", "101", "wall", layers=films("", uv=True)), ["sampled", "mounted", "visible", "uv"]),
    ],
)
def test_a_sample_has_come_as_far_as_what_it_shows(sample, stages):
    assert [stage for stage in ("sampled", "mounted", "visible", "uv") if has_come_to(sample, stage)] == stages


def test_each_class_of_each_space_is_counted():
    samples = [
        Sample("A", "101", "wall", layers=films("101/1", "101/2", "")),
        Sample("B", "101", "wall", "taken"),
        Sample("C", "101", "wall", "planned"),
        Sample("D", "101", "wall", "set aside", layers=films("101/1")),
    ]
    elements = [Element("101", "wall"), Element("101", "wall"), Element("102", "door leaf")]
    found = coverage(SPACES, elements, samples, [Generation("101/1", "101", 1, dated=True), Generation("101/2", "101", 2, 0.9)])
    wall, door = found.cells
    assert (wall.space, wall.element_class, wall.elements) == ("101", "wall", 2)
    assert wall.planned == ("C",)
    assert wall.stages == (("sampled", ("A", "B")), ("mounted", ("A",)), ("visible", ("A",)), ("uv", ()))
    assert (wall.layers, wall.placed, wall.generations, wall.dated) == (3, 2, ("101/1", "101/2"), ("101/1",))
    assert (door.elements, door.layers, door.stages[0]) == (1, 0, ("sampled", ()))


def test_generations_of_a_cell_stand_in_order_of_number_not_of_text():
    samples = [Sample("A", "101", "wall", layers=films("101/10", "101/2"))]
    found = coverage(SPACES, [], samples, [Generation("101/2", "101", 2), Generation("101/10", "101", 10)])
    assert found.cells[0].generations == ("101/2", "101/10")


def test_a_class_without_a_sample_is_missing_and_weighs_more_where_it_could_confirm():
    samples = [Sample("A", "101", "wall", layers=films("101/1", "101/2", uv=True))]
    rows = [Generation("101/1", "101", 1), Generation("101/2", "101", 2, 0.9)]
    elements = [Element("101", "wall"), Element("101", "door leaf"), Element("102", "cornice")]
    found = coverage(SPACES, elements, samples, rows)
    # The space's mean is 2 layers a sample, and 2 layers rest on one sample: 4. Elsewhere the structure's mean, 2, and nothing to confirm.
    assert [(gap.element_class, gap.gain) for gap in found.missing if gap.kind == "unsampled"] == [("door leaf", 4.0), ("cornice", 2.0)]
    assert "could confirm 2 layers" in found.missing[0].reason


def test_a_class_of_which_a_sample_is_planned_is_planned_and_not_unsampled():
    samples = [Sample("A", "101", "wall", "planned")]
    found = coverage(SPACES, [Element("101", "wall")], samples, [])
    assert kinds(found) == [("planned", "101", "")]
    assert found.missing[0].names == ("A",)


def test_what_rests_on_one_sample_is_told_for_a_whole_space_and_for_some_generations():
    rows = [Generation("101/1", "101", 1), Generation("101/2", "101", 2, 0.9)]
    first = Sample("A", "101", "wall", layers=films("101/1", "101/2", "101/2"))
    assert "All that is known of space 101 rests on one sample" in one(coverage(SPACES, [], [first], rows), "one sample").sentence
    second = Sample("B", "101", "door leaf", layers=films("101/2"))
    found = one(coverage(SPACES, [], [first, second], rows), "one sample")
    assert (found.names, found.gain) == (("101/1",), 1.0)
    assert found.sentence == "1 of the 2 generations of space 101 rests on one sample each."
    third = Sample("C", "101", "door leaf", layers=films("101/1"))
    assert "one sample" not in [kind for kind, *_ in kinds(coverage(SPACES, [], [first, second, third], rows))]


def test_a_weak_joint_weighs_as_the_layers_that_would_move():
    samples = [
        Sample("A", "101", "wall", layers=films("101/1", "101/1", "101/2", uv=True)),
        Sample("B", "101", "wall", layers=films("101/1", "101/2", uv=True)),
    ]
    # 60 % that the two are one, times the 2 layers of the smaller.
    rows = [Generation("101/1", "101", 1), Generation("101/2", "101", 2, 0.4)]
    gap = one(coverage(SPACES, [], samples, rows), "weak joint")
    assert (gap.names, gap.gain) == (("101/2",), pytest.approx(1.2))
    assert coverage(SPACES, [], samples, [rows[0], Generation("101/2", "101", 2, 0.6)]).missing == ()


def test_low_confidence_weighs_as_the_layers_likely_misplaced_and_a_hold_settles():
    doubtful = Layer("101/1", 0.3, uv=True)
    samples = [Sample("A", "101", "wall", layers=(doubtful, Layer("101/1", 0.3, held=True, uv=True), Layer("101/1", 0.5, uv=True)))]
    samples.append(Sample("B", "101", "wall", layers=(doubtful,)))
    gap = one(coverage(SPACES, [], samples, [Generation("101/1", "101", 1)]), "low confidence")
    assert (gap.names, gap.gain) == (("A", "B"), pytest.approx(1.4))
    assert gap.sentence.startswith("2 layers of space 101")


def test_work_begun_and_not_finished_is_told_with_its_samples():
    samples = [
        Sample("A", "101", "wall", layers=films("", "", "", "")),
        Sample("B", "101", "wall", "taken"),
        Sample("C", "101", "wall", "mounted"),
    ]
    found = coverage((Space("101", True, True),), [], samples, [])
    # Not mounted and not examined: one sample each at the mean of 4 layers. No UV: a quarter of 4.
    assert [(gap.kind, gap.names, gap.gain) for gap in found.missing] == [
        ("not mounted", ("B",), 4.0),
        ("not examined", ("C",), 4.0),
        ("no UV", ("A",), 1.0),
    ]


def test_a_space_not_correlated_or_out_of_date_is_told():
    samples = [Sample("A", "101", "wall", layers=films("101/1", uv=True)), Sample("B", "102", "wall", layers=films("", "", uv=True))]
    found = coverage((Space("101", correlated=True), Space("102")), [], samples, [])
    assert [(gap.kind, gap.space, gap.gain) for gap in found.missing][:2] == [("not correlated", "102", 2.0), ("out of date", "101", 1.0)]


def test_a_conflict_weighs_as_the_layers_of_the_generations_that_it_leaves_no_year():
    samples = [Sample("A", "101", "wall", layers=films("101/1", "101/2", "101/3"))]
    found = coverage(SPACES, [], samples, [], [Conflict("E-1 and E-2 cannot both be true.", ("101/1", "101/2"))])
    gap = one(found, "conflict")
    assert (gap.sentence, gap.gain) == ("E-1 and E-2 cannot both be true.", 2.0)


def test_of_a_structure_without_anything_nothing_is_covered_and_nothing_missing():
    found = coverage((), [], [], [])
    assert (found.cells, found.missing) == ((), ())


def test_the_order_in_which_records_come_changes_nothing():
    draw = random.Random(5)
    words = ("wall", "door leaf", "cornice")
    elements = [Element(draw.choice(("101", "102")), draw.choice(words)) for _ in range(20)]
    rows = [Generation(f"{space}/{n}", space, n, draw.random()) for space in ("101", "102") for n in range(1, 6)]
    samples = []
    for number in range(30):
        space = draw.choice(("101", "102"))
        layers = tuple(Layer(f"{space}/{draw.randint(1, 5)}", draw.random(), uv=draw.random() < 0.5) for _ in range(draw.randint(0, 4)))
        samples.append(Sample(f"S{number}", space, draw.choice(words), draw.choice(("planned", "taken", "")), layers=layers))
    before = coverage(SPACES, elements, samples, rows)
    for _ in range(5):
        for records in (elements, samples, rows):
            draw.shuffle(records)
        assert coverage(SPACES, elements, samples, rows) == before


def test_elements_interpreted_and_agreed_are_named_in_their_cell() -> None:
    elements = [
        Element("1", "wall", "W2", interpreted=True),
        Element("1", "wall", "W1", interpreted=True, agreed=True),
        Element("1", "wall", "W3"),
        Element("1", "door leaf", "D1"),
    ]
    found = coverage([Space("1")], elements, [], [])
    assert {one.element_class: (one.elements, one.interpreted, one.agreed) for one in found.cells} == {
        "wall": (3, ("W1", "W2"), ("W1",)),
        "door leaf": (1, (), ()),
    }

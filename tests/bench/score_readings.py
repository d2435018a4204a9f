"""Print how well element readings find what befell each element of invented buildings. Run: python -m tests.bench.score_readings.

Three lines stand beside each other: layers where the correlation placed them; layers in their true campaigns, which is the reading's own
limit; and the plain rule 'starts later than generation 1: stripped if the base says so, else inserted', on the correlation.
"""

import argparse
from collections import Counter
from collections.abc import Sequence

from analysis.core.correlation import correlate
from analysis.core.elements import Element, carried
from analysis.core.readings import HISTORIES, Span, read_elements
from tests.buildings import TUNING_SEEDS, UNTOUCHED_SEEDS
from tests.buildings.histories import History, as_elements, as_known, invent_with_histories

Told = list[tuple[str, str, float | None, dict[str, float]]]


def read(elements: Sequence[Element], truth: dict[str, History]) -> Told:
    """What is concluded of each element, beside what befell it."""
    ordinals = sorted({one for element in elements for one in carried(element)})
    found = read_elements(elements, {"1": [Span(one) for one in ordinals]})
    return [(truth[one.element].word, one.conclusion, one.certainty, dict(one.chances)) for one in found]


def plain(elements: Sequence[Element], truth: dict[str, History]) -> Told:
    """The plain rule."""
    told: Told = []
    lowest = min(one for element in elements for one in carried(element))
    for element in elements:
        states = {sample.base_state for sample in element.samples}
        word = "from the start" if carried(element)[0] == lowest else "stripped" if "stripped" in states else "inserted"
        told.append((truth[element.key].word, word, None, {}))
    return told


def print_scores(name: str, told: Told) -> None:
    """Precision and recall of each history, what is left open, and whether certainty means what it says."""
    print(f"  {name}: {len(told)} elements")
    for history in HISTORIES:
        said = [one for one in told if one[1] == history]
        true = [one for one in told if one[0] == history]
        right = sum(1 for one in said if one[0] == history)
        either = sum(1 for one in true if one[1] == "inserted or stripped") if history in ("inserted", "stripped") else 0
        precision = f"{right / len(said):.2f}" if said else "  – "
        recall = f"{right / len(true):.2f}" if true else "  – "
        more = f", {either / len(true):.2f} more as 'inserted or stripped'" if true and either else ""
        print(f"    {history:15} true {len(true):3}  said {len(said):3}  precision {precision}  recall {recall}{more}")
    both = [one for one in told if one[1] == "inserted or stripped"]
    if both:
        print(f"    'inserted or stripped' {len(both)}, of them so {sum(one[0] in ('inserted', 'stripped') for one in both)}")
    late = [one for one in told if one[0] != "from the start"]
    found = [one for one in told if one[1] in ("inserted", "stripped", "reused", "inserted or stripped")]
    hits = sum(1 for one in found if one[0] != "from the start")
    if found and late:
        print(f"    'not from the start' precision {hits / len(found):.2f}  recall {hits / len(late):.2f}")
    opened = Counter(one[1] for one in told if one[1] in ("undecided", "beginning not seen"))
    print(f"    left open: {dict(opened)}")
    for low, high in ((0.6, 0.8), (0.8, 0.95), (0.95, 1.01)):
        sure = [one for one in told if one[2] is not None and low <= one[2] < high and one[1] in HISTORIES]
        if sure:
            print(
                f"    certainty {low:.2f}–{min(1, high):.2f}: {sum(one[0] == one[1] for one in sure) / len(sure):.0%} of {len(sure)} right"
            )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tuning", action="store_true", help="use the seeds that were tuned on")
    parser.add_argument("--spaces", type=int, default=24)
    parser.add_argument("--samples", type=int, default=10)
    chosen = parser.parse_args()
    seeds = (TUNING_SEEDS if chosen.tuning else UNTOUCHED_SEEDS)[: chosen.spaces]
    for faults in (1.0, 0.33):
        found: Told = []
        limit: Told = []
        rule: Told = []
        for seed in seeds:
            space, truth = invent_with_histories(seed, faults, chosen.samples)
            placed = as_elements(space, correlate(space.samples))
            found += read(placed, truth)
            limit += read(as_known(space), truth)
            rule += plain(placed, truth)
        print(f"faults {faults}, {chosen.samples} samples, {len(seeds)} spaces")
        print_scores("correlated", found)
        print_scores("true campaigns", limit)
        print_scores("plain rule", rule)


if __name__ == "__main__":
    main()

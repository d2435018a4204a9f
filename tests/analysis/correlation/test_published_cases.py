"""Facts of published cross-sections: what a correlation must find in them. Facts in our words, each with its source."""

import csv
from pathlib import Path

from analysis.core.correlation import Correlation, Layer, Sample, correlate

# S. L. Buck, report on the finish history of a Chippendale-style bed, pages of the Society of American Period Furniture Makers
# (about 2015), 'Finish history' and 'Conclusion'. Sample, location, class, layers from the substrate: kind; binder,
# or of soiling its texture; state.
BED = {
    "1": (
        "back rail",
        "exposed frame",
        (("stain", "oil", "present"), ("varnish", "shellac", "present"), ("soiling", "grit with oil and wax", "present")),
    ),
    "2": ("canopy sub-frame", "canopy", (("stain", "oil", "present"), ("varnish", "shellac", "present"))),
    "3": ("carved canopy", "canopy", (("stain", "", "present"), ("varnish", "shellac", "trace"))),
    "4": (
        "carved canopy",
        "canopy",
        (
            ("varnish", "shellac", "worn"),
            ("soiling", "thick brown grit with oil and dust", "present"),
            ("varnish", "plant resin", "present"),
            ("soiling", "dirt and dust with a red textile fibre", "present"),
            ("varnish", "shellac", "present"),
            ("varnish", "shellac", "present"),
        ),
    ),
    "B": (
        "paw foot",
        "exposed frame",
        (("stain", "", "present"), ("varnish", "shellac", "present"), ("soiling", "thick brown grit with oil", "present")),
    ),
}


PUBLISHED = Path(__file__).parents[3] / "fixtures" / "published"


def rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_the_bed_read_here_is_the_bed_as_published() -> None:
    here = [
        (key, element, str(number), kind) for key, (element, _, films) in BED.items() for number, (kind, _, _) in enumerate(films, start=1)
    ]
    assert here == [(row["sample"], row["location"], row["layer"], row["kind"]) for row in rows("bed.csv")]


def bed() -> Correlation:
    samples = []
    for key, (element, element_class, films) in BED.items():
        layers = []
        for number, (kind, binder, completeness) in enumerate(films, start=1):
            aged = number > 1 and films[number - 2][0] == "soiling"
            layers.append(
                Layer(
                    f"{key}/{number}",
                    kind,
                    completeness,
                    binder="" if kind == "soiling" else binder,
                    texture=binder if kind == "soiling" else "",
                    lower_boundary="soiled" if aged else "",
                )
            )
        samples.append(Sample(key, element, element_class, "complete", "complete" if key == "4" else "unknown", tuple(layers)))
    return correlate(samples)


def test_the_first_shellac_of_the_bed_is_one_generation_in_every_sample() -> None:
    found = bed().placements
    first = {found[key].generation for key in ("1/2", "2/2", "3/2", "4/1", "B/2")}
    assert first == {1}


def test_a_stain_and_the_shellac_on_it_are_one_campaign() -> None:
    found = bed().placements
    assert all(found[f"{key}/1"].generation == found[f"{key}/2"].generation for key in ("1", "2", "3", "B"))


def test_the_thick_dirt_ties_the_canopy_to_the_paw_foot() -> None:
    found = bed().placements
    assert found["4/2"].generation == found["B/3"].generation


def test_the_canopy_carries_three_later_generations_that_others_lack() -> None:
    found = bed().placements
    later = [found[key].generation for key in ("4/3", "4/5", "4/6")]
    assert len(set(later)) == 3
    assert not {one.generation for key, one in found.items() if key[0] in "123"} & set(later)


# A Vivid View (museum publication, 2017), page 2: dining-room wainscot, six generations of which the first three are described.
WAINSCOT = (
    ("paint", "cream", ()),
    ("glaze", "", ()),
    ("primer", "grey", ()),
    ("paint", "green", ("verdigris", "yellow ochre", "calcium carbonate")),
    ("paint", "bright green", ("verdigris", "yellow ochre", "calcium carbonate")),
)


def test_the_wainscot_read_here_is_the_wainscot_as_published() -> None:
    described = [row for row in rows("wainscot.csv") if row["kind"] != "?"]
    assert [kind for kind, _, _ in WAINSCOT] == [row["kind"] for row in described]
    assert ["; ".join(pigments) for _, _, pigments in WAINSCOT] == [row["materials"] for row in described]


def test_the_wainscot_s_glaze_goes_with_the_paint_beneath_and_its_primer_with_the_green_above() -> None:
    samples = [
        Sample(
            key,
            key,
            "wainscot",
            "complete",
            "lost",
            tuple(
                Layer(f"{key}/{number}", kind, colour=colour, pigments=pigments)
                for number, (kind, colour, pigments) in enumerate(WAINSCOT, start=1)
            ),
        )
        for key in "AB"
    ]
    found = correlate(samples).placements
    assert found["A/1"].generation == found["A/2"].generation == found["B/2"].generation
    assert found["A/2"].generation < found["A/3"].generation == found["A/4"].generation == found["B/4"].generation

"""The chapter's registers: samples, interpretations, colours, layers, evidence, materials."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from analysis.papers.tree import Block, Column, Heading, Swatch, Table, Words

Row = Mapping[str, Any]
SHOWN: Final = 12
"""Names that are written out where many layers show one thing."""

# What covers, and so was seen: the layers by which a scheme is known.
FINISHES: Final = (
    "paint",
    "stain",
    "glaze",
    "varnish",
    "limewash",
    "distemper",
    "casein",
    "emulsion",
    "metal leaf",
    "bronze powder",
    "paper",
)


def _some(names: Sequence[str]) -> str:
    more = len(names) - SHOWN
    return ", ".join(names[:SHOWN]) + (f" and {more} more" if more > 0 else "")


def _joined(*parts: str, by: str = "; ") -> str:
    return by.join(part for part in parts if part)


def register(samples: Sequence[Row]) -> Iterator[Block]:
    """Every sample: where, when, by whom, why, and how far it has come."""
    yield Heading(1, "Sample register")
    columns = (
        Column("Sample", 9), Column("Space", 7), Column("Element", 14), Column("Where on it", 27), Column("Taken", 14),
        Column("Base; top", 11),
        Column("Examined", 12), Column("Kept", 22),
    )  # fmt: skip
    rows = tuple(
        (
            one["number"],
            one["space"],
            _joined(one["element"], one["substrate"], by=", "),
            _joined(one["part"], one["location"], f"{one['height_mm']:g} mm high" if one["height_mm"] is not None else "", one["purpose"]),
            _joined(one["taken_on"] or one["status"], one["taken_by"], by=", "),
            _joined(one["base_state"], one["top_state"]),
            _joined(
                "visible" if one["examined_visible_on"] or one["examined_visible_by"] else "",
                "UV" if one["examined_uv_on"] or one["examined_uv_by"] else "",
            ),
            _joined(f"mount {one['mount']}" if one["mount"] else "", one["kept_at"]),
        )
        for one in samples
    )
    yield Table("Samples, by space", columns, rows) if rows else Words("No sample is on record.")


def phases(found: Sequence[Row]) -> Table:
    """The building's phases."""
    rows = tuple(
        (
            str(one["ordinal"]),
            one["label"],
            "–".join(str(year) if year is not None else "…" for year in (one["earliest"], one["latest"])),
            one["description"],
        )
        for one in found
    )
    return Table("Phases of the building", (Column("No.", 5), Column("Phase", 25), Column("Years", 14), Column("Description", 56)), rows)


def interpretations(found: Sequence[Row], of: str) -> Iterator[Block]:
    """What was concluded, by whom and in which state, and what each rests on."""
    if not found:
        return
    yield Heading(2, "Interpretations")
    columns = (
        Column("No.", 6),
        Column("About", 15),
        Column("Statement", 46),
        Column("State", 22),
        Column("By", 20),
        Column("Rests on", 26),
    )
    yield Table(f"Interpretations {of}", columns, tuple(_interpretation(one) for one in found))


def _interpretation(one: Row) -> tuple[str, ...]:
    state = _joined(one["state"], one["certainty"])
    if one["state_by"]:
        state += f", by {one['state_by']}" + (f" on {one['state_on']}" if one["state_on"] else "")
    if one["state_reason"]:
        state += f": {one['state_reason']}"
    statement = one["statement"] + (f" (Replaces interpretation {one['supersedes']}.)" if one["supersedes"] else "")
    return str(one["number"]), one["about"], statement, state, _joined(one["by"], one["discipline"], by=", "), "; ".join(one["rests_on"])


def agreed_and_disputed(found: Sequence[Row]) -> Iterator[Block]:
    """What the team agrees on, and what it does not, over all spaces."""
    columns = (Column("No.", 6), Column("About", 18), Column("Statement", 60), Column("Certainty", 12), Column("Author; agreed by", 26))
    agreed = [one for one in found if one["state"] == "agreed"]
    yield Heading(1, "Agreed findings")
    yield Words("Agreed means that at least one member of the team other than the author says so.")
    rows = tuple(
        (str(one["number"]), one["about"], one["statement"], one["certainty"], _joined(one["by"], one["state_by"])) for one in agreed
    )
    yield Table("Agreed findings", columns, rows) if rows else Words("None is agreed yet.")
    disputed = [one for one in found if one["state"] == "disputed"]
    yield Heading(1, "Disputes")
    if not disputed:
        yield Words("None is disputed.")
        return
    columns = (Column("No.", 6), Column("About", 18), Column("Statement", 44), Column("Author", 18), Column("Disputed by, because", 38))
    told = tuple(
        (str(one["number"]), one["about"], one["statement"], one["by"], _joined(one["state_by"], one["state_reason"], by=": "))
        for one in disputed
    )
    yield Table("Disputed findings, with the reasons given", columns, told)


def colour_plates(charts: Sequence[Row]) -> Iterator[Block]:
    """The colours of each space as they were found, by generation and element class; each notation once, never an average."""
    yield Heading(1, "Colour plates")
    yield Words("Swatches are for orientation: screen and print are no paint match. Match to the notation, in daylight, on site.", "strong")
    columns = (
        Column("No.", 5), Column("On", 17), Column("Swatch", 9), Column("Colour", 17), Column("Munsell", 13),
        Column("L*a*b* (D65, 2°)", 18),
        Column("sRGB", 12), Column("Layers", 30),
    )  # fmt: skip
    for chart in charts:
        rows = _plates(chart)
        if rows:
            yield Heading(2, " ".join(("Space", chart["space"], chart["space_name"])).strip())
            yield Table(f"Colours of space {chart['space']}, the oldest generation first", columns, rows)


def _plates(chart: Row) -> tuple[tuple[Any, ...], ...]:
    on = {sample["sample"]: sample["class"] for sample in chart["samples"]}
    place = {name: index for index, name in enumerate(dict.fromkeys(on.values()))}
    met: dict[tuple[Any, ...], list[Row]] = {}
    for cell in chart["cells"]:
        if cell["lab"] and cell["kind"] in FINISHES and cell["generation"] is not None:
            key = (cell["generation"], place[on[cell["sample"]]], cell["munsell"], tuple(cell["lab"]))
            met.setdefault(key, []).append(cell)
    classes = list(place)
    return tuple(
        (
            str(generation),
            classes[index],
            Swatch(cells[0]["srgb"]),
            ", ".join(dict.fromkeys(cell["colour"] for cell in cells if cell["colour"])),
            munsell,
            "{:.1f}, {:.1f}, {:.1f}".format(*lab),
            f"{cells[0]['srgb']}{'' if cells[0]['in_gamut'] else ' (nearest; outside what a screen shows)'}",
            _some([cell["layer"] for cell in cells]),
        )
        for (generation, index, munsell, lab), cells in sorted(met.items())
    )


def layers(found: Sequence[Row]) -> Iterator[Block]:
    """The appendix of layers, as they were seen."""
    yield Heading(1, "Appendix: layers")
    yield Words(
        "From the substrate up. Generation and confidence are inferred, a colour as first applied is reasoned; all else was observed."
    )
    columns = (
        Column("Layer", 11), Column("Kind", 12), Column("Colour", 14), Column("Munsell; L*a*b*", 19), Column("Sheen; texture", 31),
        Column("UV", 27), Column("Pigments; binder; tests", 32), Column("µm", 5), Column("Lower boundary", 11), Column("Generation", 13),
        Column("Notes", 16),
    )  # fmt: skip
    rows = tuple(_layer(one) for one in found)
    yield Table("Layers of all samples", columns, rows) if rows else Words("No layer is on record.")


def _layer(one: Row) -> tuple[str, ...]:
    lab = "" if one["lab_l"] is None else f"{one['lab_l']:.1f}, {one['lab_a']:.1f}, {one['lab_b']:.1f}"
    placed = "" if one["generation"] is None else f"{one['generation']}" + (" by hand" if one["placed_by"] == "by hand" else "")
    if placed and one["placed_by"] != "by hand" and one["confidence"] is not None:
        placed += f" ({int(one['confidence'] * 100 + 1e-9)} %)"
    return (
        f"{one['sample']}/{one['position']}",
        _joined(one["kind"], one["completeness"] if one["completeness"] != "present" else "", by=", "),
        _joined(one["colour"], f"as first applied: {one['first_colour']}" if one["first_colour"] else ""),
        _joined(_joined(one["munsell"], one["munsell_by"], by=", "), lab),
        _joined(one["sheen"], one["texture"]),
        _joined(one["uv_colour"], one["uv_strength"], by=", "),
        _joined(one["pigments"], one["binder"], one["tests"]),
        "" if one["thickness_um"] is None else f"{one['thickness_um']:g}",
        one["lower_boundary"],
        placed,
        one["notes"],
    )


def evidence(found: Sequence[Row]) -> Iterator[Block]:
    """The appendix of evidence."""
    yield Heading(1, "Appendix: evidence")
    columns = (
        Column("Reference", 11),
        Column("What", 18),
        Column("Statement", 42),
        Column("Bears on", 16),
        Column("Years", 16),
        Column("Source", 32),
    )
    rows = tuple(
        (
            one["reference"],
            _joined(one["kind"], one["discipline"], one["certainty"]),
            one["statement"],
            one["bears_on"],
            _joined(
                one["relation"],
                one["as_written"] or "–".join(dict.fromkeys(str(year) for year in (one["earliest"], one["latest"]) if year is not None)),
                by=" ",
            ),
            one["source"],
        )
        for one in found
    )
    yield Table("Evidence", columns, rows) if rows else Words("No evidence is on record.")


def materials(found: Sequence[Row]) -> Iterator[Block]:
    """The appendix of materials, each year with its source."""
    yield Heading(1, "Appendix: materials and their introduction")
    yield Words("A year bounds a generation only where the material was identified by an instrument or a test, not where it was only seen.")
    columns = (
        Column("Material", 18),
        Column("Not before", 10),
        Column("Source of the year", 44),
        Column("Identified in", 22),
        Column("Seen in", 22),
    )
    rows = tuple(
        (
            one["name"],
            "" if one["earliest_year"] is None else str(one["earliest_year"]),
            _joined(
                one["source"],
                f"Disagreement: {one['disagreement']}" if one["disagreement"] else "",
                "from memory, not checked" if one["verified"] != "published" else "",
            ),
            _some(one["identified"]),
            _some(one["seen"]),
        )
        for one in found
    )
    yield Table("Materials named in layers", columns, rows) if rows else Words("No dated material is named.")

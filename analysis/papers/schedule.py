"""A finish schedule as PDF, for A3 or tabloid: what it is, its rows, the cautions, what changed."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from reportlab.platypus import PageBreak, Spacer

from analysis.papers.pages import Swatch, build, room, said, style, table

TITLE, HEADING, BODY, SMALL = style(18, bold=True, after=4), style(11, bold=True, after=3), style(9, after=2), style(7.6)
STRONG, HEAD = style(7.6, bold=True), style(7.6, bold=True)
# Sheets are handed out one by one on a site, so each says the least that its reader must know.
ON_EACH_PAGE: Final = (
    "Take old paint to hold lead until it is tested (in the United States 40 CFR 745.103; 29 CFR 1926.62 for work that disturbs it). "
    "Match colours to the notation, never to this sheet. All cautions: last pages."
)
# Columns and their shares of the width.
SHARES: Final = (
    ("Element", 11), ("Substrate, preparation", 11), ("Finish", 15), ("Colour", 13), ("Sheen, gloss", 11), ("Rests on", 12),
    ("Alternatives", 12), ("Review, marks", 10), ("Quantity, hold point, remarks", 15),
)  # fmt: skip


def schedule_pdf(content: Mapping[str, Any], changes: Sequence[Mapping[str, Any]], stamp: str, *, paper: str = "A3") -> bytes:
    """Draw a schedule.

    Parameters
    ----------
    content : mapping
        As a schedule's issue keeps it: project, title, as_of, rows, marks, cautions.
    changes : sequence of mapping
        Space, element, what, before, after.
    stamp : str
        Revision, date and purpose, or that it is a draft.
    paper : {'A3', 'tabloid'}

    Returns
    -------
    bytes
        The same input gives the same bytes.
    """
    project = content["project"]
    name = f"{project['code']} schedule {content['schedule']}"
    story: list[Any] = [
        said(f"Finish schedule {content['schedule']}: {content['title']}", TITLE),
        said(stamp, HEADING),
        said(f"{project['code']}: {project['name']}. {project['place']}", BODY),
        said(f"As of {content['as_of']}. {_count(content['rows'])} {content['notes']}", BODY),
        said("It says which finish goes where. How to paint it is a matter of the specification.", BODY),
        Spacer(1, 8),
    ]
    space = None
    rows: list[list[Any]] = []
    for row in content["rows"]:
        if row["space"] != space:
            story += _block(space, rows, content, paper)
            space, rows = row["space"], []
        rows.append(_row(row))
    story += _block(space, rows, content, paper)
    story += [PageBreak(), said("Cautions", HEADING), *(said(text, BODY) for text in content["cautions"]), Spacer(1, 8)]
    story += [said("Marks", HEADING), *(said(meaning, BODY) for meaning in content["marks"].values()), Spacer(1, 8)]
    story += _changes(changes, paper)
    footer = f"{name}: {content['title']}. {stamp}."
    return build(story, title=f"{name}, {stamp}", footer=footer, size=paper, warning=ON_EACH_PAGE)


def likeliest(alternatives: Sequence[str], most: int = 2) -> str:
    """The likeliest alternatives, and how many more there are: a sheet is read on a ladder.

    Parameters
    ----------
    alternatives : sequence of str
        Likeliest first.
    most : int

    Returns
    -------
    str
        Empty where there is none.
    """
    more = len(alternatives) - most
    told = "; ".join(alternatives[:most])
    return f"{told}; and {more} less likely" if more > 0 else told


def finish_of(row: Mapping[str, Any]) -> str:
    """The finish of a row; where there is none, whether nothing tells of the element or only its finish was not seen."""
    return str(row["finish"]) or ("no evidence" if row["state"] == "no evidence" else "finish not seen")


def _count(rows: Sequence[Mapping[str, Any]]) -> str:
    none = sum(row["state"] == "no evidence" for row in rows)
    return f"{len(rows)} rows, {none} of them without evidence."


def _block(space: str | None, rows: list[list[Any]], content: Mapping[str, Any], paper: str) -> list[Any]:
    if space is None or not rows:
        return []
    name = next(row["space_name"] for row in content["rows"] if row["space"] == space)
    whole = sum(share for _, share in SHARES)
    widths = [room(paper) * share / whole for _, share in SHARES]
    heads = [said(head, HEAD) for head, _ in SHARES]
    return [Spacer(1, 6), said(f"Space {space}" + (f", {name}" if name else ""), HEADING), table([heads, *rows], widths)]


def _row(row: Mapping[str, Any]) -> list[Any]:
    added = row["additions"]
    lab = row["lab"]
    colour: list[Any] = []
    if row["srgb"]:
        colour.append(Swatch(row["srgb"], row["in_gamut"]))
    notation = row["munsell"] + (" (nearest)" if row["munsell_is_nearest"] else "")
    numbers = f"L* {lab[0]:.1f}  a* {lab[1]:.1f}  b* {lab[2]:.1f} (D65, 2°)" if lab else ""
    spread = f"spread {row['spread']:.1f} ΔE00 over {row['readings']} readings" if row["spread"] is not None and row["readings"] > 1 else ""
    screen = f"sRGB {row['srgb']}" + ("" if row["in_gamut"] else ", out of gamut") if row["srgb"] else ""
    if notation or numbers or row["colour_word"]:
        colour.append(said(notation or row["colour_word"], STRONG))
        colour.append(said(row["colour_word"] if notation else "", SMALL, lines=(numbers, screen, spread)))
    chance = "" if row["probability"] is None else f" ({row['probability']:.0%})"
    samples = ", ".join(row["samples"])
    rests = f"{len(row['samples'])} {'sample' if len(row['samples']) == 1 else 'samples'}: {samples}" if samples else "no sample"
    generation = f"generation {row['generation']}, {row['certainty']}{chance}" if row["generation"] else row["certainty"]
    decided = f"By decision of {added['by']}: {added['reason']}" if added["by"] and "by decision" in row["marks"] else ""
    before = "; ".join(
        f"evidence says {name}: {row[f'computed_{field}']}"
        for field, name in (("finish", "finish"), ("munsell", "colour"), ("sheen", "sheen"))
        if row[f"computed_{field}"]
    )
    return [
        [said(row["element"], STRONG), said(row["element_class"], SMALL, lines=(row["position"], added["group"]))],
        said(row["substrate"], SMALL, lines=(added["preparation"],)),
        [said(finish_of(row), STRONG), said(row["leaf"], SMALL, lines=(decided, before))],
        colour or said("–", SMALL),
        said(row["sheen"] or "–", SMALL, lines=(row["gloss"],)),
        said(rests, SMALL, lines=(generation,)),
        said(likeliest(row["alternatives"]) or "–", SMALL),
        said(row["review"] or "no interpretation", SMALL, lines=(", ".join(row["marks"]),)),
        said(added["quantity"], SMALL, lines=(added["hold_point"] and f"Hold: {added['hold_point']}", added["remarks"])),
    ]


def _changes(changes: Sequence[Mapping[str, Any]], paper: str) -> list[Any]:
    if not changes:
        return []
    heads = [said(head, HEAD) for head in ("Space", "Element", "What", "Was", "Is")]
    rows = [[said(one[key] or "–", SMALL) for key in ("space", "element", "what", "before", "after")] for one in changes]
    widths = [room(paper) * share for share in (0.08, 0.14, 0.14, 0.32, 0.32)]
    return [said("Changed since the last issue", HEADING), table([heads, *rows], widths)]

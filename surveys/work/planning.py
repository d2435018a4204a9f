"""The plan of the next sampling: where coverage says that samples are wanted."""

import io
from collections.abc import Callable, Mapping
from typing import Any

from analysis.core.cautions import cautions
from surveys import access
from surveys.models import Person, Project, Space
from surveys.selectors.labels import elements_and_samples, elements_by_class, samples_of_generations
from surveys.work import coverage

PDF = "application/pdf"
WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
Made = tuple[str, str, bytes]
# Of what is missing, what more samples would help.
HELPED = ("unsampled", "planned", "one sample")


def plan(
    actor: Person, project: Project, space: Space | None, params: Mapping[str, Any], setting: Callable[[], None]
) -> tuple[dict[str, Any], list[Made]]:
    """The plan as PDF and as a workbook, and how many samples are wanted in how many spaces."""
    from analysis.papers.pdf import paper_pdf
    from analysis.papers.sampling import SpacePlan, Want, sampling_paper
    from surveys.workbooks.sampling import plan_workbook

    access.require(actor, project, access.SEE)
    wanted = wants(project, space)
    told = cautions((), untested_old_paint=True, for_sampling=True)
    on = project.created_at.date() if not (last := project.changes.order_by("-sequence").first()) else last.at.date()
    spaces = [SpacePlan(one["space"], one["name"], tuple(one["gains"]), tuple(Want(**want) for want in one["wants"])) for one in wanted]
    title = f"{project.code}: {project.name}"
    setting()
    paper = sampling_paper(title, spaces, told, page=params.get("paper", "A4"), blank=params.get("blank", 4), dated=on.isoformat())
    stream = io.BytesIO()
    rows = [
        {
            "number": want.get("number"),
            "element": want["element"],
            "location": want.get("where"),
            "purpose": want["why"],
            "status": "planned",
        }
        for one in wanted
        for want in one["wants"]
        if want["element"]
    ]
    plan_workbook(title, rows, told, stream, on=on)
    name = f"{project.code} sampling plan" + (f" {space.number}" if space else "")
    result = {"spaces": len(wanted), "wanted": sum(len(one["wants"]) for one in wanted)}
    return result, [(f"{name}.pdf", PDF, paper_pdf(paper)), (f"{name}.xlsx", WORKBOOK, stream.getvalue())]


def wants(project: Project, space: Space | None = None) -> list[dict[str, Any]]:
    """By space, in the order of the register: what would be gained, in sentences, and each sample that is wanted."""
    found = coverage.answer(project)
    elements = elements_by_class(project)
    gaps: dict[str, list[dict[str, Any]]] = {}
    for gap in found["missing"]:
        if gap["kind"] in HELPED:
            gaps.setdefault(gap["space"], []).append(gap)
    planned = elements_and_samples(
        project, [name for some in gaps.values() for gap in some if gap["kind"] == "planned" for name in gap["names"]]
    )
    showing = samples_of_generations(
        project, [name for some in gaps.values() for gap in some if gap["kind"] == "one sample" for name in gap["names"]]
    )
    return [
        {
            "space": one["number"],
            "name": one["name"],
            "gains": [f"{gap['sentence']} {gap['reason']}" for gap in gaps[one["number"]]],
            "wants": [want for gap in gaps[one["number"]] for want in _wants(gap, elements, planned, showing)],
        }
        for one in found["spaces"]
        if one["number"] in gaps and (space is None or one["number"] == space.number)
    ]


def _wants(
    gap: Mapping[str, Any],
    elements: Mapping[tuple[str, str], list[dict[str, Any]]],
    planned: Mapping[str, dict[str, str]],
    showing: Mapping[str, list[str]],
) -> list[dict[str, Any]]:
    if gap["kind"] == "unsampled":
        here = elements.get((gap["space"], gap["element_class"]), [])
        return [
            {
                "element": one["element"],
                "place": ", ".join(part for part in (gap["element_class"], one["position"], one["substrate"]) if part),
                "why": f"No {gap['element_class']} of this space has been sampled",
            }
            for one in here
        ]
    if gap["kind"] == "planned":
        return [
            {
                "element": planned[name]["element"],
                "place": ", ".join(part for part in (planned[name]["element_class"], planned[name]["position"]) if part),
                "why": planned[name]["purpose"] or "Planned",
                "number": name,
                "where": planned[name]["where"],
            }
            for name in gap["names"]
            if name in planned
        ]
    ordinals = [name.rpartition("/")[2] for name in gap["names"]]
    samples = sorted({number for name in gap["names"] for number in showing.get(name, ())})
    which = f"generation {ordinals[0]} rests" if len(ordinals) == 1 else f"generations {', '.join(ordinals)} rest each"
    place = "an element of the same age as those of " + ", ".join(samples[:6]) + (" …" if len(samples) > 6 else "") if samples else ""
    return [{"element": "", "place": place, "why": f"To confirm: {which} on one sample"}]

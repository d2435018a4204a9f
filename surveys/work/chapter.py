"""The paint chapter: gathered from the record, told by `analysis.papers.chapter`, set as a word processor's document and as PDF."""

from collections.abc import Callable
from typing import Any

from surveys import access, selectors
from surveys.errors import DomainError
from surveys.models import Person, Project, Space
from surveys.selectors import chapter as told
from surveys.selectors import plates as shown
from surveys.work import coverage, dating, plates, readings

DOCX = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"
PDF = "application/pdf"
# Of each picture in a plate, as many px across: printed over half a page that is 200 to the inch and more.
PLATE_PX = 800
Made = tuple[str, str, bytes]
Progress = Callable[[int, int, str], object]


def chapter(actor: Person, project: Project, params: dict[str, Any], progress: Progress) -> tuple[dict[str, Any], list[Made]]:
    """The chapter as .docx and PDF, and how large it is."""
    from analysis.papers.chapter import chapter_paper
    from analysis.papers.docx import paper_docx
    from analysis.papers.pdf import paged_pdf

    access.require(actor, project, access.SEE)
    progress(0, 4, "Reading the record")
    facts = gather(project, lambda now: progress(0, 4, now))
    progress(1, 4, "Writing the chapter")
    paper = chapter_paper(facts, page=params.get("paper", "A4"))
    name = f"{project.code} paint chapter"
    printed, pages = paged_pdf(paper, lambda page, most: progress(1, 4, f"Setting page {page} of about {most}"))
    document = paper_docx(paper, lambda done, total: progress(2, 4, f"Setting the document: {done} of {total} parts"), pages)
    progress(4, 4, "Set")
    result = {"spaces": len(facts["spaces"]), "samples": len(facts["samples"]), "layers": len(facts["layers"])}
    return result, [(f"{name}.docx", DOCX, document), (f"{name}.pdf", PDF, printed)]


def gather(project: Project, say: Callable[[str], object]) -> dict[str, Any]:
    """All that the chapter tells, as plain values."""
    covered = coverage.answer(project)
    say("Deriving the years")
    years = dating.answer(project)
    say("Reading the elements")
    read = readings.answer(project)
    charts = []
    for space in Space.objects.filter(project=project).select_related("project").order_by("sort_key", "number"):
        say(f"Reading space {space}")
        charts.append({**selectors.chart(space), "space_kind": space.kind, "storey": space.storey, "space_notes": space.notes})
    return {
        "project": {name: getattr(project, name) for name in ("code", "name", "place", "summary", "first_year", "last_year")},
        "dated": told.dated(project),
        "people": told.people(project),
        "spaces": charts,
        "samples": told.samples(project),
        "layers": told.layers(project),
        "phases": told.phases(project),
        "evidence": told.evidence(project),
        "interpretations": told.interpretations(project),
        "questions": told.questions(project),
        "materials": told.found_materials(project),
        "years": years,
        "readings": read["elements"],
        "plates": _plates(project, say),
        "missing": covered["missing"],
        "cautions": told.cautions(project),
    }


def _plates(project: Project, say: Callable[[str], object]) -> list[dict[str, Any]]:
    """The plates of all samples that have pictures, by space; where one cannot be set, why."""
    measured = shown.measured(project)
    found = []
    for sample in shown.samples_with_plates(project):
        say(f"Opening the pictures of sample {sample}")
        space = sample.element.space
        told: dict[str, Any] = {"space": space.number, "space_name": space.name, "sample": sample.number}
        try:
            plate, refused = plates.made_of(shown.shown(sample), PLATE_PX), ""
        except DomainError as refusal:
            plate, refused = None, refusal.detail
        found.append({**told, "plate": plate, "refused": refused, "measured": measured.get(sample.pk, [])})
    return found

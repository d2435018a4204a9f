"""The owner's answer sheet: from the record to what it says in plain words."""

from typing import Any

from django.utils import timezone

from analysis.core import as_of, materials
from analysis.core.cautions import cautions
from analysis.core.elements import Element, carried
from analysis.papers.answers import Look, Part, Room, answers
from surveys import access
from surveys.errors import Invalid, NotFound
from surveys.jobs import Progress, keep_file
from surveys.models import Interpretation, Job, Phase, Project, Question, Space
from surveys.selectors.materials import material_table
from surveys.work import as_of as finding

# Where the parts of a room lie, from the ceiling down; what is not named here comes in the middle.
HIGH_TO_LOW = (
    "ceiling", "ceiling rose", "cornice", "frieze", "picture rail", "wall", "arch", "column", "pilaster", "overdoor", "door frame",
    "door casing", "door leaf", "window frame", "window casing", "window sash", "shutter", "window seat", "mantel", "cupboard",
    "panelling", "chair rail", "dado", "wainscot", "baseboard", "floor",
)  # fmt: skip


def sheets(job: Job, progress: Progress) -> tuple[Any, list[dict[str, Any]]]:
    """A page a space, as of a year or of a phase."""
    from analysis.papers.pdf import paper_pdf

    project = job.project
    access.require(job.created_by, project, access.SEE)
    when, then = _when(project, job.params)
    progress(1, 3, "Reading the record")
    found = finding.find(project, when)
    rooms = _rooms(project, found)
    cells = {cell for told in found.loaded.materials.values() for cell in told}
    told = cautions(materials.hazards_of(cells, material_table()), untested_old_paint=True, shows_colour=True)
    on = timezone.localdate().isoformat()
    foot = f"{project.code}, answers of {on}: a reading of the evidence, no specification"
    paper = answers(project.name, rooms, then, told, dated=on, page=job.params.get("page", "A4"), foot=foot)
    progress(2, 3, "Setting the pages")
    file = keep_file(job, f"{project.code} answers {then.removeprefix('in ').removeprefix('at ')}.pdf", "application/pdf", paper_pdf(paper))
    progress(3, 3, "")
    return {"rooms": len(rooms)}, [file]


def _when(project: Project, params: dict[str, Any]) -> tuple[int | Phase, str]:
    if "phase" not in params and "year" not in params:
        raise Invalid("Say for which year, or for the end of which phase, the answers are wanted.")
    if "phase" not in params:
        return params["year"], f"in {as_of.year_in_words(params['year'])}"
    phase = Phase.objects.filter(project=project, ordinal=params["phase"]).first()
    if phase is None:
        raise NotFound(f"There is no phase {params['phase']} in {project.code}.")
    return phase, f"at the end of {phase.label or phase}"


def _rooms(project: Project, found: finding.AsOf) -> list[Room]:
    elements = {one.key: one for one in found.loaded.elements}
    agreed, disputed = _said(project, "agreed"), _said(project, "disputed")
    asked: dict[str, list[str]] = {}
    spaces = {str(one.pk): one.number for one in Space.objects.filter(project=project)}
    for question in Question.objects.filter(project=project, state="open", about_type="space"):
        asked.setdefault(spaces.get(str(question.about_id), ""), []).append(f"Asked and not answered yet: {question.text}")
    by_space: dict[str, list[tuple[tuple[int, str], Part]]] = {}
    names = {}
    for answer in found.answers:
        _, position, _, names[answer.space] = found.loaded.about[answer.element]
        part = _part(elements[answer.element], answer, position)
        order = HIGH_TO_LOW.index(answer.element_class) if answer.element_class in HIGH_TO_LOW else HIGH_TO_LOW.index("mantel")
        by_space.setdefault(answer.space, []).append(((order, answer.element), part))
    return [
        Room(
            space,
            names[space],
            tuple(part for _, part in sorted(parts, key=lambda one: one[0])),
            tuple(agreed.get(space, ())),
            (*(f"The team does not agree: {one}" for one in disputed.get(space, ())), *asked.get(space, ())),
        )
        for space, parts in by_space.items()
    ]


def _said(project: Project, state: str) -> dict[str, list[str]]:
    """By space, what interpretations in a state say of it, or of something in it."""
    query = Interpretation.objects.filter(project=project, state=state).select_related("space", "element__space", "generation__space")
    told: dict[str, list[str]] = {}
    for one in query.order_by("number"):
        space = one.space or (one.element and one.element.space) or (one.generation and one.generation.space)
        if space:
            told.setdefault(space.number, []).append(one.statement)
    return told


def _part(element: Element, answer: as_of.ElementAsOf, position: str) -> Part:
    ordinals = carried(element)
    first = as_of.finish_of(element, 1) if 1 in ordinals else None
    force = answer.in_force
    whole = any(sample.base_state == "complete" and sample.top_state == "complete" for sample in element.samples)
    return Part(
        name=f"{element.element_class}, {position}" if position else element.element_class,
        code=element.key,
        first=_look(first, ""),
        then=_look(force.finish if force else None, answer.certainty if force else ""),
        carried=len(ordinals),
        whole=whole,
    )


def _look(finish: as_of.Finish | None, certainty: str) -> Look:
    if finish is None or not finish.technique:
        return Look()
    colour = finish.colour
    word = (colour.first_colour or colour.named) if colour else ""
    words = " ".join(part for part in (word, finish.technique) if part)
    return Look(words, colour.srgb if colour else "", certainty, len(finish.samples))

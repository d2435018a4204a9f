"""Labels for bags, vials and resin mounts."""

import datetime as dt
from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from django.conf import settings

from analysis.core.label_sheets import sheet_of
from surveys import access
from surveys.errors import Invalid
from surveys.models import Person, Project, Sample, Space
from surveys.selectors.labels import samples_for_labels

Progress = Any
Made = tuple[str, bytes]


def labels(actor: Person, project: Project, space: Space | None, params: Mapping[str, Any]) -> tuple[dict[str, Any], list[Made]]:
    """The sheets of labels and the page to read before they are used; and what came of it."""
    from analysis.papers.labels import Label, labels_pdf

    access.require(actor, project, access.SEE)
    samples = samples_for_labels(project, space, params.get("samples", ()))
    base = link_base(params.get("link", ""))
    told = [
        Label(sample.number, _lines(sample, params["for"], piece), f"{base}/projects/{project.code}/bench/{quote(sample.number, safe='')}")
        for sample in samples
        for piece in _pieces(sample, params["for"])
    ]
    if not told:
        raise Invalid("There is no sample to label yet.")
    sheet = sheet_of(params["sheet"])
    first = params.get("first", 1)
    if first > sheet.labels:
        raise Invalid(f"A page of this sheet holds {sheet.labels} labels, so the first free one cannot be number {first}.")
    title = f"{project.code}, labels for {params['for']}s"
    made = labels_pdf(told, sheet, first=first, cut_marks=bool(params.get("cut_marks")), title=title)
    result = {"labels": len(told), "pages": made.pages, "without_code": list(made.without_code)}
    return result, [
        (f"{project.code} labels for {params['for']}s.pdf", made.pdf),
        (f"{project.code} labels, read first.pdf", _notes(title, made.without_code)),
    ]


def link_base(asked: str) -> str:
    """Where the program is reached, for links on paper: as the settings say, else from where the labels were asked for."""
    return (str(settings.SITE_ADDRESS) or asked or "http://127.0.0.1:8000").rstrip("/")


def _pieces(sample: Sample, what: str) -> list[str]:
    """A label for each mount of a sample; one for its bag or vial."""
    if what != "mount":
        return [sample.bag]
    return [piece.strip() for piece in sample.mount.split(";") if piece.strip()] or [""]


def _lines(sample: Sample, what: str, piece: str) -> tuple[str, ...]:
    """In the order in which they matter: a small label shows the first."""
    from analysis.papers.labels import HAZARD

    element, space = sample.element, sample.element.space
    when = sample.taken_on.isoformat() if isinstance(sample.taken_on, dt.date) else "taken on __________"
    visit = f"visit {sample.visit}" if sample.visit else ""
    return (
        f"{space.number} · {element.code}",
        " · ".join(one for one in (visit, when) if one),
        f"{what} {piece}" if piece else "",
        " · ".join(one for one in (element.element_class, element.position) if one),
        space.name,
        HAZARD,
    )


def _notes(title: str, without: tuple[str, ...]) -> bytes:
    """What belongs with labels, and does not fit on one."""
    from analysis.core.cautions import cautions
    from analysis.papers.pdf import paper_pdf
    from analysis.papers.tree import Bullets, Heading, Paper, Words

    blocks: list[Any] = [
        Words(
            "Print the sheets at their actual size, not fitted to the page. Hold a print on plain paper against a sheet of labels first."
        ),
        Words("The code on a label is the address of the sample in the record; who reads it signs in there."),
        Heading(2, "Cautions"),
        Bullets(cautions((), untested_old_paint=True, for_sampling=True)),
    ]
    if without:
        many = f"{len(without)} labels have" if len(without) > 1 else "One label has"
        blocks.insert(2, Words(f"{many} no code, because it would be too small to be read: {', '.join(without[:40])}."))
    return paper_pdf(Paper(title=title, subtitle="Read before printing", blocks=tuple(blocks)))

"""What the paint chapter tells of a project, as plain values, in a number of queries that grows with its spaces only."""

from typing import Any

from analysis.core import materials
from surveys.models import Citation, Evidence, Interpretation, Layer, Membership, Phase, Project, Question, Sample
from surveys.selectors.materials import cautions_for, material_table

# What an author has not put forward yet is the author's own.
TOLD_STATES = ("for comment", "agreed", "disputed", "superseded")
SAMPLE_FIELDS = (
    "number", "part", "visit", "location", "purpose", "height_mm", "size_mm", "taken_by", "bag", "mount", "kept_at", "status", "base_state",
    "top_state", "examined_visible_by", "examined_uv_by", "notes",
)  # fmt: skip
LAYER_FIELDS = (
    "position", "kind", "completeness", "colour", "munsell", "munsell_by", "lab_l", "lab_a", "lab_b", "first_colour", "sheen", "texture",
    "uv_colour", "uv_strength", "pigments", "binder", "tests", "thickness_um", "lower_boundary", "notes", "placed_by", "confidence",
)  # fmt: skip


def _date(value: Any) -> str:
    return value.isoformat() if value else ""


def dated(project: Project) -> str:
    """The date of the last change to the record (ISO 8601), and so of all that is told from it."""
    last = project.changes.order_by("-sequence").values_list("at", flat=True).first()
    return _date((last or project.created_at).date())


def people(project: Project) -> list[dict[str, str]]:
    """Who belongs to the project, without who only sees what was issued."""
    members = Membership.objects.filter(project=project).exclude(role="contractor").select_related("person")
    return sorted(
        ({"name": str(one.person), "role": one.role, "discipline": one.discipline} for one in members), key=lambda one: one["name"]
    )


def samples(project: Project) -> list[dict[str, Any]]:
    """The register of samples."""
    found = Sample.objects.filter(project=project).select_related("element__space")
    return [
        {
            **{name: getattr(one, name) for name in SAMPLE_FIELDS},
            "taken_on": _date(one.taken_on),
            "examined_visible_on": _date(one.examined_visible_on),
            "examined_uv_on": _date(one.examined_uv_on),
            "element": one.element.code,
            "element_class": one.element.element_class,
            "substrate": one.element.substrate,
            "position": one.element.position,
            "space": one.element.space.number,
        }
        for one in found.order_by("element__space__sort_key", "element__space__number", "number")
    ]


def layers(project: Project) -> list[dict[str, Any]]:
    """Every layer as it was seen, and where it was placed."""
    found = Layer.objects.filter(project=project).select_related("sample__element__space", "generation")
    order = ("sample__element__space__sort_key", "sample__element__space__number", "sample__number", "position")
    return [
        {
            **{name: getattr(one, name) for name in LAYER_FIELDS},
            "sample": one.sample.number,
            "space": one.sample.element.space.number,
            "generation": one.generation.ordinal if one.generation else None,
        }
        for one in found.order_by(*order)
    ]


def phases(project: Project) -> list[dict[str, Any]]:
    """The phases of the building."""
    names = ("ordinal", "label", "earliest", "latest", "description")
    return [dict(zip(names, row, strict=True)) for row in Phase.objects.filter(project=project).order_by("ordinal").values_list(*names)]


def evidence(project: Project) -> list[dict[str, Any]]:
    """What other disciplines brought."""
    names = ("phase", "space", "element", "generation__space")
    return [
        {
            "reference": one.reference,
            "discipline": one.discipline,
            "kind": one.kind,
            "source": one.source,
            "statement": one.statement,
            "bears_on": _target(one),
            "relation": one.relation,
            "earliest": one.earliest,
            "latest": one.latest,
            "as_written": one.years_as_written,
            "certainty": one.certainty,
        }
        for one in Evidence.objects.filter(project=project).select_related(*names).order_by("reference")
    ]


def _target(one: Evidence) -> str:
    if one.bears_on in ("", "structure"):
        return "the structure" if one.bears_on else ""
    target = getattr(one, one.bears_on)
    return str(target) if one.bears_on == "phase" else f"{one.bears_on} {target}"


def interpretations(project: Project) -> list[dict[str, Any]]:
    """The findings that were put forward, each with the space that it is of ('' for the whole), its author and what it rests on."""
    rests: dict[Any, list[str]] = {}
    cited = Citation.objects.filter(project=project).select_related("sample", "layer__sample", "evidence", "cited")
    for one in cited.order_by("created_at", "pk"):
        target = one.cited if one.kind == "interpretation" else getattr(one, one.kind)
        name = str(target) if one.kind == "interpretation" else f"{one.kind} {target}"
        rests.setdefault(one.interpretation_id, []).append(name + (f" ({one.note})" if one.note else ""))
    found = Interpretation.objects.filter(project=project, state__in=TOLD_STATES).order_by("number")
    together = (
        "space",
        "element__space",
        "generation__space",
        "phase",
        "layer__sample__element__space",
        "created_by",
        "state_by",
        "supersedes",
    )
    return [_interpretation(one, rests.get(one.pk, [])) for one in found.select_related(*together)]


def _interpretation(one: Interpretation, rests: list[str]) -> dict[str, Any]:
    subject: Any = getattr(one, one.subject)
    space = {
        "space": lambda: subject,
        "element": lambda: subject.space,
        "generation": lambda: subject.space,
        "layer": lambda: subject.sample.element.space,
        "phase": lambda: None,
    }[one.subject]()
    return {
        "number": one.number,
        "discipline": one.discipline,
        "space": space.number if space else "",
        "about": str(subject) if one.subject == "phase" else f"{one.subject} {subject}",
        "statement": one.statement,
        "certainty": one.certainty,
        "state": one.state,
        "state_reason": one.state_reason,
        "by": str(one.created_by),
        "made_on": _date(one.created_at.date()),
        "state_by": str(one.state_by) if one.state_by else "",
        "state_on": _date(one.state_at.date()) if one.state_at else "",
        "supersedes": one.supersedes.number if one.supersedes else None,
        "rests_on": rests,
    }


def questions(project: Project) -> list[dict[str, Any]]:
    """The questions that are still open."""
    found = Question.objects.filter(project=project, state="open").select_related("to_person", "created_by").order_by("number")
    return [
        {
            "number": one.number,
            "text": one.text,
            "to": str(one.to_person) if one.to_person else one.to_discipline,
            "by": str(one.created_by),
        }
        for one in found
    ]


def found_materials(project: Project) -> list[dict[str, Any]]:
    """The dated materials that layers name, each with the source of its year and the layers in which it was seen or identified."""
    table = material_table()
    met: dict[str, dict[str, Any]] = {}
    rows = Layer.objects.filter(project=project).exclude(pigments="", binder="").order_by("sample__number", "position")
    for number, position, pigments, binder in rows.values_list("sample__number", "position", "pigments", "binder"):
        for part in [*materials.parse_list(pigments), *materials.parse_list(binder)]:
            known = materials.match_material(part.name, table)
            if known is not None:
                told = met.setdefault(known.name, {"material": known, "seen": [], "identified": []})
                told[part.basis].append(f"{number}/{position}")
    return [
        {
            "name": one["material"].name,
            "earliest_year": one["material"].earliest_year,
            "source": "; ".join(part for part in (one["material"].source, one["material"].second_source) if part),
            "disagreement": one["material"].disagreement,
            "verified": one["material"].verified,
            "seen": one["seen"],
            "identified": one["identified"],
        }
        for _, one in sorted(met.items())
    ]


def cautions(project: Project) -> list[str]:
    """The cautions that go with all layers of the project."""
    pairs = Layer.objects.filter(project=project).order_by().values_list("pigments", "binder").distinct()
    return cautions_for(Layer(pigments=pigments, binder=binder) for pigments, binder in pairs)

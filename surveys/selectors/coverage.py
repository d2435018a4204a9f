"""What coverage reads of a whole project, in a number of queries that does not grow with it."""

from typing import Any

from django.db.models import Q

from analysis.core import coverage
from surveys.models import Element, Generation, Interpretation, Layer, Project, Sample, Space
from surveys.selectors.facts import correlation_digests


def spaces_with_state(project: Project) -> list[dict[str, Any]]:
    """The spaces of a project, and of each whether it was correlated and whether that still stands."""
    digests = correlation_digests(project)
    spaces = Space.objects.filter(project=project).order_by("sort_key", "number")
    return [
        {
            "id": str(space.pk),
            "number": space.number,
            "name": space.name,
            "correlated_at": space.correlated_at,
            "current": bool(space.correlated_digest) and space.correlated_digest == digests[space.pk],
        }
        for space in spaces
    ]


def elements_for_coverage(project: Project) -> list[coverage.Element]:
    """Each element as coverage reads it."""
    interpreted, agreed = _interpreted(project)
    found = Element.objects.filter(project=project).values_list("pk", "space_id", "space__number", "element_class", "code")
    return [
        coverage.Element(number, name, code, bool({pk, space} & interpreted), bool({pk, space} & agreed))
        for pk, space, number, name, code in found
    ]


def _interpreted(project: Project) -> tuple[set[Any], set[Any]]:
    """The ids of the elements and spaces that an interpretation bears on, and of those of which one is agreed."""
    carriers: dict[Any, set[Any]] = {}
    carried = Layer.objects.filter(project=project, generation__isnull=False).order_by().values_list("generation_id", "sample__element_id")
    for generation, element in carried.distinct():
        carriers.setdefault(generation, set()).add(element)
    interpreted: set[Any] = set()
    agreed: set[Any] = set()
    names = ("state", "space_id", "element_id", "layer__sample__element_id", "generation_id")
    for state, space, element, own, generation in Interpretation.objects.filter(project=project).values_list(*names):
        if state == "superseded":
            continue
        borne = {one for one in (space, element, own) if one is not None} | carriers.get(generation, set())
        interpreted |= borne
        if state == "agreed":
            agreed |= borne
    return interpreted, agreed


def samples_for_coverage(project: Project) -> list[coverage.Sample]:
    """Each sample with its layers, as coverage reads it."""
    layers: dict[Any, list[coverage.Layer]] = {}
    rows = (
        Layer.objects.filter(project=project)
        .order_by("position")
        .values_list("sample_id", "generation__space__number", "generation__ordinal", "confidence", "placed_by", "uv_colour", "uv_strength")
    )
    for sample, space, ordinal, confidence, placed_by, colour, strength in rows:
        generation = "" if ordinal is None else f"{space}/{ordinal}"
        seen = bool(colour or strength)
        layers.setdefault(sample, []).append(coverage.Layer(generation, confidence, placed_by == "by hand", seen))
    samples = Sample.objects.filter(project=project).annotate(
        seen_visible=Q(examined_visible_on__isnull=False) | ~Q(examined_visible_by=""),
        seen_uv=Q(examined_uv_on__isnull=False) | ~Q(examined_uv_by=""),
    )
    names = ("pk", "number", "element__space__number", "element__element_class", "status", "mount", "seen_visible", "seen_uv")
    return [
        coverage.Sample(number, space, name, status, bool(mount), visible, uv, tuple(layers.get(pk, ())))
        for pk, number, space, name, status, mount, visible, uv in samples.values_list(*names)
    ]


def distinctness_of_generations(project: Project) -> list[tuple[str, int, float | None]]:
    """(space, ordinal, distinctness) of each generation."""
    return list(Generation.objects.filter(project=project).values_list("space__number", "ordinal", "distinctness"))

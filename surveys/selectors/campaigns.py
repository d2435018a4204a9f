"""What the comparison of spaces reads of a whole project, in a number of queries that does not grow with it."""

from typing import Any

from surveys.models import Generation, Layer, Project, Sample
from surveys.selectors.facts import LAYER_FACTS


def samples_by_space(project: Project) -> dict[str, list[dict[str, Any]]]:
    """The samples of each space with their layers, as its correlation reads them, by the space's number."""
    layers: dict[Any, list[dict[str, Any]]] = {}
    for row in Layer.objects.filter(project=project).order_by("position").values("sample_id", *LAYER_FACTS):
        layers.setdefault(row.pop("sample_id"), []).append(row)
    found: dict[str, list[dict[str, Any]]] = {}
    samples = Sample.objects.filter(project=project).exclude(status="set aside").order_by("number")
    names = ("number", "element__code", "element__element_class", "base_state", "top_state")
    for pk, space, *values in samples.values_list("pk", "element__space__number", *names):
        facts = dict(zip(("number", "element", "element_class", "base_state", "top_state"), values, strict=True))
        found.setdefault(space, []).append({**facts, "layers": layers.get(pk, [])})
    return found


def ordinals_by_space(project: Project) -> dict[str, dict[str, int]]:
    """The ordinal of the generation of each layer that stands in one, by the space's number and the layer's name."""
    rows = Layer.objects.filter(project=project, generation__isnull=False)
    found: dict[str, dict[str, int]] = {}
    for space, sample, position, ordinal in rows.values_list(
        "generation__space__number", "sample__number", "position", "generation__ordinal"
    ):
        found.setdefault(space, {})[f"{sample}/{position}"] = ordinal
    return found


def generations_by_name(project: Project) -> dict[tuple[str, int], Generation]:
    """Every generation of a project with its phase, by its space's number and its ordinal."""
    rows = Generation.objects.filter(project=project).select_related("space", "phase")
    return {(one.space.number, one.ordinal): one for one in rows}

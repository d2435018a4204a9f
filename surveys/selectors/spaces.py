"""Reads of one space, and of the spaces of a project."""

from functools import cache
from typing import Any

from django.db.models import QuerySet

from surveys.models import Element, Generation, Layer, Project, Ruling, Sample, Space
from surveys.selectors.listings import counted

LAYERS_TOGETHER = ("sample__element", "generation", "runner_up")


def layers_of_space(space_id: Any) -> QuerySet[Layer]:
    """The layers of a space with their samples, elements and generations: by sample number, bottom to top."""
    layers = Layer.objects.filter(sample__element__space=space_id).select_related(*LAYERS_TOGETHER)
    return layers.order_by("sample__number", "position")


def rulings_of_space(space_id: Any) -> list[Ruling]:
    """The rulings on layers of a space, oldest first."""
    return _rulings_together(Ruling.objects.filter(first_layer__sample__element__space=space_id))


def rulings_of_project(project: Project) -> list[Ruling]:
    """The rulings on all layers of a project, oldest first."""
    return _rulings_together(Ruling.objects.filter(project=project))


def _rulings_together(rulings: QuerySet[Ruling]) -> list[Ruling]:
    together = ("first_layer__sample__element", "second_layer__sample__element", "generation__space", "created_by")
    return list(rulings.select_related(*together).order_by("created_at", "pk"))


def layer_ids_by_sample(space_id: Any) -> list[list[str]]:
    """The ids of the layers of each sample of a space, bottom to top."""
    found: dict[Any, list[str]] = {}
    rows = Layer.objects.filter(sample__element__space=space_id).order_by("sample__number", "position")
    for sample, layer in rows.values_list("sample_id", "pk"):
        found.setdefault(sample, []).append(str(layer))
    return list(found.values())


def layer_names(space_id: Any) -> dict[str, str]:
    """What people call each layer of a space ('K-014/3'), by its id."""
    rows = Layer.objects.filter(sample__element__space=space_id).values_list("pk", "sample__number", "position")
    return {str(pk): f"{number}/{position}" for pk, number, position in rows}


def layer_in_place(layer_id: Any) -> Layer:
    """One layer with its sample, element and space, its generation and its runner-up."""
    return Layer.objects.select_related("sample__element__space", "generation", "runner_up").get(pk=layer_id)


def ordinals_of_layers(space_id: Any) -> dict[str, int]:
    """The ordinal of the generation of each layer of a space that stands in one, by the layer's name."""
    rows = Layer.objects.filter(sample__element__space=space_id, generation__isnull=False)
    named = rows.values_list("sample__number", "position", "generation__ordinal")
    return {f"{number}/{position}": ordinal for number, position, ordinal in named}


def distinctness_of_space(space_id: Any) -> dict[int, float | None]:
    """How surely each generation of a space is another campaign than the one below it, by ordinal."""
    return dict(Generation.objects.filter(space=space_id).values_list("ordinal", "distinctness"))


def generation_order(space_id: Any) -> list[str]:
    """The ids of the generations of a space in which a layer is held, oldest first."""
    held = Generation.objects.filter(space=space_id, rulings__kind="hold").distinct().order_by("ordinal")
    return [str(pk) for pk in held.values_list("pk", flat=True)]


def space_summaries(project: Project) -> QuerySet[Space]:
    """The spaces of a project with how many elements, samples, layers and generations each has, in one query."""
    return _summaries().filter(project=project)


@cache
def _summaries() -> QuerySet[Space]:
    return Space.objects.annotate(
        element_count=counted(Element.objects.all(), "space"),
        sample_count=counted(Sample.objects.all(), "element__space"),
        layer_count=counted(Layer.objects.all(), "sample__element__space"),
        generation_count=counted(Generation.objects.all(), "space"),
    )

"""Elements with their samples and layers, as element readings and finishes as of a year read them; three queries however many there are."""

from dataclasses import dataclass
from typing import Any

from analysis.core import elements as core
from surveys.models import Element, Layer, Project, Sample, Space
from surveys.selectors.chart import lab_of

LAYER_COLUMNS = (
    "pk", "sample_id", "position", "kind", "completeness", "lower_boundary", "generation__ordinal", "confidence", "placed_by",
    "runner_up__ordinal", "runner_up_confidence", "lab_l", "lab_a", "lab_b", "munsell", "colour", "first_colour", "sheen", "pigments",
    "binder",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Loaded:
    """Elements as kernels see them, and what leads back from their names to the records."""

    elements: list[core.Element]
    # (id, position, space's id, space's name) by the code of an element.
    about: dict[str, tuple[str, str, str, str]]
    samples: dict[str, str]
    layers: dict[str, str]
    # The cells of pigments and binders that any of these layers names, for cautions; by the code of the element.
    materials: dict[str, set[str]]


def elements_with_layers(project: Project, space: Space | None = None) -> Loaded:
    """The elements of a project or of a space: by space, by class as the project lists them, by code; without samples set aside."""
    within = {"space": space} if space else {}
    rows = Element.objects.filter(project=project, **within).select_related("space")
    place = {name: index for index, name in enumerate(project.element_classes)}
    ordered = sorted(
        rows, key=lambda one: (one.space.sort_key, one.space.number, place.get(one.element_class, len(place)), one.element_class, one.code)
    )
    samples = Sample.objects.filter(project=project, **{f"element__{name}": value for name, value in within.items()})
    layers = Layer.objects.filter(project=project, **{f"sample__element__{name}": value for name, value in within.items()})
    return _loaded(ordered, samples.exclude(status="set aside").order_by("number"), layers.exclude(sample__status="set aside"))


def _loaded(rows: list[Element], samples: Any, layers: Any) -> Loaded:
    found: dict[Any, list[core.Layer]] = {}
    named = {one.pk: one for one in samples}
    layer_ids: dict[str, str] = {}
    cells: dict[Any, set[str]] = {}
    for row in layers.order_by("sample__number", "position").values(*LAYER_COLUMNS):
        sample = named[row["sample_id"]]
        name = f"{sample.number}/{row['position']}"
        layer_ids[name] = str(row["pk"])
        found.setdefault(sample.pk, []).append(_layer(name, row))
        cells.setdefault(sample.element_id, set()).update(cell for cell in (row["pigments"], row["binder"]) if cell)
    by_element: dict[Any, list[core.Sample]] = {}
    for sample in named.values():
        by_element.setdefault(sample.element_id, []).append(
            core.Sample(sample.number, sample.base_state, sample.top_state, tuple(found.get(sample.pk, ())))
        )
    return Loaded(
        elements=[
            core.Element(one.code, one.space.number, one.element_class, one.substrate, tuple(by_element.get(one.pk, ()))) for one in rows
        ],
        about={one.code: (str(one.pk), one.position, str(one.space_id), one.space.name) for one in rows},
        samples={one.number: str(one.pk) for one in named.values()},
        layers=layer_ids,
        materials={one.code: cells.get(one.pk, set()) for one in rows},
    )


def _layer(name: str, row: dict[str, Any]) -> core.Layer:
    return core.Layer(
        key=name,
        position=row["position"],
        kind=row["kind"],
        completeness=row["completeness"],
        lower_boundary=row["lower_boundary"],
        generation=row["generation__ordinal"],
        confidence=row["confidence"],
        held=row["placed_by"] == "by hand",
        runner_up=row["runner_up__ordinal"],
        runner_up_confidence=row["runner_up_confidence"],
        lab=lab_of(row["munsell"], (row["lab_l"], row["lab_a"], row["lab_b"])),
        munsell=row["munsell"],
        colour=row["colour"],
        first_colour=row["first_colour"],
        sheen=row["sheen"],
    )

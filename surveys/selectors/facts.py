"""What a computation reads, as plain values named as people name them, and a digest by which unchanged input is known.

Kernels see sample numbers and layer names, not ids, so that the same record computed elsewhere gives the same answer.
"""

import hashlib
from collections.abc import Iterable, Mapping
from typing import Any

import orjson
from django.db.models import QuerySet

from surveys.models import Evidence, Generation, Layer, Phase, Project, Ruling, Sample, Space
from surveys.selectors.spaces import rulings_of_project, rulings_of_space

LAYER_FACTS = (
    "position", "kind", "completeness", "colour", "munsell", "munsell_by", "lab_l", "lab_a", "lab_b", "sheen", "texture",
    "uv_colour", "uv_strength", "pigments", "binder", "thickness_um", "lower_boundary",
)  # fmt: skip


def digest_of(facts: Any) -> str:
    """SHA-256 of plain values, in an order that does not depend on how they were gathered."""
    return hashlib.sha256(orjson.dumps(facts, option=orjson.OPT_SORT_KEYS)).hexdigest()


def correlation_facts(space_id: Any) -> dict[str, Any]:
    """All that the correlation of a space reads: its samples with their layers, the rulings, the generations that holds name."""
    layers = _layers_by_sample(Layer.objects.filter(sample__element__space=space_id))
    samples = _samples_in_order(Sample.objects.filter(element__space=space_id))
    return _correlation_facts(samples, layers, rulings_of_space(space_id))


def correlation_digests(project: Project) -> dict[Any, str]:
    """The digest of what the correlation of each space reads, by the space's id; in as many queries as for one space."""
    layers = _layers_by_sample(Layer.objects.filter(project=project))
    samples: dict[Any, list[Sample]] = {}
    for sample in _samples_in_order(Sample.objects.filter(project=project)):
        samples.setdefault(sample.element.space_id, []).append(sample)
    rulings: dict[Any, list[Ruling]] = {}
    for ruling in rulings_of_project(project):
        rulings.setdefault(ruling.first_layer.sample.element.space_id, []).append(ruling)
    spaces = Space.objects.filter(project=project).values_list("pk", flat=True)
    return {pk: digest_of(_correlation_facts(samples.get(pk, []), layers, rulings.get(pk, []))) for pk in spaces}


def _layers_by_sample(query: QuerySet[Layer]) -> dict[Any, list[dict[str, Any]]]:
    layers: dict[Any, list[dict[str, Any]]] = {}
    for row in query.order_by("position").values("sample_id", *LAYER_FACTS):
        layers.setdefault(row.pop("sample_id"), []).append(row)
    return layers


def _samples_in_order(query: QuerySet[Sample]) -> QuerySet[Sample]:
    return query.exclude(status="set aside").select_related("element").order_by("number")


def _correlation_facts(samples: Iterable[Sample], layers: Mapping[Any, list[dict[str, Any]]], rulings: list[Ruling]) -> dict[str, Any]:
    # A sample that was set aside is not read, so what was ruled on its layers binds nothing.
    rulings = [ruling for ruling in rulings if not _is_aside(ruling.first_layer) and not _is_aside(ruling.second_layer)]
    held = {ruling.generation_id: ruling.generation for ruling in rulings if ruling.generation is not None}
    order = sorted(held.values(), key=lambda generation: generation.ordinal)
    return {
        "samples": [
            {
                "number": sample.number,
                "element": sample.element.code,
                "element_class": sample.element.element_class,
                "base_state": sample.base_state,
                "top_state": sample.top_state,
                "layers": layers.get(sample.pk, []),
            }
            for sample in samples
        ],
        "rulings": sorted(
            [
                {
                    "kind": ruling.kind,
                    "first": str(ruling.first_layer),
                    "second": str(ruling.second_layer) if ruling.second_layer else "",
                    "generation": f"{ruling.generation.ordinal:05d}" if ruling.generation else "",
                }
                for ruling in rulings
            ],
            key=lambda ruling: (ruling["kind"], ruling["first"], ruling["second"]),
        ),
        "held_generations": [f"{generation.ordinal:05d}" for generation in order],
    }


def _is_aside(layer: Layer | None) -> bool:
    return layer is not None and layer.sample.status == "set aside"


def correlation_digest(space_id: Any) -> str:
    """The digest of what the correlation of a space reads."""
    return digest_of(correlation_facts(space_id))


def dating_facts(project: Project) -> dict[str, Any]:
    """All that dating reads: generations, phases, evidence, which generations each element carries, the materials found."""
    names = dict(Space.objects.filter(project=project).values_list("pk", "number"))
    generations = Generation.objects.filter(project=project).select_related("phase").order_by("space__number", "ordinal")
    carried: dict[str, set[tuple[str, int]]] = {}
    finds: list[dict[str, Any]] = []
    columns = ("sample__element__code", "generation__space_id", "generation__ordinal", "sample__number", "position", "pigments", "binder")
    layers = Layer.objects.filter(project=project, generation__isnull=False).order_by("sample__number", "position")
    # Plain values, not records: a large project has tens of thousands of layers, and this reads seven columns of each.
    for code, space, ordinal, number, position, pigments, binder in layers.values_list(*columns):
        where = (names[space], ordinal)
        carried.setdefault(code, set()).add(where)
        if pigments or binder:
            finds.append({"layer": f"{number}/{position}", "generation": list(where), "pigments": pigments, "binder": binder})
    return {
        "first_year": project.first_year,
        "last_year": project.last_year,
        "generations": [
            {
                "space": names[generation.space_id],
                "ordinal": generation.ordinal,
                "phase": generation.phase.ordinal if generation.phase else None,
                "label": generation.label,
            }
            for generation in generations
        ],
        "phases": list(Phase.objects.filter(project=project).order_by("ordinal").values("ordinal", "label", "earliest", "latest")),
        "evidence": [_evidence(one, names) for one in _evidence_of(project)],
        "elements": {
            code: {"space": space, "generations": sorted(carried.get(code, set()))}
            for code, space in project.elements.order_by("code").values_list("code", "space__number")
        },
        "finds": finds,
    }


def _evidence_of(project: Project) -> Any:
    together = ("phase", "space", "element", "generation__space")
    return Evidence.objects.filter(project=project).select_related(*together).order_by("reference")


def _evidence(one: Evidence, names: dict[Any, str]) -> dict[str, Any]:
    targets: dict[str, Any] = {
        "phase": one.phase.ordinal if one.phase else None,
        "space": one.space.number if one.space else None,
        "element": one.element.code if one.element else None,
        "generation": [names[one.generation.space_id], one.generation.ordinal] if one.generation else None,
    }
    return {
        "reference": one.reference,
        "bears_on": one.bears_on,
        "target": targets.get(one.bears_on),
        "relation": one.relation,
        "earliest": one.earliest,
        "latest": one.latest,
        "certainty": one.certainty,
    }


def dating_digest(project: Project) -> str:
    """The digest of what dating reads."""
    return digest_of(dating_facts(project))

"""The generation chart of a space, as the interface answers it and as drawings are made from it."""

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from analysis.core import colour
from surveys.models import Generation, Layer, Sample, Space
from surveys.selectors.facts import correlation_digest
from surveys.selectors.materials import cautions_for
from surveys.selectors.spaces import layers_of_space


def chart(space: Space) -> dict[str, Any]:
    """Generations (oldest first), samples (by element class) and one cell a layer."""
    generations = list(Generation.objects.filter(space=space).select_related("phase").order_by("ordinal"))
    layers = list(layers_of_space(space.pk).exclude(sample__status="set aside"))
    seen = {layer.sample_id for layer in layers}
    current = is_current(space)
    samples = [sample for sample in _samples(space) if sample.pk in seen]
    return {
        "project": space.project.code,
        "project_name": space.project.name,
        "space": space.number,
        "space_id": str(space.pk),
        "space_name": space.name,
        "generations": [_generation(generation) for generation in generations],
        "samples": [_sample(sample) for sample in samples],
        "cells": [_cell(layer) for layer in layers],
        "correlated_at": space.correlated_at.isoformat(timespec="seconds") if space.correlated_at else None,
        "correlated_by": space.correlated_by,
        "current": current,
        "notes": _notes(space, current),
        "cautions": cautions_for(layers),
    }


def is_current(space: Space) -> bool:
    """Whether a space was correlated, and nothing that its correlation reads has changed since."""
    return bool(space.correlated_digest) and space.correlated_digest == correlation_digest(space.pk)


def _samples(space: Space) -> Iterable[Sample]:
    """In the order of the project's list of classes, then element, then number."""
    place = {name: index for index, name in enumerate(space.project.element_classes)}
    samples = Sample.objects.filter(element__space=space).select_related("element")
    return sorted(samples, key=lambda one: (place.get(one.element.element_class, len(place)), one.element.code, one.number))


def _notes(space: Space, current: bool) -> list[str]:
    if not space.correlated_at:
        return ["The layers of this space have not been correlated yet."]
    note = f"Correlated {space.correlated_at:%Y-%m-%d %H:%M} UTC by {space.correlated_by}."
    if not current:
        note += " Its samples, layers or rulings have changed since: correlate it again."
    return [note]


def _generation(generation: Generation) -> dict[str, Any]:
    return {
        "id": str(generation.pk),
        "version": generation.version,
        "ordinal": generation.ordinal,
        "label": generation.label,
        "description": generation.description,
        "technique": generation.technique,
        "earliest": generation.earliest,
        "latest": generation.latest,
        "earliest_by": generation.earliest_by,
        "latest_by": generation.latest_by,
        "phase": str(generation.phase) + (f": {generation.phase.label}" if generation.phase.label else "") if generation.phase else None,
        "phase_id": str(generation.phase_id) if generation.phase_id else None,
        "distinctness": generation.distinctness,
    }


def _sample(sample: Sample) -> dict[str, Any]:
    return {
        "sample": sample.number,
        "sample_id": str(sample.pk),
        "element": sample.element.code,
        "element_id": str(sample.element_id),
        "class": sample.element.element_class,
        "position": sample.element.position,
        "base_state": sample.base_state,
        "top_state": sample.top_state,
    }


@lru_cache(maxsize=8_192)
def lab_of(munsell: str, lab: tuple[float | None, float | None, float | None]) -> tuple[float, float, float] | None:
    """L*a*b* (D65, 2°) as measured, else of the Munsell notation; None where there is neither or it lies outside the renotation."""
    if lab[0] is not None and lab[1] is not None and lab[2] is not None:
        return (lab[0], lab[1], lab[2])
    if not munsell:
        return None
    try:
        found = colour.munsell_to_lab(munsell)
    except ValueError:
        return None
    return (float(found[0]), float(found[1]), float(found[2]))


def _cell(layer: Layer) -> dict[str, Any]:
    lab = lab_of(layer.munsell, (layer.lab_l, layer.lab_a, layer.lab_b))
    screen = colour.lab_to_srgb(lab) if lab else None
    return {
        "layer": str(layer),
        "layer_id": str(layer.pk),
        "version": layer.version,
        "sample": layer.sample.number,
        "position": layer.position,
        "kind": layer.kind,
        "completeness": layer.completeness,
        "colour": layer.colour,
        "generation": layer.generation.ordinal if layer.generation else None,
        "confidence": layer.confidence,
        "runner_up": layer.runner_up.ordinal if layer.runner_up else None,
        "runner_up_confidence": layer.runner_up_confidence,
        "munsell": layer.munsell,
        "lab": [round(part, 2) for part in lab] if lab else None,
        "srgb": screen.hex if screen else None,
        "in_gamut": screen.in_gamut if screen else True,
        "uv_colour": layer.uv_colour,
        "uv_strength": layer.uv_strength,
        "held": layer.placed_by == "by hand",
    }

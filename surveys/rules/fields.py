"""Checks between the fields of one whole record, and between the layers of one sample."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import models

from surveys.errors import Fault
from surveys.models import (
    Element,
    Evidence,
    Interpretation,
    Layer,
    Phase,
    Project,
    Ruling,
    Sample,
    Schedule,
    Traverse,
)
from surveys.rules.lines import traverse_faults
from surveys.rules.words import near_class


def years_fault(earliest: int | None, latest: int | None, field: str = "latest") -> list[Fault]:
    """Years must be in order."""
    if earliest is not None and latest is not None and earliest > latest:
        return [Fault(field, "years-out-of-order", f"The latest year, {latest}, is before the earliest, {earliest}.")]
    return []


def between(record: models.Model) -> list[Fault]:
    """What is wrong between the fields of one whole record."""
    check = BETWEEN.get(type(record))
    return check(record) if check else []


def _project(project: Any) -> list[Fault]:
    return years_fault(project.first_year, project.last_year, "last_year")


def _phase(phase: Any) -> list[Fault]:
    return years_fault(phase.earliest, phase.latest)


def _layer(layer: Any) -> list[Fault]:
    lab = (layer.lab_l, layer.lab_a, layer.lab_b)
    if any(part is None for part in lab) and any(part is not None for part in lab):
        return [Fault("lab_l", "incomplete-lab", "Give L*, a* and b* together, or none of them.")]
    faults = []
    if lab[0] is not None and not 0 <= lab[0] <= 100:
        faults.append(Fault("lab_l", "out-of-range", "L* lies between 0 and 100."))
    faults += [
        Fault(name, "out-of-range", f"{star} lies between -200 and 200.")
        for name, star, part in (("lab_a", "a*", lab[1]), ("lab_b", "b*", lab[2]))
        if part is not None and not -200 <= part <= 200
    ]
    if layer.thickness_um is not None and not 0 < layer.thickness_um <= 100_000:
        faults.append(Fault("thickness_um", "out-of-range", "A thickness lies above 0 and up to 100,000 µm."))
    if layer.munsell_by and not layer.munsell:
        faults.append(Fault("munsell_by", "without-munsell", "This says how the Munsell notation was found, but there is none."))
    return faults


def _sample(sample: Any) -> list[Fault]:
    if sample.size_mm is not None and sample.size_mm <= 0:
        return [Fault("size_mm", "out-of-range", "A size is above 0 mm.")]
    return []


def _element(element: Any) -> list[Fault]:
    if element.element_class in element.project.element_classes:
        return []
    found, near = near_class(element.element_class, element.project.element_classes)
    offer = found or near
    hint = f"Did you mean '{offer}'?" if offer else "A coordinator can add it in the project's settings."
    return [Fault("element_class", "unknown-class", f"'{element.element_class}' is not among the project's classes. {hint}")]


def _evidence(evidence: Any) -> list[Fault]:
    faults = years_fault(evidence.earliest, evidence.latest)
    wanted = evidence.bears_on
    for target in ("phase", "space", "element", "generation"):
        named = getattr(evidence, f"{target}_id") is not None
        if target == wanted and not named:
            faults.append(Fault(target, "required", f"Evidence that bears on a {target} must name it."))
        if target != wanted and named:
            faults.append(Fault(target, "not-borne-on", f"This evidence bears on {wanted or 'nothing yet'}, so it cannot name a {target}."))
    if evidence.relation == "between" and (evidence.earliest is None or evidence.latest is None):
        faults.append(Fault("relation", "years-missing", "'between' needs both an earliest and a latest year."))
    return faults


def _ruling(ruling: Any) -> list[Fault]:
    hold = ruling.kind == "hold"
    if hold and ruling.generation_id is None:
        return [Fault("generation", "required", "A hold names the generation in which it holds the layer.")]
    if hold and ruling.second_layer_id is not None:
        return [Fault("second_layer", "not-needed", "A hold is of one layer; leave the second blank.")]
    if not hold and ruling.second_layer_id is None:
        return [Fault("second_layer", "required", f"A {ruling.kind} names two layers.")]
    if not hold and ruling.generation_id is not None:
        return [Fault("generation", "not-needed", f"A {ruling.kind} names two layers and no generation.")]
    if ruling.first_layer_id == ruling.second_layer_id:
        return [Fault("second_layer", "same-layer", "A ruling is between two different layers.")]
    return []


def _interpretation(interpretation: Any) -> list[Fault]:
    faults = []
    for subject in ("space", "element", "generation", "phase", "layer"):
        named = getattr(interpretation, f"{subject}_id") is not None
        if subject == interpretation.subject and not named:
            faults.append(Fault(subject, "required", f"An interpretation about a {subject} must name it."))
        if subject != interpretation.subject and named:
            text = f"This interpretation is about a {interpretation.subject or '?'}, so it cannot name a {subject}."
            faults.append(Fault(subject, "not-its-subject", text))
    if interpretation.supersedes_id is not None and interpretation.supersedes_id == interpretation.pk:
        faults.append(Fault("supersedes", "itself", "An interpretation cannot supersede itself."))
    return faults


def _schedule(schedule: Any) -> list[Fault]:
    if (schedule.year is None) == (schedule.phase_id is None):
        return [Fault("year", "year-or-phase", "A schedule is as of a year or of a phase: name one of the two.")]
    return []


BETWEEN: Mapping[Any, Any] = {
    Project: _project,
    Phase: _phase,
    Layer: _layer,
    Sample: _sample,
    Element: _element,
    Evidence: _evidence,
    Ruling: _ruling,
    Interpretation: _interpretation,
    Schedule: _schedule,
    Traverse: traverse_faults,
}


def order_fault(layers: Iterable[Any]) -> Fault | None:
    """Within a sample generations never fall as positions rise; `layers` bottom to top, with their generations loaded."""
    below = None
    for layer in layers:
        if layer.generation_id is None:
            continue
        if below is not None and layer.generation.ordinal < below.generation.ordinal:
            return Fault(
                "generation",
                "against-the-order",
                f"Layer {layer} lies above {below}, so it cannot belong to generation {layer.generation.ordinal} "
                f"while {below} belongs to generation {below.generation.ordinal}. Withdraw one of the two placements first.",
            )
        below = layer
    return None

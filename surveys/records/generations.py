"""Writes of generations and phases: their numbers run 1..n, and each keeps its identity when the numbers move."""

from collections.abc import Sequence
from typing import Any

from surveys import rules
from surveys.errors import Conflict, Fault, Invalid
from surveys.models import Generation, Layer, Phase
from surveys.records import rulings
from surveys.records.writing import Pen, now

OUT_OF_THE_WAY = 1_000_000


def write(pen: Pen, rows: list[tuple[Generation, dict[str, Any]]]) -> None:
    """Create generations (those from that number on move up) and change them, a new number moving the others aside."""
    for generation, values in rows:
        wanted = values.pop("ordinal", None)
        if generation._state.adding:
            _insert(pen, generation, wanted)
            continue
        if "space" in values and values.pop("space").pk != generation.space_id:
            text = "A generation stays in its space."
            raise Invalid(text, faults=(Fault("space", "fixed", text),))
        pen.change(generation, values)
        if wanted is not None and wanted != generation.ordinal:
            others = [one for one in of_space(generation.space_id) if one.pk != generation.pk]
            _refuse_hole(wanted, len(others) + 1)
            others.insert(wanted - 1, generation)
            renumber(pen, others)
            check_layers(pen, generation.space_id)


def _insert(pen: Pen, generation: Generation, wanted: int | None) -> None:
    rest = of_space(generation.space_id)
    place = len(rest) + 1 if wanted is None else wanted
    _refuse_hole(place, len(rest) + 1)
    rest.insert(place - 1, generation)
    renumber(pen, rest)


def _refuse_hole(wanted: int, most: int) -> None:
    if wanted > most:
        text = f"The generations of this space would have a hole: the highest number is {most}."
        raise Invalid(text, faults=(Fault("ordinal", "hole", text),))


def of_space(space_id: Any) -> list[Generation]:
    """The generations of a space, oldest first."""
    return list(Generation.objects.filter(space=space_id).select_related("space").order_by("ordinal"))


def renumber(pen: Pen, order: Sequence[Generation]) -> None:
    """Number generations of one space as they stand, 1 = oldest; new ones are inserted, moved ones remember their former number."""
    moved, new = [], []
    for ordinal, generation in enumerate(order, start=1):
        if generation._state.adding:
            generation.ordinal = ordinal
            new.append(generation)
        elif generation.ordinal != ordinal:
            former = [*generation.earlier_ordinals, {"ordinal": generation.ordinal, "until": now()}]
            moved.append((generation, {"ordinal": ordinal, "earlier_ordinals": former}))
    pen.shift(Generation, [generation.pk for generation, _ in moved], "ordinal", OUT_OF_THE_WAY)
    pen.change_many(moved)
    pen.create(new)


def ensure_up_to(pen: Pen, space: Any, ordinal: int) -> dict[int, Generation]:
    """The generations of a space by number, with new ones on top up to that number."""
    standing = of_space(space.pk)
    fresh = [Generation(project=pen.project, space=space) for _ in range(len(standing), ordinal)]
    if fresh:
        renumber(pen, [*standing, *fresh])
    return {generation.ordinal: generation for generation in [*standing, *fresh]}


def check_layers(pen: Pen, space_id: Any) -> None:
    """After a renumbering no sample may have generations that fall, and no rulings may contradict."""
    placed = Layer.objects.filter(sample__element__space=space_id, generation__isnull=False).select_related("sample", "generation")
    by_sample: dict[Any, list[Layer]] = {}
    for layer in placed.order_by("sample_id", "position"):
        by_sample.setdefault(layer.sample_id, []).append(layer)
    for layers in by_sample.values():
        fault = rules.order_fault(layers)
        if fault:
            raise Conflict(fault.detail, code=fault.code, faults=(fault,))
    rulings.check_at_the_end(pen, space_id)


def write_phases(pen: Pen, rows: list[tuple[Phase, dict[str, Any]]]) -> None:
    """Create and change phases. A number is free or refused; numbers may have gaps, since teams agree on them in talk."""
    new = [phase for phase, _ in rows if phase._state.adding]
    for phase in new:
        if phase.ordinal is None:
            top = Phase.objects.filter(project=pen.project).order_by("-ordinal").first()
            phase.ordinal = (top.ordinal if top else 0) + 1 + new.index(phase)
    pen.create(new)
    pen.change_many([(phase, values) for phase, values in rows if phase not in new and values])

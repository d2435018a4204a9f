"""Writes of layers: their order in the sample, and placements by hand."""

from collections.abc import Iterable
from typing import Any

from django.db.models import Q, QuerySet

from surveys.errors import Conflict, Fault, Invalid
from surveys.models import Generation, Layer, Ruling, Sample
from surveys.records import rulings, stacks
from surveys.records.writing import Pen

UNPLACED: dict[str, Any] = {"generation": None, "placed_by": "", "confidence": None, "runner_up": None, "runner_up_confidence": None}


def write(pen: Pen, rows: list[tuple[Layer, dict[str, Any]]]) -> None:
    """Create and change layers in the order of the rows; positions close up, placements by hand become holds."""
    samples: dict[Any, Sample] = {}
    for layer, values in rows:
        for sample in (values.get("sample"), layer.sample if layer.sample_id else None):
            if sample is not None:
                samples.setdefault(sample.pk, sample)
    piles = stacks.stacks_of(pen, list(samples.values()))
    plain: list[tuple[Layer, dict[str, Any]]] = []
    by_hand: list[tuple[Layer, Generation | None]] = []
    for layer, values in rows:
        mine, rest = _in_its_pile(piles, layer, dict(values))
        if "generation" in rest:
            by_hand.append((mine, rest.pop("generation")))
        if not layer._state.adding:
            plain.append((mine, rest))
    for layer, _ in by_hand:
        if layer._state.adding:
            layer.generation = None
    pen.change_many(plain)
    # The order is checked when the placements by hand are set as well: a move and a new placement may come together.
    stacks.settle(pen, piles.values())
    place_by_hand(pen, by_hand)
    for pile in piles.values():
        stacks.check_order(pile.layers)
    for layer, _ in rows:
        settled = next(one for one in piles[layer.sample_id].layers if one.pk == layer.pk)
        if settled is not layer:
            layer.__dict__.update(settled.__dict__)


def _in_its_pile(piles: dict[Any, stacks.Stack], layer: Layer, values: dict[str, Any]) -> tuple[Layer, dict[str, Any]]:
    """Put or move a layer in its sample's pile; answer the pile's own object for it, and the values still to be set."""
    position = values.pop("position", None)
    if layer._state.adding:
        piles[layer.sample_id].put(layer, position)
        return layer, values
    pile = piles[layer.sample_id]
    target = values.pop("sample", None)
    if target is not None and target.pk != layer.sample_id:
        raise Invalid(
            "A layer stays in its sample. Remove it here and enter it there.",
            faults=(Fault("sample", "fixed", "A layer stays in its sample."),),
        )
    if position is not None and position != layer.position:
        return pile.move(layer, position), values
    return next(one for one in pile.layers if one.pk == layer.pk), values


def place_by_hand(pen: Pen, placements: Iterable[tuple[Layer, Generation | None]], reason: str = "Placed by hand.") -> None:
    """Hold layers in generations, or withdraw their placement (None)."""
    chosen = list(placements)
    if not chosen:
        return
    holds = {hold.first_layer_id: hold for hold in Ruling.objects.filter(kind="hold", first_layer__in=[layer.pk for layer, _ in chosen])}
    gone, new, moved, placed = [], [], [], []
    for layer, generation in chosen:
        hold = holds.get(layer.pk)
        if generation is None:
            if hold is not None:
                gone.append(hold)
            placed.append((layer, UNPLACED))
            continue
        _same_space(layer, generation)
        if hold is None:
            new.append(Ruling(project=pen.project, kind="hold", first_layer=layer, generation=generation, reason=reason))
        else:
            moved.append((hold, {"generation": generation}))
        placed.append(
            (layer, {**UNPLACED, "generation": generation, "placed_by": "by hand", "confidence": 1.0}),
        )
    pen.remove(gone)
    pen.create(new)
    pen.change_many(moved)
    pen.change_many(placed)
    for layer, _ in chosen:
        rulings.check_at_the_end(pen, layer.sample.element.space_id)


def _same_space(layer: Layer, generation: Generation) -> None:
    if generation.space_id != layer.sample.element.space_id:
        text = f"Generation {generation} is of another space than layer {layer}."
        raise Invalid(text, faults=(Fault("generation", "other-space", text),))


def leave_space(pen: Pen, moved: QuerySet[Layer]) -> None:
    """Layers that come into another space lose the placements of the old one; rulings on them must be withdrawn first."""
    layers = list(moved.select_related("sample__element").filter(Q(generation__isnull=False) | Q(runner_up__isnull=False)))
    ruled = Ruling.objects.filter(Q(first_layer__in=moved) | Q(second_layer__in=moved)).select_related(
        "first_layer__sample", "second_layer__sample", "generation__space"
    )
    cited = ruled.first()
    if cited is not None:
        raise Conflict(f"Its layers are ruled on ({cited}), and rulings hold within one space. Withdraw them first.", code="cited")
    pen.change_many([(layer, UNPLACED) for layer in layers])

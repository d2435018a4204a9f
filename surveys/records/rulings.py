"""Writes of rulings. Rulings never contradict each other or the order of layers; one that would is refused, with the chain."""

from typing import Any

from django.db.models import Q

from analysis.core.rulings import Ruling as PlainRuling
from analysis.core.rulings import find_contradiction
from surveys import selectors
from surveys.errors import Conflict, Fault, Invalid
from surveys.models import Layer, Ruling
from surveys.records.writing import Pen


def write(pen: Pen, rows: list[tuple[Ruling, dict[str, Any]]]) -> None:
    """Create and change rulings; check the spaces that they are in when all of them stand."""
    new, changed = [], []
    for ruling, values in rows:
        if ruling._state.adding:
            new.append(ruling)
        else:
            changed.append((ruling, values))
    _refuse_twice(new)
    pen.create(new)
    pen.change_many(changed)
    for ruling in [*new, *(ruling for ruling, _ in changed)]:
        check_at_the_end(pen, _space_of(ruling))


def _space_of(ruling: Ruling) -> Any:
    """The one space that a ruling is about."""
    first = ruling.first_layer.sample.element.space_id
    if ruling.second_layer is not None and ruling.second_layer.sample.element.space_id != first:
        text = "The two layers are in different spaces; generations are numbered space by space. Use a phase to join spaces."
        raise Invalid(text, faults=(Fault("second_layer", "other-space", text),))
    if ruling.generation is not None and ruling.generation.space_id != first:
        text = f"Generation {ruling.generation} is of another space than layer {ruling.first_layer}."
        raise Invalid(text, faults=(Fault("generation", "other-space", text),))
    return first


def _refuse_twice(new: list[Ruling]) -> None:
    """The same pair, in either order, is ruled on once; a layer is held once."""
    for ruling in new:
        pair = Q(first_layer=ruling.first_layer, second_layer=ruling.second_layer) | Q(
            first_layer=ruling.second_layer, second_layer=ruling.first_layer
        )
        same = Q(kind="hold", first_layer=ruling.first_layer) if ruling.kind == "hold" else pair & ~Q(kind="hold")
        standing = Ruling.objects.filter(same).select_related("first_layer__sample", "second_layer__sample", "generation__space").first()
        if standing is not None:
            raise Conflict(
                f"There is a ruling on this already: {standing}. Change or withdraw that one.",
                code="contradiction" if standing.kind != ruling.kind else "taken",
                faults=(Fault("first_layer", "taken", f"Ruled on already: {standing}."),),
            )


def check_at_the_end(pen: Pen, space_id: Any) -> None:
    """Refuse the act, when its writes are made, if the rulings of a space contradict each other or the order."""
    pen.at_the_end(("rulings", space_id), lambda: check(space_id))


def check(space_id: Any) -> None:
    """Refuse rulings of a space that cannot all be true, with the shortest chain that shows why."""
    standing = selectors.rulings_of_space(space_id)
    if not standing:
        return
    samples = selectors.layer_ids_by_sample(space_id)
    names = {
        **{str(layer.pk): str(layer) for ruling in standing for layer in (ruling.first_layer, ruling.second_layer) if layer is not None},
        **{str(ruling.pk): str(ruling) for ruling in standing},
        **{str(ruling.generation_id): f"generation {ruling.generation}" for ruling in standing if ruling.generation_id},
        **selectors.layer_names(space_id),
    }
    found = find_contradiction(samples, plain(standing), selectors.generation_order(space_id), names)
    if found is not None:
        text = found.sentence
        chain = tuple(Fault("", "contradiction", names.get(step, step)) for step in found.chain)
        raise Conflict(text, code="contradiction", faults=chain)


def plain(standing: list[Ruling]) -> list[PlainRuling]:
    """Rulings as the kernels take them."""
    return [
        PlainRuling(
            key=str(ruling.pk),
            kind=ruling.kind,
            first=str(ruling.first_layer_id),
            second=str(ruling.second_layer_id or ""),
            generation=str(ruling.generation_id or ""),
            label=str(ruling),
        )
        for ruling in standing
    ]


def release(pen: Pen, gone: list[Ruling]) -> None:
    """A layer whose hold is withdrawn is placed by nobody until the space is correlated again."""
    from surveys.records.layers import UNPLACED

    ids = [ruling.first_layer_id for ruling in gone if ruling.kind == "hold"]
    held = Layer.objects.filter(pk__in=ids, placed_by="by hand").select_related("sample")
    pen.change_many([(layer, UNPLACED) for layer in held])

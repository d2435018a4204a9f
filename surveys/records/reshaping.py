"""Joining two generations into one, and splitting one in two. Both become holds, so that a later correlation keeps them."""

from collections.abc import Sequence
from typing import Any

from surveys.errors import Conflict, Fault, Invalid
from surveys.models import Evidence, Generation, Interpretation, Layer, Person, Project, Ruling
from surveys.records import generations, hanging, rulings
from surveys.records.layers import place_by_hand
from surveys.records.writing import Pen, now, writing

SIDES = ("above", "below")


def join(actor: Person, project: Project, keep_id: Any, keep_version: int | None, gone_id: Any, gone_version: int | None) -> Generation:
    """Make two generations of a space one. The kept one takes over layers, rulings, evidence, words and numbers of the other.

    Refused where that breaks the order of a sample or a ruling, or where the two belong to different phases.
    """
    with writing(actor, project, reason="Generations joined.") as pen:
        keep: Generation = pen.find(Generation, keep_id, keep_version)
        gone: Generation = pen.find(Generation, gone_id, gone_version)
        _refuse_to_join(keep, gone)
        _carry_words(pen, keep, gone)
        _carry_what_cites(pen, keep, gone)
        reason = f"Generations {keep.ordinal} and {gone.ordinal} were joined."
        _hold(pen, [(layer, keep) for layer in _layers_of([keep, gone])], reason)
        pen.remove([gone])
        generations.renumber(pen, generations.of_space(keep.space_id))
        generations.check_layers(pen, keep.space_id)
        keep.refresh_from_db()
        return keep


def _refuse_to_join(keep: Generation, gone: Generation) -> None:
    if keep.pk == gone.pk:
        raise Invalid("A generation cannot be joined with itself.", faults=(Fault("other", "same", "Name another generation."),))
    if keep.space_id != gone.space_id:
        text = f"Generations {keep} and {gone} are of different spaces. Give both the same phase instead."
        raise Invalid(text, faults=(Fault("other", "other-space", text),))
    if keep.phase_id and gone.phase_id and keep.phase_id != gone.phase_id:
        raise Conflict(f"Generation {keep} belongs to {keep.phase}, generation {gone} to {gone.phase}. Give them the same phase first.")


def _carry_words(pen: Pen, keep: Generation, gone: Generation) -> None:
    """What was said of the one that goes stands with the kept one, which keeps its own label and technique."""
    left = {name: getattr(gone, name) for name in ("label", "technique") if getattr(keep, name) not in ("", getattr(gone, name))}
    said = [f"{name}: {value}" for name, value in left.items() if value]
    if gone.description and gone.description != keep.description:
        said.append(gone.description)
    told = f"Joined from generation {gone.ordinal}. {'; '.join(said)}" if said else ""
    description = "\n".join(part for part in (keep.description, told) if part)
    if len(description) > 20_000:
        raise Conflict("The two descriptions together are too long for one generation. Shorten one of them first.")
    former = [*gone.earlier_ordinals, {"ordinal": gone.ordinal, "until": now()}]
    values: dict[str, Any] = {
        "label": keep.label or gone.label,
        "technique": keep.technique or gone.technique,
        "description": description,
        "phase": keep.phase or gone.phase,
        "earlier_ordinals": sorted([*keep.earlier_ordinals, *former], key=lambda one: str(one["until"])),
    }
    if gone.ordinal == keep.ordinal - 1:
        values["distinctness"] = gone.distinctness  # now it is the neighbour of what lay below the other
    pen.change(keep, values)


def _carry_what_cites(pen: Pen, keep: Generation, gone: Generation) -> None:
    hanging.carry_over(pen, keep, gone)
    for model in (Evidence, Interpretation):
        pen.change_many([(one, {"generation": keep}) for one in model._default_manager.filter(generation=gone)])
    held = Ruling.objects.filter(generation=gone).select_related("first_layer__sample", "generation__space")
    pen.change_many([(one, {"generation": keep}) for one in held])
    second = Layer.objects.filter(runner_up=gone).select_related("sample")
    pen.change_many(
        [
            (layer, {"runner_up": None, "runner_up_confidence": None} if layer.generation_id in (keep.pk, gone.pk) else {"runner_up": keep})
            for layer in second
        ]
    )


def split(
    actor: Person, project: Project, generation_id: Any, version: int | None, layer_ids: Sequence[Any], place: str | None = None
) -> tuple[Generation, Generation]:
    """Take some layers of a generation into a new one, above or below it; answer both, the old one first.

    Where samples show layers of both, their order says on which side; else `place` ('above' if it is not given). The new one has no
    label, evidence or phase. Refused where it breaks the order of a sample or a ruling.
    """
    if place not in (None, *SIDES):
        raise Invalid("The new generation lies above or below.", faults=(Fault("place", "unknown-word", "Write 'above' or 'below'."),))
    with writing(actor, project, reason="Generation split.") as pen:
        old: Generation = pen.find(Generation, generation_id, version)
        layers = _layers_of([old])
        wanted = {str(one).lower() for one in layer_ids}
        chosen = [layer for layer in layers if str(layer.pk) in wanted]
        rest = [layer for layer in layers if str(layer.pk) not in wanted]
        _refuse_to_split(old, len(wanted), chosen, rest)
        above = _side(chosen, rest, place) == "above"
        new = Generation(project=pen.project, space=old.space, distinctness=None if above else old.distinctness)
        if not above:
            pen.change(old, {"distinctness": None})
        order = generations.of_space(old.space_id)
        old = next(one for one in order if one.pk == old.pk)
        order.insert(order.index(old) + above, new)
        generations.renumber(pen, order)
        reason = f"Split from generation {old.ordinal if above else old.ordinal - 1}."
        _move_holds(pen, chosen, old, new)
        _hold(pen, [*((layer, new) for layer in chosen), *((layer, old) for layer in rest)], reason)
        generations.check_layers(pen, old.space_id)
        return old, new


def _refuse_to_split(old: Generation, wanted: int, chosen: Sequence[Layer], rest: Sequence[Layer]) -> None:
    text = ""
    if wanted == 0:
        text = f"Name at least one layer of generation {old} that is to be a generation of its own."
    elif len(chosen) < wanted:
        text = f"{wanted - len(chosen)} of the layers named are not in generation {old}. Name layers of that generation only."
    if text:
        raise Invalid(text, faults=(Fault("layers", "not-found", text),))
    if not rest:
        text = f"These are all layers of generation {old}, so nothing would be left of it."
        raise Invalid(text, faults=(Fault("layers", "all", text),))


def _side(chosen: Sequence[Layer], rest: Sequence[Layer], place: str | None) -> str:
    """On which side of the rest the chosen layers lie; refused where the samples, or the samples and what was asked for, disagree."""
    told: dict[str, tuple[Layer, Layer]] = {}
    for one in chosen:
        for other in rest:
            if one.sample_id == other.sample_id:
                told.setdefault("above" if one.position > other.position else "below", (one, other))
    if len(told) == 2:
        (high, low), (one, other) = told["above"], told["below"]
        raise Conflict(f"{high} lies above {low}, but {one} lies below {other}: they cannot all be on one side. Choose the layers anew.")
    if place and told and place not in told:
        one, other = next(iter(told.values()))
        raise Conflict(f"The new generation cannot lie {place} the other: {one} lies {next(iter(told))} {other}.")
    return next(iter(told), place or "above")


def _move_holds(pen: Pen, chosen: Sequence[Layer], old: Generation, new: Generation) -> None:
    held = Ruling.objects.filter(kind="hold", generation=old, first_layer__in=[layer.pk for layer in chosen])
    pen.change_many([(one, {"generation": new}) for one in held.select_related("first_layer__sample", "generation__space")])


def _layers_of(wanted: Sequence[Generation]) -> list[Layer]:
    layers = Layer.objects.filter(generation__in=[one.pk for one in wanted]).select_related("sample__element", "generation", "runner_up")
    return list(layers.order_by("sample__number", "position"))


def _hold(pen: Pen, placements: Sequence[tuple[Layer, Generation]], reason: str) -> None:
    """Hold layers where they now belong. A layer that somebody ruled to be elsewhere keeps that ruling until the next correlation."""
    ids = [layer.pk for layer, _ in placements]
    standing = dict(Ruling.objects.filter(kind="hold", first_layer__in=ids).values_list("first_layer", "generation"))
    elsewhere = {layer.pk for layer, generation in placements if standing.get(layer.pk, generation.pk) != generation.pk}
    place_by_hand(pen, [one for one in placements if one[0].pk not in elsewhere], reason)
    pen.change_many([(layer, {"generation": generation}) for layer, generation in placements if layer.pk in elsewhere])
    if placements:
        rulings.check_at_the_end(pen, placements[0][1].space_id)

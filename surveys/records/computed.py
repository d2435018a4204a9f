"""Storing what was computed: generations found by correlation keep the identity, names and phases of those they continue."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q
from django.utils import timezone

from surveys import access, selectors
from surveys.errors import Conflict
from surveys.models import Generation, Layer, Person, Project, Space
from surveys.records import generations, hanging
from surveys.records.identities import continued
from surveys.records.writing import Pen, writing


class InputChanged(Conflict):
    """The record changed while it was computed on."""

    code = "input-changed"


@dataclass(frozen=True, slots=True)
class Found:
    """One generation as found: how surely it is another than the one below, and the id of the generation that holds name, or ''."""

    distinctness: float | None
    held: str = ""


@dataclass(frozen=True, slots=True)
class Placed:
    """One layer as placed: its generation's number as found, and how surely; the next best, and how surely."""

    ordinal: int
    confidence: float
    runner_up: int | None
    runner_up_confidence: float | None
    held: bool


def store_correlation(
    actor: Person, project: Project, space: Space, digest: str, version: str, found: Sequence[Found], placed: Mapping[str, Placed]
) -> dict[str, int]:
    """Store a correlation of a space, if what it was computed from still stands; answer counts of what changed."""
    with writing(actor, project, access.COMPUTE, reason="Correlated.") as pen:
        if selectors.correlation_digest(space.pk) != digest:
            raise InputChanged(f"Space {space} was changed while it was correlated.")
        layers = list(selectors.layers_of_space(space.pk))
        standing = generations.of_space(space.pk)
        by_ordinal = _continue_identities(pen, space, standing, found, layers, placed)
        changes = [(layer, _placement(by_ordinal, placed[str(layer.pk)])) for layer in layers if str(layer.pk) in placed]
        altered = pen.change_many(changes)
        removed = _drop_empty(pen, space, set(by_ordinal.values()))
        pen.mark(space, correlated_digest=selectors.correlation_digest(space.pk), correlated_by=version, correlated_at=timezone.now())
        return {"generations": len(found), "layers": len(changes), "layers_changed": len(altered), "generations_removed": removed}


def _placement(by_ordinal: Mapping[int, Generation], one: Placed) -> dict[str, Any]:
    return {
        "generation": by_ordinal[one.ordinal],
        "placed_by": "by hand" if one.held else "computed",
        "confidence": round(one.confidence, 4),
        "runner_up": by_ordinal[one.runner_up] if one.runner_up is not None else None,
        "runner_up_confidence": round(one.runner_up_confidence, 4) if one.runner_up_confidence is not None else None,
    }


def _continue_identities(
    pen: Pen, space: Space, standing: Sequence[Generation], found: Sequence[Found], layers: Sequence[Layer], placed: Mapping[str, Placed]
) -> dict[int, Generation]:
    """Let each found generation continue the standing one whose layers it mostly has, in order; number all anew."""
    told = continued(
        [str(generation.pk) for generation in standing],
        [one.held for one in found],
        [(str(layer.generation_id), placed[str(layer.pk)].ordinal) for layer in layers if str(layer.pk) in placed],
        {str(pk) for pk in _cited(space)},  # somebody named it, dated it or gave it a phase: it stays, empty
    )
    by_id = {str(generation.pk): generation for generation in standing}
    by_ordinal = {
        number: by_id[name] if name else Generation(project=pen.project, space=space) for number, name in enumerate(told.names, start=1)
    }
    order = [by_ordinal[one + 1] if isinstance(one, int) else by_id[one] for one in told.order]
    dropped = [by_id[name] for name in told.dropped]
    generations.renumber(pen, [*order, *dropped])
    pen.change_many(
        [
            (by_ordinal[n], {"distinctness": None if one.distinctness is None else round(one.distinctness, 4)})
            for n, one in enumerate(found, 1)
        ]
    )
    return by_ordinal


def _cited(space: Space) -> set[Any]:
    """Generations of a space on which people have put something that would be lost."""
    said = ~Q(label="") | ~Q(description="") | ~Q(technique="") | Q(phase__isnull=False)
    cited = set(
        Generation.objects.filter(space=space)
        .filter(said | Q(evidence__isnull=False) | Q(rulings__isnull=False) | Q(interpretations__isnull=False))
        .values_list("pk", flat=True)
    )
    every = Generation.objects.filter(space=space).values_list("pk", flat=True)
    return cited | hanging.talked_about(Generation, list(every))


def _drop_empty(pen: Pen, space: Space, in_use: set[Generation]) -> int:
    """Remove generations that no layer belongs to any more and on which nobody put anything."""
    keep = {generation.pk for generation in in_use} | _cited(space)
    empty = [generation for generation in generations.of_space(space.pk) if generation.pk not in keep and not generation.layers.exists()]
    pen.remove(empty)
    generations.renumber(pen, generations.of_space(space.pk))
    return len(empty)


@dataclass(frozen=True, slots=True)
class Bounds:
    """The years of one generation, and the ids and names of the records that set each bound."""

    earliest: int | None
    latest: int | None
    earliest_by: list[dict[str, str]]
    latest_by: list[dict[str, str]]


def store_dating(actor: Person, project: Project, digest: str, bounds: Mapping[str, Bounds]) -> int:
    """Store derived year bounds by generation id, if what they were derived from still stands; answer how many changed."""
    with writing(actor, project, access.COMPUTE, reason="Dated.") as pen:
        if selectors.dating_digest(project) != digest:
            raise InputChanged("The record was changed while it was dated.")
        known = Generation.objects.filter(project=project, pk__in=list(bounds)).select_related("space")
        changes = []
        for generation in known:
            one = bounds[str(generation.pk)]
            changes.append(
                (
                    generation,
                    {
                        "earliest": one.earliest,
                        "latest": one.latest,
                        "earliest_by": one.earliest_by,
                        "latest_by": one.latest_by,
                    },
                )
            )
        altered = pen.change_many(changes)
        pen.mark(pen.project, dated_digest=digest, dated_at=timezone.now())
        return len(altered)

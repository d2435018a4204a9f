"""Correlating a space, or every space of a project, into generations."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from analysis.core import correlation
from analysis.core.correlation import ContradictoryRulings, Correlation
from surveys import access, records, selectors
from surveys.errors import Conflict
from surveys.models import Generation, Person, Project, Space
from surveys.records import Found, InputChanged, Placed
from surveys.selectors.chart import lab_of

Progress = Callable[[int, int, str], None]
TRIES = 3


def correlate(actor: Person, project: Project, spaces: Sequence[Space], progress: Progress) -> dict[str, Any]:
    """Correlate spaces one by one; each is stored as it is found. A space with rulings that cannot be obeyed is told, not stored."""
    access.require(actor, project, access.COMPUTE)
    told: list[dict[str, Any]] = []
    weights = [max(1, len(selectors.layer_names(space.pk))) for space in spaces]
    total = sum(weights)
    for index, space in enumerate(spaces):
        before = sum(weights[:index])

        def step(done: int, of: int, *, before: int = before, weight: int = weights[index], number: str = space.number) -> None:
            progress(before + weight * done // max(of, 1), total, f"Correlating space {number}")

        told.append(_correlate_one(actor, project, space, step))
    progress(total, total, "Correlated")
    return {"spaces": told}


def _correlate_one(actor: Person, project: Project, space: Space, step: Callable[[int, int], None]) -> dict[str, Any]:
    for _ in range(TRIES):
        facts = selectors.correlation_facts(space.pk)
        digest = selectors.digest_of(facts)
        step(0, 1)
        try:
            answer = kernel(facts, step)
        except ContradictoryRulings as contradiction:
            return {"space": space.number, "refused": str(contradiction)}
        found, placed = _by_id(space, facts, answer)
        try:
            counts = records.store_correlation(actor, project, space, digest, f"correlation {correlation.VERSION}", found, placed)
        except InputChanged:
            continue  # somebody wrote meanwhile: read again
        return {"space": space.number, **counts, "unsure": sum(one.confidence < 0.5 for one in answer.placements.values())}
    raise Conflict(f"Space {space} is being changed faster than it can be correlated. Try again when the team pauses.")


def kernel(
    facts: Mapping[str, Any],
    step: Callable[[int, int], None] | None = None,
    parameters: correlation.Parameters = correlation.Parameters(),  # noqa: B008 - frozen
) -> Correlation:
    """Correlate what `selectors.correlation_facts` read."""
    samples, rulings, order = kernel_values(facts)
    return correlation.correlate(samples, rulings, order, parameters, progress=step)


def kernel_values(facts: Mapping[str, Any]) -> tuple[list[correlation.Sample], list[correlation.Ruling], list[str]]:
    """What `selectors.correlation_facts` read, as the kernel takes it: samples, rulings, held generations in order."""
    rulings = [
        correlation.Ruling(
            key=f"{one['kind']} {one['first']} {one['second'] or one['generation']}",
            kind=one["kind"],
            first=one["first"],
            second=one["second"],
            generation=one["generation"],
        )
        for one in facts["rulings"]
    ]
    return [_sample(one) for one in facts["samples"]], rulings, facts["held_generations"]


def _sample(facts: Mapping[str, Any]) -> correlation.Sample:
    return correlation.Sample(
        key=facts["number"],
        element=facts["element"],
        element_class=facts["element_class"],
        base_state=facts["base_state"],
        top_state=facts["top_state"],
        layers=tuple(_layer(facts["number"], one) for one in facts["layers"]),
    )


def _layer(sample: str, facts: Mapping[str, Any]) -> correlation.Layer:
    return correlation.Layer(
        key=f"{sample}/{facts['position']}",
        kind=facts["kind"],
        completeness=facts["completeness"] or "present",
        lab=lab_of(facts["munsell"], (facts["lab_l"], facts["lab_a"], facts["lab_b"])),
        colour=facts["colour"],
        munsell_basis="measured" if facts["lab_l"] is not None else facts["munsell_by"],
        uv_colour=facts["uv_colour"],
        uv_strength=facts["uv_strength"],
        pigments=tuple(part for part in facts["pigments"].split("; ") if part),
        binder=facts["binder"],
        lower_boundary=facts["lower_boundary"],
        thickness_um=facts["thickness_um"],
        sheen=facts["sheen"],
        texture=facts["texture"],
    )


def _by_id(space: Space, facts: Mapping[str, Any], answer: Correlation) -> tuple[list[Found], dict[str, Placed]]:
    """The kernel's answer, in the ids of records instead of their names."""
    ids = {name: pk for pk, name in selectors.layer_names(space.pk).items()}
    generations = {f"{one.ordinal:05d}": str(one.pk) for one in Generation.objects.filter(space=space)}
    found = [Found(one.distinctness, generations.get(one.key, "")) for one in answer.generations]
    placed = {
        ids[name]: Placed(
            ordinal=one.generation,
            confidence=one.confidence,
            runner_up=one.runner_up,
            runner_up_confidence=one.runner_up_confidence if one.runner_up is not None else None,
            held=one.held,
        )
        for name, one in answer.placements.items()
        if name in ids
    }
    return found, placed

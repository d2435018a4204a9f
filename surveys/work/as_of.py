"""What each element showed in a year, or at the end of a phase."""

from dataclasses import dataclass
from typing import Any

from analysis.core import as_of, materials
from analysis.core.cautions import cautions
from analysis.core.dating import ORDERED_UNIFORM
from surveys.models import Generation, Phase, Project, Space
from surveys.selectors.elements import Loaded, elements_with_layers
from surveys.selectors.materials import material_table
from surveys.work import dating


@dataclass(frozen=True, slots=True)
class AsOf:
    """The answer of the kernel, with what it was reckoned from."""

    answers: tuple[as_of.ElementAsOf, ...]
    loaded: Loaded
    generations: dict[str, list[as_of.Generation]]
    # The id of a generation by its key, as '101/3'.
    ids: dict[str, str]
    years: dating.Years


def find(
    project: Project,
    when: int | Phase,
    space: Space | None = None,
    *,
    prior: str = ORDERED_UNIFORM,
    include_tentative: bool = False,
) -> AsOf:
    """Reckon what each element of a project, or of one space, showed at the end of a year or of a phase."""
    loaded = elements_with_layers(project, space)
    years = dating.years(project, prior=prior, include_tentative=include_tentative)
    generations: dict[str, list[as_of.Generation]] = {}
    ids: dict[str, str] = {}
    for one in Generation.objects.filter(project=project).select_related("space", "phase").order_by("space__number", "ordinal"):
        key = f"{one.space.number}/{one.ordinal}"
        bounds = years.bounds[key]
        ids[key] = str(one.pk)
        generations.setdefault(one.space.number, []).append(
            as_of.Generation(
                ordinal=one.ordinal,
                label=one.label,
                technique=one.technique,
                phase=one.phase.ordinal if one.phase else None,
                earliest=bounds.earliest,
                latest=bounds.latest,
                distribution=years.curves.get(key),
            )
        )
    asked = as_of.PhaseEnd(when.ordinal, when.latest, _phase_name(when)) if isinstance(when, Phase) else when
    return AsOf(as_of.as_of(loaded.elements, generations, asked), loaded, generations, ids, years)


def answer(
    project: Project, when: int | Phase, space: Space | None = None, *, prior: str = ORDERED_UNIFORM, include_tentative: bool = False
) -> dict[str, Any]:
    """What `find` found, as plain values with the ids of the records it rests on."""
    found = find(project, when, space, prior=prior, include_tentative=include_tentative)
    cells = {cell for cells in found.loaded.materials.values() for cell in cells}
    shown = {one.space for one in found.answers}
    return {
        "year": None if isinstance(when, Phase) else when,
        "phase": when.ordinal if isinstance(when, Phase) else None,
        "when": _phase_name(when) if isinstance(when, Phase) else as_of.year_in_words(when),
        "space": space.number if space else None,
        "prior": prior,
        "include_tentative": include_tentative,
        "elements": [_element(one, found) for one in found.answers],
        "spaces": [{"space": number, "sentence": said} for number, said in found.years.sentences.items() if number in shown],
        "cautions": list(cautions(materials.hazards_of(cells, material_table()), untested_old_paint=True, shows_colour=True)),
        "current": found.years.current,
    }


def _phase_name(phase: Phase) -> str:
    return f"{phase}, {phase.label}" if phase.label else str(phase)


def _element(one: as_of.ElementAsOf, found: AsOf) -> dict[str, Any]:
    pk, position, space_id, space_name = found.loaded.about[one.element]
    return {
        "element": one.element,
        "element_id": pk,
        "element_class": one.element_class,
        "position": position,
        "substrate": one.substrate,
        "space": one.space,
        "space_id": space_id,
        "space_name": space_name,
        "state": one.state,
        "certainty": one.certainty,
        "in_force": _candidate(one.space, one.in_force, found) if one.in_force else None,
        "alternatives": [_candidate(one.space, other, found) for other in one.alternatives],
        "samples": _samples(one.samples, found.loaded),
        "doubts": list(one.doubts),
        "sentence": one.sentence,
    }


def _candidate(space: str, one: as_of.Candidate, found: AsOf) -> dict[str, Any]:
    generation = next((other for other in found.generations.get(space, []) if other.ordinal == one.ordinal), None)
    return {
        "generation": one.ordinal,
        "generation_id": found.ids[f"{space}/{one.ordinal}"] if generation else None,
        "label": generation.label if generation else "",
        "earliest": generation.earliest if generation else None,
        "latest": generation.latest if generation else None,
        "probability": None if one.probability is None else round(one.probability, 6),
        "finish": _finish(one.finish, found.loaded) if one.finish else None,
    }


def _finish(one: as_of.Finish, loaded: Loaded) -> dict[str, Any]:
    return {
        "technique": one.technique,
        "recorded_technique": one.recorded_technique,
        "layers": [
            {
                "kind": film.kind,
                "coats": film.coats,
                "layers": list(film.layers),
                "samples": list(film.samples),
                "colour": _colour(film.colour),
            }
            for film in one.layers
        ],
        "leaf": one.leaf,
        "sheen": one.sheen,
        "colour": _colour(one.colour),
        "confidence": None if one.confidence is None else round(one.confidence, 6),
        "samples": _samples(one.samples, loaded),
        "cited": [{"layer": name, "id": loaded.layers[name]} for name in one.cited],
        "doubts": list(one.doubts),
    }


def _samples(numbers: tuple[str, ...], loaded: Loaded) -> list[dict[str, str]]:
    return [{"number": number, "id": loaded.samples[number]} for number in numbers]


def _colour(one: as_of.Colour | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        "layer": one.layer,
        "munsell": one.munsell,
        "nearest": one.nearest,
        "lab": [round(part, 2) for part in one.lab] if one.lab else None,
        "srgb": one.srgb or None,
        "in_gamut": one.in_gamut,
        "spread": round(one.spread, 2),
        "readings": one.readings,
        "named": one.named,
        "first_colour": one.first_colour,
    }

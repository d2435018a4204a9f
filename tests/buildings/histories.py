"""What really befell each element of an invented space, told beside the space itself."""

from collections.abc import Mapping
from dataclasses import dataclass
from unittest.mock import patch

from analysis.core import elements
from analysis.core.correlation import Correlation, Placement, Sample
from tests.buildings import invention
from tests.buildings.habits import Habits
from tests.buildings.invention import InventedSpace


@dataclass(frozen=True, slots=True)
class History:
    """One of the readings' histories, and the campaign (from 0) at which its own sequence begins."""

    word: str
    begins: int


def invent_with_histories(seed: int, faults: float, samples: int, habits: Habits = Habits()) -> tuple[InventedSpace, dict[str, History]]:  # noqa: B008
    """Invent a space, and tell of each element (by its code) what befell it."""
    found: list[History] = []
    element = invention._element

    def watched(*given: object) -> object:
        films, stripped = element(*given)  # type: ignore[arg-type]
        own = [film.campaign for film in films if film.campaign >= 0]
        brought = any(0 > film.campaign > -10_000 for film in films)
        begins = min(own, default=0)
        word = "stripped" if stripped else "reused" if brought else "inserted" if begins else "from the start"
        found.append(History(word, begins))
        return films, stripped

    with patch.object(invention, "_element", watched):
        space = invention.invent_space(seed, faults, samples, habits)
    return space, {f"E{number:02d}": one for number, one in enumerate(found)}


def as_elements(space: InventedSpace, correlation: Correlation) -> list[elements.Element]:
    """The elements of a space with their layers where a correlation placed them."""
    return _elements(space.samples, correlation.placements)


def as_known(space: InventedSpace) -> list[elements.Element]:
    """The elements of a space with their layers in their true campaigns, 1 = oldest; what came from elsewhere lies below all."""
    order = {campaign: ordinal for ordinal, campaign in enumerate(sorted(set(space.truth.values())), start=1)}
    return _elements(space.samples, {key: Placement(order[one], 1.0, None, 0.0, False) for key, one in space.truth.items()})


def _elements(samples: tuple[Sample, ...], placed: Mapping[str, Placement]) -> list[elements.Element]:
    by_code: dict[str, list[Sample]] = {}
    for sample in samples:
        by_code.setdefault(sample.element, []).append(sample)
    return [
        elements.Element(code, "1", mine[0].element_class, "", tuple(_sample(one, placed) for one in mine))
        for code, mine in by_code.items()
    ]


def _sample(sample: Sample, placed: Mapping[str, Placement]) -> elements.Sample:
    layers = tuple(
        elements.Layer(
            layer.key,
            position,
            layer.kind,
            layer.completeness,
            layer.lower_boundary,
            placed[layer.key].generation,
            placed[layer.key].confidence,
            runner_up=placed[layer.key].runner_up,
            lab=layer.lab,
        )
        for position, layer in enumerate(sample.layers, start=1)
    )
    return elements.Sample(sample.key, sample.base_state, sample.top_state, layers)

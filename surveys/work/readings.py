"""Readings of elements: what each carries of the generations of its space, and what follows."""

from typing import Any

from analysis.core import readings
from surveys.models import Evidence, Project, Space
from surveys.selectors.elements import Loaded, elements_with_layers
from surveys.work import dating


def answer(project: Project, space: Space | None = None, element_class: str = "") -> dict[str, Any]:
    """Every element of a project, or of one space, read against its neighbours; of one class where that is asked for."""
    loaded = elements_with_layers(project, space)
    years = dating.bounds(project)
    spans: dict[str, list[readings.Span]] = {}
    for key, one in years.items():
        number, _, ordinal = key.rpartition("/")
        spans.setdefault(number, []).append(readings.Span(int(ordinal), one.earliest, one.latest))
    found = readings.read_elements(loaded.elements, spans, _makings(project))
    return {
        "space": space.number if space else None,
        "element_class": element_class or None,
        "elements": [_reading(one, loaded) for one in found if element_class in ("", one.element_class)],
    }


def _makings(project: Project) -> list[readings.Making]:
    """What evidence vouches for on the making of elements; what is tentative says nothing until somebody asks."""
    rows = Evidence.objects.filter(project=project, bears_on="element", certainty__in=("firm", "likely")).exclude(relation="")
    found = []
    for code, relation, earliest, latest, label in rows.order_by("reference").values_list(
        "element__code", "relation", "earliest", "latest", "reference"
    ):
        if relation != "between":
            earliest, latest = (latest if earliest is None else earliest), (earliest if latest is None else latest)
        if relation == "made after":
            latest = None
        if relation == "made before":
            earliest = None
        if earliest is not None or latest is not None:
            found.append(readings.Making(code, earliest, latest, label))
    return found


def _reading(one: readings.Reading, loaded: Loaded) -> dict[str, Any]:
    pk, position, space_id, space_name = loaded.about[one.element]
    return {
        "element": one.element,
        "element_id": pk,
        "element_class": one.element_class,
        "position": position,
        "space": one.space,
        "space_id": space_id,
        "space_name": space_name,
        "first": one.first,
        "last": one.last,
        "carried": list(one.carried),
        "could": list(one.could),
        "missing_before": list(one.missing_before),
        "missing_between": list(one.missing_between),
        "missing_after": list(one.missing_after),
        "foreign": list(one.foreign),
        "neighbours": {
            "elements": one.neighbours.elements,
            "fewest": one.neighbours.fewest,
            "median": one.neighbours.median,
            "most": one.neighbours.most,
            "earlier": one.neighbours.earlier,
        },
        "conclusion": one.conclusion,
        "certainty": None if one.certainty is None else round(one.certainty, 6),
        "chances": [{"history": history, "probability": round(chance, 6)} for history, chance in one.chances],
        "because": list(one.because),
        "samples": [{"number": number, "id": loaded.samples[number]} for number in one.samples],
        "sentence": one.sentence,
    }

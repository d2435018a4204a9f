"""What labels say of samples, and what a sampling plan is made from."""

from collections.abc import Sequence
from typing import Any

from django.db.models import QuerySet

from surveys.errors import NotFound
from surveys.models import Element, Project, Sample, Space


def samples_for_labels(project: Project, space: Space | None, numbers: Sequence[str]) -> list[Sample]:
    """Samples with their elements and spaces: of one space, or those named; without those set aside unless they are named."""
    found: QuerySet[Sample] = Sample.objects.filter(project=project).select_related("element__space")
    if space is not None:
        found = found.filter(element__space=space)
    if not numbers:
        return list(found.exclude(status="set aside").order_by("element__space__sort_key", "element__space__number", "number"))
    by_number = {
        sample.number: sample for start in range(0, len(numbers), 500) for sample in found.filter(number__in=numbers[start : start + 500])
    }
    lost = [number for number in numbers if number not in by_number]
    if lost:
        raise NotFound(f"There is no sample {lost[0]} in {f'space {space} of ' if space else ''}{project.code}.")
    return [by_number[number] for number in dict.fromkeys(numbers)]


def elements_by_class(project: Project) -> dict[tuple[str, str], list[dict[str, Any]]]:
    """The elements of each space and class, by (space, class), as a sheet on site tells them."""
    found: dict[tuple[str, str], list[dict[str, Any]]] = {}
    rows = Element.objects.filter(project=project).order_by("code")
    for space, name, code, position, substrate in rows.values_list("space__number", "element_class", "code", "position", "substrate"):
        found.setdefault((space, name), []).append({"element": code, "position": position, "substrate": substrate})
    return found


def elements_and_samples(project: Project, numbers: Sequence[str]) -> dict[str, dict[str, str]]:
    """Where each of these samples is, or is to be: its element, class, place and purpose, by its number."""
    found: dict[str, dict[str, str]] = {}
    for start in range(0, len(numbers), 500):
        part = Sample.objects.filter(project=project, number__in=numbers[start : start + 500]).select_related("element")
        for sample in part:
            found[sample.number] = {
                "element": sample.element.code,
                "element_class": sample.element.element_class,
                "position": sample.element.position,
                "where": "; ".join(one for one in (sample.part, sample.location) if one),
                "purpose": sample.purpose,
            }
    return found


def samples_of_generations(project: Project, keys: Sequence[str]) -> dict[str, list[str]]:
    """Which samples show each of these generations ('103/4')."""
    wanted = set(keys)
    found: dict[str, list[str]] = {}
    rows = Sample.objects.filter(project=project, layers__generation__isnull=False).order_by("number")
    for number, space, ordinal in rows.values_list("number", "layers__generation__space__number", "layers__generation__ordinal").distinct():
        if f"{space}/{ordinal}" in wanted:
            found.setdefault(f"{space}/{ordinal}", []).append(number)
    return found

"""Generations of different spaces that may be one campaign, from the record as it is now."""

import math
from typing import Any

from analysis.core import campaigns
from surveys import selectors
from surveys.models import Generation, Project
from surveys.work import correlating

Named = dict[tuple[str, int], Generation]
# So many layers are compared all with all in a few seconds; beyond, one space is compared with the rest.
MOST_LAYERS = 12_000


def answer(project: Project, space: str = "") -> dict[str, Any]:
    """What is offered for a phase: of all spaces, or of one with all others."""
    placed = selectors.ordinals_by_space(project)
    told: dict[str, Any] = {"space": space or None, "spaces": sorted(placed), "campaigns": []}
    if len(placed) < 2:
        return {**told, "sentence": "Fewer than two spaces have generations, so there is nothing to compare. Correlate the spaces first."}
    if space and space not in placed:
        return {**told, "sentence": f"No layer of space {space} stands in a generation: correlate it first."}
    if not space and sum(len(some) for some in placed.values()) > MOST_LAYERS:
        return {**told, "sentence": f"With more than {MOST_LAYERS:,} layers one space at a time is compared with all others: choose one."}
    named = selectors.generations_by_name(project)
    found = campaigns.campaigns(_spaces(project, placed, named), only=space)
    return {**told, "campaigns": [_told(one, named) for one in found], "sentence": _sentence(len(found))}


def _spaces(project: Project, placed: dict[str, dict[str, int]], named: Named) -> list[campaigns.Space]:
    facts: dict[str, dict[int, campaigns.Facts]] = {}
    for (number, ordinal), one in named.items():
        phase = str(one.phase_id) if one.phase_id else None
        facts.setdefault(number, {})[ordinal] = campaigns.Facts(one.earliest, one.latest, phase)
    made = []
    for number, rows in selectors.samples_by_space(project).items():
        if number in placed:
            samples, _, _ = correlating.kernel_values({"samples": rows, "rulings": [], "held_generations": []})
            made.append(campaigns.Space(number, tuple(samples), placed[number], facts.get(number, {})))
    return made


def _told(one: campaigns.Campaign, named: Named) -> dict[str, Any]:
    return {
        "generations": [_generation(named[key]) for key in one.generations],
        "chance": _below(one.chance),
        "earliest": one.earliest,
        "latest": one.latest,
        "phase_id": one.phases[0] if one.phases else None,
        "pairs": [
            {"first": _name(pair.first), "second": _name(pair.second), "chance": _below(pair.chance), "reasons": list(pair.reasons)}
            for pair in one.pairs
        ],
    }


def _generation(one: Generation) -> dict[str, Any]:
    return {
        "id": str(one.pk),
        "version": one.version,
        "name": _name((one.space.number, one.ordinal)),
        "space": one.space.number,
        "ordinal": one.ordinal,
        "label": one.label,
        "earliest": one.earliest,
        "latest": one.latest,
        "phase": str(one.phase) if one.phase else None,
        "phase_id": str(one.phase_id) if one.phase_id else None,
    }


def _below(chance: float) -> float:
    """To four digits, downwards: nothing here is certain."""
    return min(0.9999, math.floor(chance * 10_000) / 10_000)


def _name(key: tuple[str, int]) -> str:
    return f"{key[0]}/{key[1]}"


def _sentence(count: int) -> str:
    if not count:
        return "No generations of different spaces look enough like one campaign to be offered."
    offered = "1 campaign is" if count == 1 else f"{count} campaigns are"
    return f"{offered} offered, the surest first. Nothing follows from an offer until somebody puts its generations in a phase."

"""What rulings would change, before anybody keeps them: the correlation of a space with them, of which nothing is stored."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from analysis.core import rulings as ruling_checks
from analysis.core.correlation import FEWER_DRAWS, Correlation, Parameters
from surveys import access, selectors
from surveys.errors import Invalid
from surveys.models import Generation, Person, Project, Space
from surveys.records.identities import continued
from surveys.selectors.chart import is_current
from surveys.work import correlating

SURER = 0.1
ALL_DRAWS = 20  # samples up to which a preview is the whole correlation; beyond, people would wait for it


def preview(
    actor: Person, project: Project, space: Space, proposed: Sequence[Mapping[str, Any]], step: Callable[[int, int], None]
) -> dict[str, Any]:
    """Correlate a space with the standing rulings and those proposed; answer what would change, or why it cannot be.

    Layers and generations are named as they now are. `to` is null where a layer would go into a generation that is not there yet: then
    `new` says which of `new_generations`. A hold that is proposed takes the place of the one that holds the layer now.
    In a space of more than twenty samples fewer draws are taken than the correlation will take, and `approximate` is true: where the layers
    leave much doubt, the correlation may then differ.
    """
    access.require(actor, project, access.WRITE)
    step(0, 1)
    facts = selectors.correlation_facts(space.pk)
    standing = list(Generation.objects.filter(space=space).order_by("ordinal"))
    told = {"space": space.number, "current": is_current(space), "refused": None, "chain": [], "changes": [], "counts": {}}
    would, refused = _with(space, facts, proposed, {one.ordinal for one in standing})
    clash = None if refused else _contradiction(would)
    if refused or clash:
        sentence = refused or (clash.sentence if clash else "")
        return {**told, "generations": len(standing), "new_generations": [], "gone": [], "refused": sentence, "chain": _chain(clash, would)}
    approximate = len(would["samples"]) > ALL_DRAWS
    answer = correlating.kernel(would, step, FEWER_DRAWS if approximate else Parameters())
    return {**told, "approximate": approximate, **_differences(space, standing, answer)}


def _with(
    space: Space, facts: dict[str, Any], proposed: Sequence[Mapping[str, Any]], ordinals: set[int]
) -> tuple[dict[str, Any], str | None]:
    """What the kernel would read, were the proposed rulings kept; or why they cannot stand beside those that do."""
    names = {name.lower(): name for column in _columns(facts) for name in column}
    rulings = list(facts["rulings"])
    for one in proposed:
        ruling = _named(space, one, names, ordinals)
        same = next((standing for standing in rulings if _is_on_the_same(standing, ruling)), None)
        if same is not None and (ruling["kind"] != "hold" or same["generation"] == ruling["generation"] or "proposed" in same):
            there = "proposed here" if "proposed" in same else "ruled already"
            return facts, f"On this it is {there}: {_told(same)}. Change or withdraw that first."
        rulings = [standing for standing in rulings if standing is not same] + [ruling]
    held = sorted({one["generation"] for one in rulings if one["generation"]})
    return {**facts, "rulings": rulings, "held_generations": held}, None


def _named(space: Space, one: Mapping[str, Any], names: Mapping[str, str], ordinals: set[int]) -> dict[str, Any]:
    for layer in (one["first"], one["second"]):
        if layer is not None and layer.lower() not in names:
            raise Invalid(f"Space {space} has no layer {layer} that is correlated. Rulings stay within one space.")
    if one["generation"] is not None and one["generation"] not in ordinals:
        raise Invalid(f"Space {space} has no generation {one['generation']}.")
    first, second = names[one["first"].lower()], names[one["second"].lower()] if one["second"] else ""
    if first == second:
        raise Invalid(f"A {one['kind']} is between two different layers; {first} is named twice.")
    generation = f"{one['generation']:05d}" if one["generation"] is not None else ""
    return {"kind": one["kind"], "first": first, "second": second, "generation": generation, "proposed": True}


def _is_on_the_same(standing: Mapping[str, Any], ruling: Mapping[str, Any]) -> bool:
    if "hold" in (standing["kind"], ruling["kind"]):
        return bool(standing["kind"] == ruling["kind"] and standing["first"] == ruling["first"])
    return {standing["first"], standing["second"]} == {ruling["first"], ruling["second"]}


def _told(ruling: Mapping[str, Any]) -> str:
    if ruling["kind"] == "hold":
        return f"hold {ruling['first']} in generation {int(ruling['generation'])}"
    return f"{ruling['kind']} {ruling['first']} – {ruling['second']}"


def _columns(facts: Mapping[str, Any]) -> list[list[str]]:
    return [[f"{sample['number']}/{layer['position']}" for layer in sample["layers"]] for sample in facts["samples"]]


def _contradiction(would: Mapping[str, Any]) -> ruling_checks.Contradiction | None:
    rulings = [
        ruling_checks.Ruling(str(number), one["kind"], one["first"], one["second"], one["generation"], _label(one))
        for number, one in enumerate(would["rulings"])
    ]
    order = would["held_generations"]
    return ruling_checks.find_contradiction(_columns(would), rulings, order, {name: f"generation {int(name)}" for name in order})


def _label(ruling: Mapping[str, Any]) -> str:
    """What follows the kind where a ruling is told of."""
    return _told(ruling).split(" ", 1)[1] + (" (proposed)" if "proposed" in ruling else "")


def _chain(clash: ruling_checks.Contradiction | None, would: Mapping[str, Any]) -> list[str]:
    """The rulings that cannot all be obeyed, in reading order."""
    if clash is None:
        return []
    rulings = [would["rulings"][int(key)] for key in clash.rulings]
    return [f"{one['kind']} {_label(one)}" for one in rulings]


def _differences(space: Space, standing: Sequence[Generation], answer: Correlation) -> dict[str, Any]:
    by_key = {f"{one.ordinal:05d}": str(one.pk) for one in standing}
    layers = {str(layer): layer for layer in selectors.layers_of_space(space.pk)}
    found = [by_key.get(one.key, "") for one in answer.generations]
    pairs = [(str(layers[name].generation_id), one.generation) for name, one in answer.placements.items()]
    names = continued([str(one.pk) for one in standing], found, pairs).names
    today = {str(one.pk): one.ordinal for one in standing}
    # A found generation is told by today's number, or as the n-th new one.
    new = {number: rank for rank, number in enumerate((n for n, name in enumerate(names, start=1) if name is None), start=1)}
    to = {number: today[name] for number, name in enumerate(names, start=1) if name is not None}
    changes, surer, less_sure = [], 0, 0
    for name, one in answer.placements.items():
        layer = layers[name]
        now = layer.generation.ordinal if layer.generation else None
        if now != to.get(one.generation) or now is None:
            told = {"layer": name, "layer_id": str(layer.pk), "from": now, "to": to.get(one.generation), "new": new.get(one.generation)}
            changes.append({**told, "confidence_from": layer.confidence, "confidence_to": round(one.confidence, 4)})
        elif layer.confidence is not None:
            surer += one.confidence >= layer.confidence + SURER
            less_sure += one.confidence <= layer.confidence - SURER
    kept = set(to.values())
    carried = {layer.generation.ordinal for layer in layers.values() if layer.generation}
    return {
        "generations": len(answer.generations),
        "new_generations": [
            {"new": rank, "above": max((to[below] for below in range(1, number) if below in to), default=0)} for number, rank in new.items()
        ],
        "gone": sorted(carried - kept),
        "changes": changes,
        "counts": {
            "layers": len(answer.placements),
            "layers_changed": len(changes),
            "generations_now": len(carried),
            "surer": surer,
            "less_sure": less_sure,
        },
    }

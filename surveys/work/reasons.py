"""Why a layer stands where it stands, from the record as it is now."""

from typing import Any

from analysis.core import correlation, reasons
from analysis.core.correlation.standing import Standing, standing
from surveys import selectors
from surveys.models import Layer, Space
from surveys.work import correlating

# Probabilities less than this apart are told as the same.
SAME = 0.005


def stands(space: Space) -> tuple[Standing, bool]:
    """A space as it is correlated, and whether that is what its correlation, by this version, found from the record as it is now."""
    facts = selectors.correlation_facts(space.pk)
    samples, rulings, order = correlating.kernel_values(facts)
    found = standing(samples, rulings, order, selectors.ordinals_of_layers(space.pk), correlation.Parameters())
    current = space.correlated_digest == selectors.digest_of(facts) and space.correlated_by == f"correlation {correlation.VERSION}"
    return found, current


def why(layer_id: Any, against: int | None = None) -> dict[str, Any]:
    """Why a layer stands in its generation and not in the runner-up (or in another that is asked for)."""
    layer = selectors.layer_in_place(layer_id)
    space = layer.sample.element.space
    told: dict[str, Any] = {
        "layer": str(layer),
        "generation": layer.generation.ordinal if layer.generation else None,
        "confidence": layer.confidence,
        "against": None,
        "probability": None,
        "against_probability": None,
        "decided_by_ruling": False,
        "unit": "deciban",
        "total": None,
        "odds": "",
        "terms": [],
        "notes": [],
    }
    if layer.generation is None or layer.sample.status == "set aside":
        aside = "Its sample is set aside, so it is not correlated." if layer.sample.status == "set aside" else ""
        return {**told, "sentence": aside or "It stands in no generation yet, so there is nothing to explain. Correlate its space first."}
    space_stands, current = stands(space)
    if against == layer.generation.ordinal:
        return {**told, "sentence": f"{layer} itself stands in generation {against}: choose another to compare it with."}
    if against is not None and against not in space_stands.ordinals:
        return {**told, "sentence": f"No layer of space {space} stands in a generation {against}, so it cannot be compared with."}
    if against is None and layer.runner_up is not None and layer.runner_up.ordinal in space_stands.ordinals:
        against = layer.runner_up.ordinal
    found = reasons.why(space_stands, str(layer), against)
    if found is None:
        return {**told, "sentence": "No other generation comes into question: there is none, or the order of the layers leaves none."}
    weights, total = reasons.in_decibans(found)
    return {
        **told,
        "against": found.against,
        "probability": round(found.probability, 6),
        "against_probability": round(found.against_probability, 6),
        "decided_by_ruling": found.decided,
        "total": total,
        "odds": reasons.odds(found.total),
        "sentence": reasons.sentence(found),
        "terms": [_term(term, weight) for term, weight in zip(found.terms, weights, strict=True)],
        "notes": _notes(layer, found, space_stands, current),
    }


def _term(term: reasons.Term, decibans: float) -> dict[str, Any]:
    return {
        "name": term.name,
        "decibans": decibans,
        "odds": reasons.odds(term.weight),
        "own": term.own,
        "here": term.here,
        "there": term.there,
    }


def _notes(layer: Layer, found: reasons.Reasons, space_stands: Standing, current: bool) -> list[str]:
    """How the total hangs together with the probabilities, and where it does not."""
    notes = []
    if not found.decided:
        notes.append(
            f"The total is the ratio of the two probabilities: {_percent(found.probability)} in generation {found.generation}, "
            f"{_percent(found.against_probability)} in {found.against}. What is wanting to 100 % falls to others, or to a campaign "
            "of its own."
        )
        if found.total < 0:
            notes.append(
                "The draws of the search, in which the others moved too, outweighed these odds, or the layers beneath and above left no "
                "room. It is worth looking at again."
            )
    else:
        notes.append("What a ruling decides has no odds; the table says what everything else would say.")
    if not space_stands.obeys:
        notes.append("Rulings were added since the space was correlated; they are left out of account here. Correlate it again.")
    elif not current:
        notes.append("The record, or the program, has changed since the space was correlated; this is weighed anew. Correlate it again.")
    notes += _confidence(layer, found, current)
    return notes


def _confidence(layer: Layer, found: reasons.Reasons, current: bool) -> list[str]:
    """What the chart says beside what is weighed here: it also hears in how many draws of the search the layer stood there."""
    if layer.confidence is None or found.decided or abs(layer.confidence - found.probability) <= SAME:
        return []
    weight = correlation.Parameters().draws_weight
    share = (layer.confidence - (1.0 - weight) * found.probability) / weight if current and weight > 0.0 else -1.0
    if not -SAME <= share <= 1.0 + SAME:
        return [f"The chart says {_percent(layer.confidence)}, as it was computed then."]
    share = min(1.0, max(0.0, share))
    return [
        f"The chart says {_percent(layer.confidence)}: the mean of {_percent(found.probability)} by this weighing (counted "
        f"{_percent(1.0 - weight)}) and {_percent(share)} by the draws of the search ({_percent(weight)}), in which the others moved too."
    ]


def _percent(share: float) -> str:
    """Rounded down, as everywhere, so that it never reads surer than it is."""
    return f"{int(share * 100 + 1e-9)} %" if share >= 0.01 else "under 1 %"

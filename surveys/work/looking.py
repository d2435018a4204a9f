"""Where to look next in a space, from the record as it is now."""

from typing import Any

from analysis.core import looking
from surveys import selectors
from surveys.models import Space
from surveys.work import reasons

MOST = 10


def answer(space: Space) -> dict[str, Any]:
    """The rulings and the examinations that would be expected to settle most."""
    stands, current = reasons.stands(space)
    ids = {name: pk for pk, name in selectors.layer_names(space.pk).items()}
    found = looking.look(stands, selectors.distinctness_of_space(space.pk), MOST)
    return {
        "space": space.number,
        "unit": "bit",
        "doubt": round(found.doubt, 1),
        "current": current,
        "sentence": _sentence(found, current, bool(stands.ordinals), stands.obeys),
        "rulings": [_told(one, ids) for one in found.rulings],
        "examinations": [_told(one, ids) for one in found.examinations],
    }


def _sentence(found: looking.Looking, current: bool, correlated: bool, obeys: bool) -> str:
    if not correlated:
        return "Nothing of this space is correlated yet, so nothing can be weighed. Correlate it first."
    if not found.rulings and not found.examinations:
        told = "Nothing that could be ruled on or examined would settle anything worth the while."
    else:
        told = "Most to be gained first; one bit is as much as knowing of two layers, as likely as not of one campaign, whether they are."
    if not obeys:
        return f"{told} Rulings were added since the space was correlated and are left out of account: correlate it again."
    return told if current else f"{told} The record, or the program, has changed since the space was correlated: correlate it again."


def _told(one: looking.Suggestion, ids: dict[str, str]) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "layers": list(one.layers),
        "layer_ids": [ids[name] for name in one.layers],
        "generations": list(one.generations),
        "gain": round(one.gain, 1),
        "chance": round(one.chance, 4),
        "sentence": one.sentence,
    }

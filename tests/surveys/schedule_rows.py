"""A row of a schedule's content, for what is made of it."""

from typing import Any


def row_of(**other: Any) -> dict[str, Any]:
    """A row of a painted baseboard; what people add is `additions`."""
    added = dict.fromkeys(("by", "reason", "group", "preparation", "quantity", "hold_point", "remarks"), "")
    return {
        "space": "101", "space_name": "", "element": "101-BB", "element_class": "baseboard", "position": "", "substrate": "pine",
        "state": "found", "finish": "paint", "leaf": "", "munsell": "", "munsell_is_nearest": False, "colour_word": "", "lab": None,
        "srgb": "", "in_gamut": True, "spread": None, "readings": 0, "sheen": "", "gloss": "", "samples": (), "generation": 1,
        "certainty": "surely", "probability": 1.0, "alternatives": (), "review": "", "marks": (), "computed_finish": "",
        "computed_munsell": "", "computed_sheen": "",
    } | other | {"additions": added | other.get("additions", {})}  # fmt: skip

"""What an interpretation rests on, field by field: which changes of a record a person would care for who agreed to what was said of it."""

from collections.abc import Iterable, Mapping
from typing import Final

# What may change in a record without touching what was concluded from it: where a sample is kept, how sure a placement is, what follows
# from other records and is computed again. A generation keeps its identity when it is renumbered.
IDLE: Final[Mapping[str, frozenset[str]]] = {
    "sample": frozenset({"bag", "mount", "kept_at", "taken_by"}),
    "layer": frozenset({"placed_by", "confidence", "runner_up", "runner_up_confidence"}),
    "evidence": frozenset(),
    "element": frozenset({"notes"}),
    "generation": frozenset({"ordinal", "earlier_ordinals", "distinctness", "earliest", "latest", "earliest_by", "latest_by"}),
    "phase": frozenset({"ordinal"}),
    "interpretation": frozenset({"state_by", "state_at", "state_reason"}),
}
# What an interpretation says: who set one of these is an author of it. What it is about may also move without anybody's word on it, as
# when two generations are joined.
SAYS: Final = frozenset({"discipline", "subject", "statement", "certainty", "supersedes", "citations"})
TEXT: Final = SAYS | {"space", "element", "generation", "phase", "layer"}
# How the reason begins that an interpretation bears which was put back by a change of its ground.
AGAIN: Final = "This was agreed and is for comment again"


def told_fields(record_type: str, fields: Iterable[str]) -> list[str]:
    """Those of the changed fields of a record that a person would care for."""
    return [name for name in fields if name not in IDLE[record_type]] if record_type in IDLE else []

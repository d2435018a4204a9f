"""Reasons in words, and in numbers that add up as they are shown."""

import math
from collections.abc import Sequence
from typing import Final

from analysis.core.reasons.seen import LOWEST, TOPMOST
from analysis.core.reasons.values import Reasons, Term

DECIBANS: Final = 10.0 / math.log(10.0)  # in one nat
WORTH_SAYING: Final = 3.0  # decibans: two to one
MOST_SAID: Final = 3
CERTAIN: Final = 1000


def in_decibans(reasons: Reasons) -> tuple[list[float], float]:
    """The weights of the terms and their total in decibans, each to a tenth, such that those shown add up to the total shown.

    The total is rounded first; then the terms that lose or gain least by it are rounded the other way.
    """
    exact = [term.weight * DECIBANS * 10.0 for term in reasons.terms]
    total = round(reasons.total * DECIBANS * 10.0)
    shown = [math.floor(one) for one in exact]
    order = sorted(range(len(exact)), key=lambda number: (shown[number] - exact[number], number))
    for number in order[: max(0, total - sum(shown))]:
        shown[number] += 1
    return [one / 10.0 for one in shown], total / 10.0


def odds(weight: float) -> str:
    """A weight in nats as odds: 'even', '2.5 to 1', '12 to 1', 'more than 1,000 to 1'; which way it goes is not said."""
    factor = math.exp(min(abs(weight), 50.0))
    if factor < 1.05:
        return "even"
    if factor > CERTAIN:
        return f"more than {CERTAIN:,} to 1"
    return f"{factor:.0f} to 1" if factor >= 9.95 else f"{factor:.1f} to 1"


def sentence(reasons: Reasons) -> str:
    """Why here and not there, in a sentence or two."""
    told = sorted((term for term in reasons.terms if abs(term.weight) * DECIBANS >= WORTH_SAYING), key=lambda term: -abs(term.weight))
    speaks = [term for term in told if term.weight > 0][:MOST_SAID]
    against = [term for term in told if term.weight < 0][:MOST_SAID]
    here = f"generation {reasons.generation}{', which no other sample shows,' if reasons.alone else ''}"
    if reasons.decided:
        opening = f"A ruling puts {reasons.layer} in {here}; without it the odds against generation {reasons.against} would be "
        opening += _both_ways(reasons.total, f"for {reasons.generation}", f"for {reasons.against}")
    elif reasons.total >= 0:
        opening = f"{reasons.layer} stands in {here} rather than in {reasons.against}: {_plain(reasons.total)}"
    else:
        opening = (
            f"{reasons.layer} stands in {here} although by itself it would rather stand in {reasons.against} ({odds(reasons.total)}): "
            "the draws of the search, or the layers beneath and above it, put it where it stands"
        )
    parts = [opening]
    if speaks:
        parts.append(f"For {reasons.generation} speak{'s' if len(speaks) == 1 else ''} {_list(speaks)}")
    if against:
        parts.append(f"For {reasons.against} speak{'s' if len(against) == 1 else ''} {_list(against)}")
    if not told:
        parts.append("Nothing that was seen weighs two to one or more either way")
    return ". ".join(parts) + "."


def _plain(weight: float) -> str:
    said = odds(weight)
    return "as likely as not between the two" if said == "even" else f"{said} for it"


def _both_ways(weight: float, one: str, other: str) -> str:
    said = odds(weight)
    return said if said == "even" else f"{said} {one if weight > 0 else other}"


def _list(terms: Sequence[Term]) -> str:
    told = [f"{_subject(term)} ({odds(term.weight)})" for term in terms]
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"


_SUBJECTS: Final = {
    "colour, same class": "the colour beside its own class",
    "colour, other classes": "the colour beside other classes",
    "layers beneath": "the layers beneath it",
    "layers above": "the layers above it",
    "films in sequence": "the films it lies between",
    "boundaries": "the boundaries between the layers",
}


def _subject(term: Term) -> str:
    if term.own in (LOWEST, TOPMOST):
        return f"that {term.own}"
    return _SUBJECTS.get(term.name, f"the {term.name}")

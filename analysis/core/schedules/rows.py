"""One row of a finish schedule."""

from dataclasses import dataclass, replace
from typing import Any, Final

from analysis.core import colour as colours
from analysis.core.as_of import Candidate, Colour, ElementAsOf, Finish
from analysis.core.gloss import gloss_range

NO_EVIDENCE: Final = "no evidence"
MARKS: Final = {
    "no evidence": "No evidence: nothing here tells what to paint. Decide, and say who decided.",
    "not agreed": "Not agreed: no interpretation of this finish has been agreed by the team.",
    "disputed": "Disputed: somebody has named a reason against an interpretation of this finish.",
    "one sample": "One sample: the finish rests on a single sample.",
    "uncertain": "Uncertain: another finish is nearly as likely; see the alternatives.",
    "by decision": "By decision: a person set this in place of what the evidence says; the reason is given.",
    "as found": "As found: the colour is what is seen today; yellowing, fading and dirt are not reckoned back.",
}
"""What may stand on a row, and what it means. A mark is told by its words, never by a colour alone."""
_LIKELY: Final = 0.8
"""Below this probability another finish is near enough to be named beside it (the word is 'likely' or weaker)."""


@dataclass(frozen=True, slots=True)
class Additions:
    """What a person added to a row, and set in place of what was computed. An empty text adds nothing.

    Parameters
    ----------
    group, quantity, preparation, hold_point, remarks : str
    finish, munsell, sheen : str
        In place of the computed ones.
    reason, by : str
        Of whatever stands in place; needed if anything does.
    """

    group: str = ""
    quantity: str = ""
    preparation: str = ""
    hold_point: str = ""
    remarks: str = ""
    finish: str = ""
    munsell: str = ""
    sheen: str = ""
    reason: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """What the schedule says of one element.

    Parameters
    ----------
    space, element, element_class, position, substrate : str
    state : {'found', 'no evidence'}
    generation : int, optional
        Ordinal of the campaign whose finish it is.
    finish : str
        In words, as 'paint in 2 coats, glazed, varnished'.
    leaf : str
    munsell : str
    munsell_is_nearest : bool
        Whether the notation is the nearest to a measurement rather than a reading.
    lab : tuple of three floats, optional
        CIE L*a*b*, D65, 2° observer.
    srgb : str
        '#rrggbb' for orientation; empty without `lab`.
    in_gamut : bool
    spread : float, optional
        ΔE00 from the colour to the reading furthest from it; None without a colour.
    readings : int
        Of colour.
    colour_word : str
    sheen, gloss : str
        The word, and the range of gloss that it stands for with its unit; empty where the word stands for none.
    samples, layers : tuple of str
        That the finish rests on.
    probability : float, optional
        That this finish was in force; None where dates do not say.
    certainty : str
        The same in words.
    placed : float, optional
        Mean probability that the cited layers belong to the campaign.
    alternatives : tuple of str
        Each in words with its probability.
    review : str
        State of the interpretations that bear on it; empty if there is none.
    marks : tuple of str
        Keys of `MARKS`.
    doubts : tuple of str
        Sentences.
    additions : Additions
    computed_finish, computed_munsell, computed_sheen : str
        What the evidence says, where a person set something else; else empty.
    """

    space: str
    element: str
    element_class: str
    position: str
    substrate: str
    state: str
    generation: int | None = None
    finish: str = ""
    leaf: str = ""
    munsell: str = ""
    munsell_is_nearest: bool = False
    lab: tuple[float, float, float] | None = None
    srgb: str = ""
    in_gamut: bool = True
    spread: float | None = None
    readings: int = 0
    colour_word: str = ""
    sheen: str = ""
    gloss: str = ""
    samples: tuple[str, ...] = ()
    layers: tuple[str, ...] = ()
    probability: float | None = None
    certainty: str = ""
    placed: float | None = None
    alternatives: tuple[str, ...] = ()
    review: str = ""
    marks: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    additions: Additions = Additions()
    computed_finish: str = ""
    computed_munsell: str = ""
    computed_sheen: str = ""


def row_of(answer: ElementAsOf, *, position: str = "", review: str = "") -> Row:
    """Make the row of an element from its finish as of a year or phase.

    Parameters
    ----------
    answer : ElementAsOf
    position : str
        Where the element is, in words.
    review : str
        'agreed', 'disputed' or another review state of the interpretations that bear on the finish; empty if there is none.

    Returns
    -------
    Row
        Without a finish there is a row still, that says 'no evidence'.
    """
    bare = Row(answer.space, answer.element, answer.element_class, position, answer.substrate, answer.state, review=review)
    others = tuple(_alternative(one) for one in answer.alternatives)
    if answer.in_force is None or answer.in_force.finish is None:
        return _marked(
            replace(bare, state=NO_EVIDENCE, certainty=NO_EVIDENCE, alternatives=others, doubts=(answer.sentence, *answer.doubts))
        )
    finish = answer.in_force.finish
    return _marked(
        replace(
            bare,
            generation=answer.in_force.ordinal,
            finish=_in_words(finish),
            leaf=finish.leaf,
            sheen=finish.sheen,
            gloss=_gloss(finish.sheen),
            samples=finish.samples,
            layers=finish.cited,
            probability=answer.in_force.probability,
            certainty=answer.certainty,
            placed=finish.confidence,
            alternatives=others,
            doubts=answer.doubts,
            **_colour(finish.colour),
        )
    )


def with_additions(row: Row, additions: Additions) -> Row:
    """Put on a row what a person added, and what he set in place of what was computed.

    Parameters
    ----------
    row : Row
    additions : Additions

    Returns
    -------
    Row
        What was computed stands in `computed_…`; a notation of a person's has L*a*b* and sRGB of its own and no spread.

    Raises
    ------
    ImpossibleMunsell
        If there is no such chip.
    """
    changed = replace(row, additions=additions)
    if additions.finish:
        changed = replace(changed, finish=additions.finish, computed_finish=row.finish or NO_EVIDENCE)
    if additions.sheen:
        changed = replace(changed, sheen=additions.sheen, gloss=_gloss(additions.sheen), computed_sheen=row.sheen or NO_EVIDENCE)
    if additions.munsell:
        changed = replace(changed, **_decided_colour(additions.munsell), computed_munsell=row.munsell or NO_EVIDENCE)
    return _marked(changed)


def _marked(row: Row) -> Row:
    """The row with the marks that it deserves, in the order of MARKS."""
    decided = bool(row.computed_finish or row.computed_munsell or row.computed_sheen)
    told = {
        "no evidence": row.state == NO_EVIDENCE,
        "not agreed": row.review not in ("agreed", "disputed"),
        "disputed": row.review == "disputed",
        "one sample": len(row.samples) == 1,
        "uncertain": row.state != NO_EVIDENCE and (row.probability is None or row.probability < _LIKELY) and bool(row.alternatives),
        "by decision": decided,
        "as found": bool(row.munsell) and not row.computed_munsell,
    }
    return replace(row, marks=tuple(mark for mark in MARKS if told[mark]))


def _colour(colour: Colour | None) -> dict[str, Any]:
    if colour is None:
        return {}
    return {
        "munsell": colour.munsell,
        "munsell_is_nearest": colour.nearest,
        "lab": colour.lab,
        "srgb": colour.srgb,
        "in_gamut": colour.in_gamut,
        "spread": colour.spread if colour.readings else None,
        "readings": colour.readings,
        "colour_word": colour.first_colour or colour.named,
    }


def _decided_colour(notation: str) -> dict[str, Any]:
    """The colour of a notation that a person chose: it has no readings."""
    lab = colours.munsell_to_lab(notation)
    screen = colours.lab_to_srgb(lab)
    return {
        "munsell": notation, "munsell_is_nearest": False, "lab": lab, "srgb": screen.hex, "in_gamut": screen.in_gamut, "spread": None,
        "readings": 0, "colour_word": "",
    }  # fmt: skip


def _in_words(finish: Finish) -> str:
    """'paint in 2 coats, glaze, varnish': each kind of layer, lowest first, with its coats; what is recorded of the campaign beside it."""
    parts = [f"{layer.kind} in {layer.coats} coats" if layer.coats > 1 else layer.kind for layer in finish.layers]
    said = ", ".join(parts) or finish.technique
    return f"{said} ({finish.recorded_technique})" if finish.recorded_technique else said


def _alternative(candidate: Candidate) -> str:
    chance = "" if candidate.probability is None else f" ({candidate.probability:.0%})"
    if candidate.ordinal is None:
        return f"nothing that is recorded{chance}"
    said = _in_words(candidate.finish) if candidate.finish else ""
    colour = candidate.finish.colour if candidate.finish else None
    told = ", ".join(part for part in (said, colour.munsell or colour.named if colour else "") if part)
    return f"generation {candidate.ordinal}: {told or 'finish not seen'}{chance}"


def _gloss(sheen: str) -> str:
    found = gloss_range(sheen)
    return str(found) if found else ""

"""How surely each generation of a space had been painted by a year, or by the end of a phase."""

from collections.abc import Sequence

from analysis.core.as_of.values import Generation, PhaseEnd


def reached_by_year(generations: Sequence[Generation], year: int) -> list[float | None]:
    """Give for each generation the probability that it is not later than a year.

    Parameters
    ----------
    generations : sequence of Generation
        Of one space, oldest first.
    year : int
        Inclusive; negative for BCE.

    Returns
    -------
    list of float or None
        0 to 1, never rising from one to the next; None where neither a distribution nor a bound says.
    """
    return _in_order([_by_year(one, year) for one in generations])


def reached_by_phase(generations: Sequence[Generation], phase: PhaseEnd) -> list[float | None]:
    """Give for each generation the probability that it is not later than a phase.

    Parameters
    ----------
    generations : sequence of Generation
        Of one space, oldest first.
    phase : PhaseEnd

    Returns
    -------
    list of float or None
        1 for those of this phase and of earlier ones and for all below them, 0 for those of later phases and for all above them. One that
        lies between, in no phase, goes by the last year of the phase; without that year None.
    """
    found: list[float | None] = []
    for one in generations:
        if one.phase is not None:
            found.append(1.0 if one.phase <= phase.ordinal else 0.0)
        else:
            found.append(None)
    told = _in_order(found)
    if phase.latest is not None:
        told = [_by_year(one, phase.latest) if known is None else known for one, known in zip(generations, told, strict=True)]
    return _in_order(told)


def _by_year(one: Generation, year: int) -> float | None:
    if one.distribution is not None:
        return one.distribution.by(year)
    if one.latest is not None and one.latest <= year:
        return 1.0
    if one.earliest is not None and one.earliest > year:
        return 0.0
    return None


def _in_order(found: list[float | None]) -> list[float | None]:
    """What is painted was painted after all below it: carry certainty along the order, and let no rounding break it."""
    told = list(found)
    for index in range(len(told) - 2, -1, -1):
        if told[index + 1] == 1.0:
            told[index] = 1.0
    lowest = 1.0
    for index, value in enumerate(told):
        if value is not None:
            lowest = min(lowest, value)
            told[index] = lowest
        elif lowest == 0.0:
            told[index] = 0.0
    return told

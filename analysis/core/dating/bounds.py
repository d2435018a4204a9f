"""The tightest years of every generation, with the records that made them, and the records that cannot all be true."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from analysis.core.dating.order import Link, Order, Reach
from analysis.core.dating.reading import STRENGTHS, Claim, generation_name, read
from analysis.core.dating.values import Conflict, DatedGeneration, Dating, Records, Step


def date_generations(records: Records, *, include_tentative: bool = False) -> Dating:
    """Bound the year of every generation by all that is known, and report what contradicts.

    Parameters
    ----------
    records : Records
        Years are whole calendar years, inclusive on both sides.
    include_tentative : bool
        Whether tentative statements, and materials that were only seen, bound as well ('what if').

    Returns
    -------
    Dating
        For each generation the tightest bounds that follow from the records in force, None where nothing bounds. Records that
        contradict each other are all reported. Which of them stay in force is decided by strength (the study's own years, then
        firm, likely, tentative; identified materials and the years of phases are firm): a record that contradicts a
        stronger one in force is set aside; records of equal strength that contradict each other are set aside together. What
        remains is free of contradiction, and what was set aside is named in the conflict.

    Raises
    ------
    DatingError
        As `analysis.core.dating.reading.read`: on records that cannot be read.

    Notes
    -----
    Every record bounds single years from below or above and every step of order is 'not later than', so the system is one of
    difference constraints: it is infeasible exactly when somewhere a lower bound, carried along the order, passes an upper
    bound (or one record bounds a year from both sides the wrong way round). So each smallest set of impossible records has one or two
    dated records and a chain of order between, and a shortest chain is found breadth first.

    Cost: linear in records and generations while nothing contradicts; one search more for each record in a contradiction.

    References
    ----------
    E. C. Harris, 'The laws of archaeological stratigraphy', *World Archaeology* 11 (1979) 111-117.
    C. E. Buck, W. G. Cavanagh & C. D. Litton, *Bayesian Approach to Interpreting Archaeological Data* (1996), for order and
    termini as constraints.
    """
    claims, unused = read(records, include_tentative)
    order = Order(records.generations, records.phases)
    clashes = _clashes(claims, order)
    aside = _set_aside(claims, order) if clashes else set()
    teller = _Teller(records)
    conflicts = tuple(_conflict(clash, aside, teller, order) for clash in clashes)
    in_force = [claim for claim in claims if (claim.kind, claim.key) not in aside]
    lower_set, upper_set = _setters(in_force, upper=False), _setters(in_force, upper=True)
    lower = order.spread({key: claim.lower[key] for key, claim in lower_set.items()}, upward=True)
    upper = order.spread({key: claim.upper[key] for key, claim in upper_set.items()}, upward=False)
    dated = tuple(
        DatedGeneration(
            key,
            lower[key].year if key in lower else None,
            upper[key].year if key in upper else None,
            teller.lower_chain(lower[key], lower_set) if key in lower else (),
            teller.upper_chain(upper[key], upper_set) if key in upper else (),
            tuple(index for index, conflict in enumerate(conflicts) if key in conflict.generations),
        )
        for key in order.keys
    )
    return Dating(dated, conflicts, tuple(unused), include_tentative)


def _tightest(claims: Iterable[Claim], *, upper: bool) -> dict[str, int]:
    return {key: (claim.upper if upper else claim.lower)[key] for key, claim in _setters(claims, upper=upper).items()}


def _setters(claims: Iterable[Claim], *, upper: bool) -> dict[str, Claim]:
    """For each generation that a record bounds, the record that bounds it tightest; of equals the first."""
    setters: dict[str, Claim] = {}
    for claim in claims:
        for key, year in (claim.upper if upper else claim.lower).items():
            known = setters.get(key)
            if known is None or (year < known.upper[key] if upper else year > known.lower[key]):
                setters[key] = claim
    return setters


# --- what contradicts ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Clash:
    """`below` bounds `start` from below, links lead from `start` to `end`, and `above` bounds `end` from above, earlier."""

    below: Claim
    start: str
    links: tuple[Link, ...]
    end: str
    above: Claim

    @property
    def claims(self) -> tuple[Claim, ...]:
        return (self.below,) if self.below is self.above else (self.below, self.above)

    @property
    def rank(self) -> tuple[int, tuple[tuple[str, str], ...], str, str]:
        return len(self.claims) + len(self.links), tuple((claim.kind, claim.key) for claim in self.claims), self.start, self.end


def _clashes(claims: Sequence[Claim], order: Order) -> list[_Clash]:
    """Give, for every record that takes part in a contradiction, the shortest, and the shortest with a record no weaker than it."""
    lower, upper = _tightest(claims, upper=False), _tightest(claims, upper=True)
    carried = order.spread(lower, upward=True)
    at_fault = {end for end, year in upper.items() if end in carried and carried[end].year > year}
    if not at_fault:
        return []
    below: dict[str, list[tuple[int, Claim]]] = {}
    for claim in claims:
        for key, year in claim.lower.items():
            below.setdefault(key, []).append((year, claim))
    best: dict[tuple[str, str, bool], _Clash] = {}
    ways = {end: order.ways(end, upward=False) for end in sorted(at_fault)}
    for above in claims:
        for end in sorted(at_fault.intersection(above.upper)):
            for start, links in ways[end].items():
                for year, claim in below.get(start, ()):
                    if year > above.upper[end]:
                        _keep_shorter(best, _Clash(claim, start, tuple(reversed(links)), end, above))
    unique = {clash.rank: clash for clash in best.values()}
    return [unique[rank] for rank in sorted(unique)]


def _keep_shorter(best: dict[tuple[str, str, bool], _Clash], clash: _Clash) -> None:
    if clash.below is not clash.above and any(_impossible_alone(claim) for claim in clash.claims):
        return
    weakest = min(claim.strength for claim in clash.claims)
    for claim in clash.claims:
        for slot in {(claim.kind, claim.key, False), (claim.kind, claim.key, claim.strength == weakest)}:
            known = best.get(slot)
            if known is None or clash.rank < known.rank:
                best[slot] = clash


def _impossible_alone(claim: Claim) -> bool:
    return any(claim.lower[key] > year for key, year in claim.upper.items() if key in claim.lower)


def _set_aside(claims: Sequence[Claim], order: Order) -> set[tuple[str, str]]:
    """Choose what bounds nothing: from the strongest class down, what contradicts a stronger record in force or one of its equals."""
    in_force: list[Claim] = []
    for strength in sorted(set(STRENGTHS.values()), reverse=True):
        peers = [claim for claim in claims if claim.strength == strength and not _impossible_alone(claim)]
        peers = _compatible(peers, in_force, order)
        in_force.extend(_compatible(peers, peers, order))
    kept = {(claim.kind, claim.key) for claim in in_force}
    return {(claim.kind, claim.key) for claim in claims} - kept


def _compatible(claims: Sequence[Claim], others: Sequence[Claim], order: Order) -> list[Claim]:
    lower = order.spread(_tightest(others, upper=False), upward=True)
    upper = order.spread(_tightest(others, upper=True), upward=False)
    return [claim for claim in claims if _fits(claim, lower, upper)]


def _fits(claim: Claim, lower: Mapping[str, Reach], upper: Mapping[str, Reach]) -> bool:
    below = all(key not in upper or year <= upper[key].year for key, year in claim.lower.items())
    above = all(key not in lower or year >= lower[key].year for key, year in claim.upper.items())
    return below and above


def _conflict(clash: _Clash, aside: set[tuple[str, str]], teller: "_Teller", order: Order) -> Conflict:
    squeezed = order.ways(clash.start, upward=True).keys() & order.ways(clash.end, upward=False).keys()
    touched = tuple(key for key in order.keys if key in squeezed)
    records = tuple((claim.kind, claim.key) for claim in clash.claims)
    steps = [teller.lower_step(clash.below, clash.start), *map(teller.order_step, clash.links)]
    if clash.above is not clash.below:
        steps.append(teller.upper_step(clash.above, clash.end))
    set_aside = tuple(record for record in records if record in aside)
    return Conflict(records, tuple(steps), touched, set_aside, teller.conflict(clash, set_aside))


# --- saying it ----------------------------------------------------------------------------------------------------------------


class _Teller:
    def __init__(self, records: Records) -> None:
        self._names = {one.key: generation_name(one, records.space_names) for one in records.generations}

    def lower_chain(self, reach: Reach, setters: Mapping[str, Claim]) -> tuple[Step, ...]:
        return (self.lower_step(setters[reach.source], reach.source), *map(self.order_step, reach.links))

    def upper_chain(self, reach: Reach, setters: Mapping[str, Claim]) -> tuple[Step, ...]:
        return (self.upper_step(setters[reach.source], reach.source), *map(self.order_step, reach.links))

    def lower_step(self, claim: Claim, key: str) -> Step:
        return Step(claim.kind, claim.key, key, "", f"{self._names[key]} {self._below(claim, key)}")

    def upper_step(self, claim: Claim, key: str) -> Step:
        return Step(claim.kind, claim.key, key, "", f"{self._names[key]} {self._above(claim, key)}")

    def order_step(self, link: Link) -> Step:
        return Step(link.kind, "", link.first, link.second, f"{self._names[link.first]} is not later than {self._not_later(link)}")

    def conflict(self, clash: _Clash, aside: Sequence[tuple[str, str]]) -> str:
        start = _capital(self._names[clash.start])
        if clash.above is clash.below:
            years = f"before {clash.below.lower[clash.start]} nor after {clash.above.upper[clash.end]}"
            return f"{start} can be neither {years} {clash.below.words}: the years stand the wrong way round. {self._aside(clash, aside)}"
        if not clash.links:
            told = f"{start} {self._above(clash.above, clash.end)}, yet {self._below(clash.below, clash.start)}."
        else:
            order = ", which is not later than ".join(self._not_later(link) for link in clash.links)
            below = self._below(clash.below, clash.start)
            told = f"{start} {below} and is not later than {order}; yet {self._names[clash.end]} {self._above(clash.above, clash.end)}."
        return f"{told} {self._aside(clash, aside)}"

    def _below(self, claim: Claim, key: str) -> str:
        if claim.material:
            return f"contains {claim.material} {claim.words}, not known before {claim.lower[key]}"
        return f"cannot be earlier than {claim.lower[key]} {claim.words}"

    def _above(self, claim: Claim, key: str) -> str:
        return f"cannot be later than {claim.upper[key]} {claim.words}"

    def _not_later(self, link: Link) -> str:
        return f"{self._names[link.second]} ({'by its number' if link.kind == 'order in space' else 'its phase is later'})"

    def _aside(self, clash: _Clash, aside: Sequence[tuple[str, str]]) -> str:
        if len(clash.claims) == 1:
            return "It bounds nothing until it is corrected."
        if len(aside) == 2:
            return "Until somebody decides, neither bounds anything."
        loser = clash.below if (clash.below.kind, clash.below.key) in aside else clash.above
        return f"Until somebody decides, this bounds nothing: {loser.words[1:-1]}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

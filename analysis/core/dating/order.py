"""The order of generations, and how a year travels along it.

Within a space a generation is not later than any with a higher number. Between spaces, a generation of a phase is not later than any
of a later phase. Two generations of which neither follows from these are not ordered. A step of order is a single reason however
many generations it passes over, so a chain never holds two steps in a row through one space, or two through the phases.
"""

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from analysis.core.dating.values import Generation, Phase


@dataclass(frozen=True, slots=True)
class Link:
    """One step of order: `first` is not later than `second`, by 'order in space' or 'order of phases'."""

    kind: str
    first: str
    second: str


@dataclass(frozen=True, slots=True)
class Reach:
    """A year that has arrived at a generation: from which source, by which links (in the order of travel)."""

    year: int
    source: str
    links: tuple[Link, ...]


class Order:
    """Who cannot be later than whom.

    Parameters
    ----------
    generations : iterable of Generation
    phases : iterable of Phase
        In any order: ordinals decide, then keys.
    """

    def __init__(self, generations: Iterable[Generation], phases: Iterable[Phase]) -> None:
        ranked = sorted(generations, key=lambda one: (one.space, one.ordinal, one.key))
        phase_rank = {phase.key: rank for rank, phase in enumerate(sorted(phases, key=lambda one: one.ordinal))}
        self.keys = [generation.key for generation in ranked]
        self._by_space: dict[str, list[list[str]]] = defaultdict(list)
        self._by_phase: list[list[str]] = [[] for _ in phase_rank]
        self._place: dict[str, list[tuple[str, str, int]]] = defaultdict(list)
        for generation in ranked:
            column = self._by_space[generation.space]
            self._place[generation.key].append(("order in space", generation.space, len(column)))
            column.append([generation.key])
            if generation.phase is not None:
                rank = phase_rank[generation.phase]
                self._place[generation.key].append(("order of phases", "", rank))
                self._by_phase[rank].append(generation.key)

    def spread(self, sources: Mapping[str, int], *, upward: bool) -> dict[str, Reach]:
        """Carry years along the order to wherever they bind tightest.

        Parameters
        ----------
        sources : mapping of str to int
            Generation to a year that bounds it.
        upward : bool
            True carries lower bounds to later generations and keeps the highest; False carries upper bounds to earlier ones and
            keeps the lowest.

        Returns
        -------
        dict of str to Reach
            The tightest year for every generation that any reaches, by a way of the fewest links; ties by key.

        Notes
        -----
        Cost: linear in generations once sources are sorted, for a generation that a tighter year has passed is passed no more.
        """
        arrived: dict[str, Reach] = {}
        passed: dict[tuple[str, str], int] = {}
        levels: dict[int, list[str]] = defaultdict(list)
        for key, year in sources.items():
            levels[year].append(key)
        for year in sorted(levels, reverse=upward):
            queue: deque[str] = deque()
            for key in sorted(levels[year]):
                if key not in arrived:
                    arrived[key] = Reach(year, key, ())
                    queue.append(key)
            while queue:
                here = queue.popleft()
                for link, there in self._links(here, upward, passed):
                    if there not in arrived:
                        arrived[there] = Reach(year, arrived[here].source, (*arrived[here].links, link))
                        queue.append(there)
        return arrived

    def ways(self, start: str, *, upward: bool) -> dict[str, tuple[Link, ...]]:
        """Find ways of the fewest links from one generation to all that are not earlier (or, downward, not later)."""
        return {key: reach.links for key, reach in self.spread({start: 0}, upward=upward).items()}

    def _links(self, here: str, upward: bool, passed: dict[tuple[str, str], int]) -> Iterator[tuple[Link, str]]:
        for kind, name, position in self._place[here]:
            groups = self._by_phase if kind == "order of phases" else self._by_space[name]
            edge = passed.get((kind, name), len(groups) if upward else -1)
            between = range(position + 1, edge) if upward else range(position - 1, edge, -1)
            if not between:
                continue
            passed[kind, name] = position + 1 if upward else position - 1
            for index in between:
                for there in groups[index]:
                    yield (Link(kind, here, there) if upward else Link(kind, there, here)), there

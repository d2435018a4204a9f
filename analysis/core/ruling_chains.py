"""What samples and rulings force into one generation, and the smallest set of records that forces a pair there.

Nodes are layers, then generations, numbered in the order of their keys, so that the order of the input leaves no mark. Every
record is a step 'not later than' between two nodes: a step up a sample (one step, however many layers it passes over) or an
equality, which goes both ways. Two nodes are forced together when steps lead from each to the other.

References
----------
R. E. Tarjan, 'Depth-first search and linear graph algorithms', *SIAM Journal on Computing* 1 (1972) 146-160.
J. Feldman & M. Ruhl, 'The directed Steiner network problem is tractable for a constant number of terminals', *SIAM Journal on
Computing* 36 (2006) 543-561: the game of two tokens, here for one pair (reference from memory).
"""

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush
from typing import Final

MOST_STATES: Final = 200_000
"""How much the exact search may look at for all pairs together (about a second); beyond that the shortest walk found stands."""
LONGEST_EXACT: Final = 60
"""A chain of more records than this is left as the shortest walk: nobody reads it, and the exact search would take too long."""
MOST_NODES: Final = 1_000_000
"""How many nodes the search for shortest walks may pass, all pairs together (about a second); pairs beyond that are not compared."""


@dataclass(frozen=True, slots=True)
class Step:
    """`source` is not later than `target`; `record` is the key of the equality that says so, empty for a step up a column."""

    source: int
    target: int
    record: str

    @property
    def identity(self) -> tuple[str, int, int]:
        """The record: an equality is one record whichever way it is used."""
        return (self.record, -1, -1) if self.record else ("", self.source, self.target)


@dataclass(frozen=True, slots=True)
class Clash:
    """A pair that must differ (barred by `bar`, or two generations when it is empty) and the steps that force it together."""

    first: int
    second: int
    bar: str
    steps: tuple[Step, ...]

    @property
    def records(self) -> int:
        """How many distinct records it takes."""
        return len({step.identity for step in self.steps}) + bool(self.bar)


@dataclass(frozen=True, slots=True)
class Ways:
    """Shortest ways from one node (or, backward, to it): how long each is, and the step by which each node was reached."""

    length: dict[int, int]
    came_by: dict[int, Step]
    backward: bool

    def steps(self, node: int) -> tuple[Step, ...]:
        """Give the way to (backward: from) a node, in reading order."""
        found = []
        while node in self.came_by:
            found.append(self.came_by[node])
            node = found[-1].target if self.backward else found[-1].source
        return tuple(found) if self.backward else tuple(reversed(found))


@dataclass(slots=True)
class Graph:
    """Columns hold nodes from the oldest up; `equal` holds each equality at both ends; `bars` are pairs that must differ."""

    count: int
    first_generation: int
    columns: list[list[int]]
    equal: Mapping[int, Sequence[tuple[int, str]]]
    bars: Sequence[tuple[int, int, str]]
    place: dict[int, tuple[int, int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for number, column in enumerate(self.columns):
            self.place.update({node: (number, position) for position, node in enumerate(column)})

    # --- components -----------------------------------------------------------------------------------------------------------

    def components(self) -> list[int]:
        """Number each node's strongly connected component (Tarjan 1972, without recursion: samples may be long)."""
        order, low, component = [-1] * self.count, [0] * self.count, [-1] * self.count
        open_nodes: list[int] = []
        visited = components = 0
        for root in range(self.count):
            if order[root] >= 0:
                continue
            walk: list[tuple[int, Iterator[int]]] = []
            entering: int | None = root
            while entering is not None or walk:
                if entering is not None:
                    order[entering] = low[entering] = visited
                    visited += 1
                    open_nodes.append(entering)
                    walk.append((entering, iter(self._next(entering))))
                node, following = walk[-1]
                entering = None
                for other in following:
                    if order[other] < 0:
                        entering = other
                        break
                    if component[other] < 0:
                        low[node] = min(low[node], order[other])
                if entering is not None:
                    continue
                walk.pop()
                if low[node] == order[node]:
                    while component[node] < 0:
                        component[open_nodes.pop()] = components
                    components += 1
                if walk:
                    low[walk[-1][0]] = min(low[walk[-1][0]], low[node])
        return component

    def _next(self, node: int) -> list[int]:
        after = [other for other, _ in self.equal.get(node, ())]
        if node in self.place:
            column, position = self.place[node]
            after.extend(self.columns[column][position + 1 : position + 2])
        return after

    # --- steps ----------------------------------------------------------------------------------------------------------------

    def steps_from(self, node: int) -> Iterator[Step]:
        """All single steps that leave a node."""
        for other, record in self.equal.get(node, ()):
            yield Step(node, other, record)
        column, position = self.place.get(node, (-1, 0))
        for other in self.columns[column][position + 1 :] if column >= 0 else ():
            yield Step(node, other, "")

    def steps_to(self, node: int) -> Iterator[Step]:
        """All single steps that reach a node."""
        for other, record in self.equal.get(node, ()):
            yield Step(other, node, record)
        column, position = self.place.get(node, (-1, 0))
        for other in self.columns[column][:position] if column >= 0 else ():
            yield Step(other, node, "")

    def ways(self, start: int, within: int, *, backward: bool = False) -> Ways:
        """Find shortest ways of at most `within` steps from (backward: to) a node, breadth first.

        What lies further along a column than a node already passed has been reached; so each node is looked at once, and
        the search is linear.
        """
        found = Ways({start: 0}, {}, backward)
        passed: dict[int, int] = {}
        queue = deque([start])
        while queue:
            node = queue.popleft()
            if found.length[node] == within:
                break
            for step in self._fresh(node, passed, backward):
                other = step.source if backward else step.target
                if other not in found.length:
                    found.length[other] = found.length[node] + 1
                    found.came_by[other] = step
                    queue.append(other)
        return found

    def _fresh(self, node: int, passed: dict[int, int], backward: bool) -> Iterator[Step]:
        for other, record in self.equal.get(node, ()):
            yield Step(other, node, record) if backward else Step(node, other, record)
        if node not in self.place:
            return
        column, position = self.place[node]
        nodes = self.columns[column]
        edge = passed.get(column, -1 if backward else len(nodes))
        between = range(position - 1, edge, -1) if backward else range(position + 1, edge)
        if between:
            passed[column] = position - 1 if backward else position + 1
        for index in between:
            yield Step(nodes[index], node, "") if backward else Step(node, nodes[index], "")


# --- the smallest clash -------------------------------------------------------------------------------------------------------


def smallest_clash(graph: Graph) -> Clash | None:
    """Find the pair that must differ but is forced together by the fewest records; None when there is none.

    Parameters
    ----------
    graph : Graph

    Returns
    -------
    Clash or None
        With its steps in reading order: from the first of the pair to the second, and back unless equalities alone led there. No
        record can be left out. Ties go to the pair that comes first.

    Notes
    -----
    First the shortest way there and the shortest way back for each pair. Their union may be larger than need be, for a longer way
    may share more records; so two tokens are then moved together (Feldman & Ruhl 2006), which is exact. `MOST_NODES`, `MOST_STATES` and
    `LONGEST_EXACT` keep a hopeless tangle from taking all day; one that ordinary rulings make stays far within them.
    """
    best: Clash | None = None
    near: list[tuple[int, int, str, Ways]] = []
    passed = 0
    for first, second, bar in _forced_pairs(graph):
        if passed > MOST_NODES:
            break
        within = best.records - 1 if best else graph.count
        there, back = graph.ways(first, within), graph.ways(second, within)
        passed += len(there.length) + len(back.length)
        if second in there.length and first in back.length:
            clash = Clash(first, second, bar, there.steps(second) + back.steps(first))
            near.append((first, second, bar, back))
            if best is None or clash.records < best.records:
                best = clash
    if best is None:
        return None
    budget = MOST_STATES
    for first, second, bar, back in near:
        if budget <= 0 or best.records > LONGEST_EXACT:
            break
        within = best.records - bool(bar)
        game = _Tokens(graph, first, second, graph.ways(second, within, backward=True), back, budget)
        steps = game.play(within)
        budget -= game.visited
        if steps is not None:
            best = Clash(first, second, bar, steps)
    return _in_reading_order(best)


def _forced_pairs(graph: Graph) -> list[tuple[int, int, str]]:
    component = graph.components()
    pairs = [bar for bar in graph.bars if component[bar[0]] == component[bar[1]]]
    together: dict[int, list[int]] = defaultdict(list)
    for node in range(graph.first_generation, graph.count):
        together[component[node]].append(node)
    for group in together.values():
        pairs.extend((first, second, "") for at, first in enumerate(group) for second in group[at + 1 :])
    return sorted(pairs)


class _Tokens:
    """Two tokens start at the first node: one walks forward to the second, one walks there against the steps.

    A record that both use is paid once: they walk an equality together, or, standing at the two ends of a way that both use, change
    places over it. The cheapest play is the smallest set of records that forces the pair together.
    """

    def __init__(self, graph: Graph, start: int, goal: int, to_goal: Ways, from_goal: Ways, budget: int) -> None:
        self._graph = graph
        self._start = start
        self._goal = goal
        self._to_goal = to_goal.length
        self._from_goal = from_goal.length
        self._budget = budget
        self._ways: dict[int, Ways] = {}
        self.visited = 0

    def play(self, limit: int) -> tuple[Step, ...] | None:
        """Give a set of steps with fewer than `limit` records, or None when there is none, or the budget is spent."""
        start, goal = (self._start, self._start), (self._goal, self._goal)
        least = {start: 0}
        came_by: dict[tuple[int, int], tuple[tuple[int, int], tuple[Step, ...]]] = {}
        queue = [(self._still(*start), 0, start)] if self._still(*start) < limit else []
        while queue and self.visited < self._budget:
            _, paid, here = heappop(queue)
            if here == goal:
                return self._collected(came_by)
            if paid > least[here]:
                continue
            self.visited += 1
            for there, steps in self._moves(*here, limit):
                cost = paid + len(steps)
                if cost < least.get(there, limit) and cost + self._still(*there) < limit:
                    least[there] = cost
                    came_by[there] = here, steps
                    heappush(queue, (cost + self._still(*there), cost, there))
        return None

    def _still(self, forward: int, backward: int) -> int:
        """How many records at least are still to pay: each token alone needs its own shortest way."""
        far = self._graph.count
        return max(self._to_goal.get(forward, far), self._from_goal.get(backward, far))

    def _moves(self, forward: int, backward: int, limit: int) -> Iterator[tuple[tuple[int, int], tuple[Step, ...]]]:
        for step in self._graph.steps_from(forward):
            yield (step.target, backward), (step,)
            if step.record and forward == backward:
                yield (step.target, step.target), (step,)
        for step in self._graph.steps_to(backward):
            yield (forward, step.source), (step,)
        if forward != backward:
            if forward not in self._ways:
                self._ways[forward] = self._graph.ways(forward, limit)
                self.visited += len(self._ways[forward].length)
            if backward in self._ways[forward].length:
                yield (backward, forward), self._ways[forward].steps(backward)

    def _collected(self, came_by: Mapping[tuple[int, int], tuple[tuple[int, int], tuple[Step, ...]]]) -> tuple[Step, ...]:
        steps: list[Step] = []
        here = (self._goal, self._goal)
        while here in came_by and here != (self._start, self._start):
            here, paid = came_by[here]
            steps.extend(paid)
        return tuple(steps)


def _in_reading_order(clash: Clash) -> Clash:
    """Drop every record without which the pair is still forced together, and walk what is left there and back."""
    allowed = [step for _, step in sorted({step.identity: step for step in clash.steps}.items())]
    there, back = _there_and_back(clash, allowed)
    # A closed walk that meets no node twice needs all its records; only one that crosses itself may hold a detour.
    if back and len({step.source for step in there + back}) < len(there + back):
        for step in list(allowed):
            fewer = [one for one in allowed if one is not step]
            if _way_within(fewer, clash.first, clash.second) and _way_within(fewer, clash.second, clash.first):
                allowed = fewer
        there, back = _there_and_back(clash, allowed)
    return Clash(clash.first, clash.second, clash.bar, there + back)


def _there_and_back(clash: Clash, allowed: Sequence[Step]) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    """Give the way there and the way back; where equalities alone lead either way, that serves for both."""
    there = _way_within(allowed, clash.first, clash.second) or ()
    if all(step.record for step in there):
        return there, ()
    back = _way_within(allowed, clash.second, clash.first) or ()
    if all(step.record for step in back):
        return tuple(Step(step.target, step.source, step.record) for step in reversed(back)), ()
    return there, back


def _way_within(allowed: Iterable[Step], start: int, target: int) -> tuple[Step, ...] | None:
    outgoing: dict[int, list[Step]] = defaultdict(list)
    for step in allowed:
        outgoing[step.source].append(step)
        if step.record:
            outgoing[step.target].append(Step(step.target, step.source, step.record))
    found = Ways({start: 0}, {}, backward=False)
    queue = deque([start])
    while queue:
        node = queue.popleft()
        for step in outgoing[node]:
            if step.target not in found.length:
                found.length[step.target] = found.length[node] + 1
                found.came_by[step.target] = step
                queue.append(step.target)
    return found.steps(target) if target in found.length else None

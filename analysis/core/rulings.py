"""Whether the rulings on the layers of a space can all be true, and if not, the shortest reason why not.

Superposition (Harris 1979) says that within one sample no layer is older than the layer beneath it; several neighbours may share
one generation. So every sample gives steps 'not later than' from each layer to every layer above it. A *tie* is two such steps,
there and back; a *hold* ties a layer to a generation; held generations follow one another in their given order, strictly.

Whatever lies on a closed walk of such steps must be ONE generation. That is impossible in just two cases, and in no other:

- two of these layers are barred from each other;
- two different generations are among them.

(If neither happens, each strongly connected component can be given a generation of its own in any order that respects the steps,
and every ruling holds: so the test is complete, not only sufficient.)

References
----------
E. C. Harris, 'The laws of archaeological stratigraphy', *World Archaeology* 11 (1979) 111-117.
R. E. Tarjan, 'Depth-first search and linear graph algorithms', *SIAM Journal on Computing* 1 (1972) 146-160.
"""

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from analysis.core.vocabulary import RULING_KINDS


class RulingError(ValueError):
    """The rulings or samples cannot be read; the message is a sentence for the person who gave them."""


@dataclass(frozen=True, slots=True)
class Ruling:
    """What a person ruled about layers.

    Parameters
    ----------
    key : str
        Identity of the ruling, unique among those given.
    kind : {'tie', 'bar', 'hold'}
    first : str
        Key of a layer.
    second : str
        Key of the other layer of a tie or bar; empty for a hold.
    generation : str
        Key of the generation of a hold; empty otherwise.
    label : str
        What a person calls the ruling; empty means that its key is used.
    """

    key: str
    kind: str
    first: str
    second: str = ""
    generation: str = ""
    label: str = ""


@dataclass(frozen=True, slots=True)
class Contradiction:
    """The shortest reason found why the rulings cannot all be true.

    Parameters
    ----------
    chain : tuple of str
        The records that together are impossible, in reading order, none of which can be left out. A ruling stands as its key, a
        step of order as ``'lower < upper'`` with the keys of two layers of one sample (or of two generations of the given order).
    sentence : str
        The same for a person, with layers and rulings by name.
    rulings : tuple of str
        Keys of the rulings in the chain, in reading order.
    layers : tuple of str
        Keys of the layers that the chain would force into one generation, in reading order.
    """

    chain: tuple[str, ...]
    sentence: str
    rulings: tuple[str, ...]
    layers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Step:
    """One step 'source is not later than target', and the record that says so."""

    source: int
    target: int
    ruling: Ruling | None


@dataclass(slots=True)
class _Graph:
    """Layers first, then generations, each in the order of their keys, so that the order of the input leaves no mark."""

    keys: list[str]
    layer_count: int
    columns: list[list[int]]
    place: dict[int, tuple[int, int]] = field(default_factory=dict)
    equal: dict[int, list[tuple[int, Ruling]]] = field(default_factory=lambda: defaultdict(list))
    bars: list[tuple[int, int, Ruling]] = field(default_factory=list)


def find_contradiction(
    samples: Sequence[Sequence[str]],
    rulings: Sequence[Ruling],
    generation_order: Sequence[str] = (),
    names: Mapping[str, str] | None = None,
) -> Contradiction | None:
    """Say whether samples and rulings can all hold; if not, give a shortest chain of records that cannot.

    Parameters
    ----------
    samples : sequence of sequences of str
        For each sample its layers' keys, from the substrate up. A layer belongs to one sample.
    rulings : sequence of Ruling
        In any order; `first` and `second` of a tie or bar may be exchanged.
    generation_order : sequence of str
        Keys of generations, oldest first, each strictly before the next. Generations not named here may be held too:
        they differ from every other, and their place is open.
    names : mapping of str to str, optional
        Key of a layer or generation to what a person calls it; a key that is missing is shown as it is.

    Returns
    -------
    Contradiction or None
        None when every record can be true at once. Otherwise one chain: among all barred pairs and pairs of different
        generations that are forced together, that with the fewest distinct records, found from the shortest way there and the
        shortest way back (the way between two layers of one sample is one step, however far apart they lie), and reduced until
        no record can be left out. Ties are broken by key.

    Raises
    ------
    RulingError
        When a layer stands twice in the samples, a ruling has an unknown kind, names an unknown layer, names one layer twice, lacks
        its second layer or its generation, when two rulings share a key, or when a generation stands twice in the order.

    Notes
    -----
    Cost: linear in layers and rulings when nothing contradicts; otherwise one breadth-first search per end of a barred pair
    inside the components at fault.
    """
    graph = _build(samples, rulings, generation_order)
    clash = _shortest_clash(graph)
    if clash is None:
        return None
    return _told(graph, _irreducible(graph, clash), names or {})


def forced_together(
    samples: Sequence[Sequence[str]], rulings: Sequence[Ruling], generation_order: Sequence[str] = ()
) -> tuple[tuple[str, ...], ...]:
    """Give the groups of two or more layers that rulings and order force into one generation.

    Parameters
    ----------
    samples, rulings, generation_order
        As for `find_contradiction`.

    Returns
    -------
    tuple of tuple of str
        Groups of layer keys, each sorted, and sorted among themselves. Layers that may differ are in no common group.

    Raises
    ------
    RulingError
        As for `find_contradiction`.
    """
    graph = _build(samples, rulings, generation_order)
    groups: dict[int, list[str]] = defaultdict(list)
    component = _components(graph)
    for node in range(graph.layer_count):
        groups[component[node]].append(graph.keys[node])
    return tuple(sorted(tuple(group) for group in groups.values() if len(group) > 1))


# --- reading the input ------------------------------------------------------------------------------------------------------


def _build(samples: Sequence[Sequence[str]], rulings: Sequence[Ruling], generation_order: Sequence[str]) -> _Graph:
    layers = [layer for sample in samples for layer in sample]
    _refuse_repeats(layers, "The layer {} stands twice in the samples; each layer belongs to one place in one sample.")
    _refuse_repeats(generation_order, "The generation {} stands twice in the order of generations.")
    _refuse_repeats([ruling.key for ruling in rulings], "Two rulings share the key {}; each ruling needs a key of its own.")
    node_of = {key: index for index, key in enumerate(sorted(layers))}
    for ruling in rulings:
        _check(ruling, node_of)
    held = {ruling.generation for ruling in rulings if ruling.kind == "hold"}
    generations = sorted(held | set(generation_order))
    generation_of = {key: len(node_of) + index for index, key in enumerate(generations)}
    columns = [[node_of[layer] for layer in sample] for sample in samples]
    columns.append([generation_of[key] for key in generation_order])
    graph = _Graph(sorted(layers) + generations, len(node_of), sorted(column for column in columns if column))
    for number, column in enumerate(graph.columns):
        for position, node in enumerate(column):
            graph.place[node] = (number, position)
    for ruling in sorted(rulings, key=lambda one: one.key):
        first = node_of[ruling.first]
        second = generation_of[ruling.generation] if ruling.kind == "hold" else node_of[ruling.second]
        if ruling.kind == "bar":
            graph.bars.append((min(first, second), max(first, second), ruling))
        else:
            graph.equal[first].append((second, ruling))
            graph.equal[second].append((first, ruling))
    for node, others in graph.equal.items():
        graph.equal[node] = sorted(others, key=lambda other: (other[0], other[1].key))
    return graph


def _refuse_repeats(keys: Iterable[str], sentence: str) -> None:
    seen: set[str] = set()
    for key in keys:
        if key in seen:
            raise RulingError(sentence.format(key))
        seen.add(key)


def _check(ruling: Ruling, layers: Mapping[str, int]) -> None:
    name = _ruling_name(ruling)
    if ruling.kind not in RULING_KINDS:
        raise RulingError(f"{name} is of the unknown kind '{ruling.kind}'; a ruling is a tie, a bar or a hold.")
    named = (ruling.first,) if ruling.kind == "hold" else (ruling.first, ruling.second)
    for layer in named:
        if layer not in layers:
            raise RulingError(f"{name} names the layer '{layer}', which stands in none of the samples.")
    if ruling.kind == "hold" and not ruling.generation:
        raise RulingError(f"{name} holds a layer to a generation, but names none.")
    if ruling.kind != "hold" and ruling.first == ruling.second:
        raise RulingError(f"{name} names the layer '{ruling.first}' twice; a {ruling.kind} is between two layers.")


def _ruling_name(ruling: Ruling) -> str:
    return f"{ruling.kind} {ruling.label or ruling.key}"


# --- what must be one generation --------------------------------------------------------------------------------------------


def _next_nodes(graph: _Graph, node: int) -> list[int]:
    after = [other for other, _ in graph.equal.get(node, ())]
    if node in graph.place:
        column, position = graph.place[node]
        after.extend(graph.columns[column][position + 1 : position + 2])
    return after


def _components(graph: _Graph) -> list[int]:
    """Number each node's strongly connected component (Tarjan 1972, without recursion: samples may be long)."""
    count = len(graph.keys)
    order, low, component = [-1] * count, [0] * count, [-1] * count
    open_nodes: list[int] = []
    visited = components = 0
    for root in range(count):
        if order[root] >= 0:
            continue
        walk: list[tuple[int, Iterator[int]]] = []
        entering: int | None = root
        while True:
            if entering is not None:
                order[entering] = low[entering] = visited
                visited += 1
                open_nodes.append(entering)
                walk.append((entering, iter(_next_nodes(graph, entering))))
                entering = None
            node, following = walk[-1]
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
            if not walk:
                break
            low[walk[-1][0]] = min(low[walk[-1][0]], low[node])
    return component


@dataclass(frozen=True, slots=True)
class _Clash:
    """A barred pair (or, without a bar, two generations) and the steps that force it into one generation."""

    bar: Ruling | None
    first: int
    second: int
    steps: tuple[_Step, ...]

    @property
    def records(self) -> int:
        return len({_identity(step) for step in self.steps}) + (self.bar is not None)


def _identity(step: _Step) -> tuple[str, int, int]:
    return (step.ruling.key, -1, -1) if step.ruling else ("", step.source, step.target)


def _forced_pairs(graph: _Graph) -> list[tuple[int, int, Ruling | None]]:
    component = _components(graph)
    pairs: list[tuple[int, int, Ruling | None]] = [bar for bar in graph.bars if component[bar[0]] == component[bar[1]]]
    together: dict[int, list[int]] = defaultdict(list)
    for node in range(graph.layer_count, len(graph.keys)):
        together[component[node]].append(node)
    for group in together.values():
        pairs.extend((first, second, None) for at, first in enumerate(group) for second in group[at + 1 :])
    return sorted(pairs, key=lambda pair: (pair[0], pair[1], pair[2].key if pair[2] else ""))


def _shortest_clash(graph: _Graph) -> _Clash | None:
    pairs = _forced_pairs(graph)
    targets: dict[int, set[int]] = defaultdict(set)
    for first, second, _ in pairs:
        targets[first].add(second)
        targets[second].add(first)
    ways: dict[tuple[int, int], tuple[_Step, ...]] = {}
    equal_ways: dict[tuple[int, int], tuple[_Step, ...]] = {}
    for node in sorted(targets):
        ways.update(_ways(graph, node, targets[node], with_order=True))
        equal_ways.update(_ways(graph, node, targets[node], with_order=False))
    best: _Clash | None = None
    for first, second, bar in pairs:
        choices = [ways[first, second] + ways[second, first]]
        if (first, second) in equal_ways:
            choices.insert(0, equal_ways[first, second])
        for steps in choices:
            clash = _Clash(bar, first, second, steps)
            if best is None or clash.records < best.records:
                best = clash
    return best


def _ways(graph: _Graph, start: int, targets: set[int], *, with_order: bool) -> dict[tuple[int, int], tuple[_Step, ...]]:
    """Find shortest ways from one node to each target, breadth first.

    Layers above the start of a step are reached in one step; the lowest position already reached in a column is kept, so that each
    layer is reached once and the search is linear.
    """
    came_by: dict[int, _Step | None] = {start: None}
    reached_from: dict[int, int] = {}
    queue = deque([start])
    missing = set(targets)
    while queue and missing:
        node = queue.popleft()
        for step in _steps_from(graph, node, reached_from, with_order):
            if step.target not in came_by:
                came_by[step.target] = step
                missing.discard(step.target)
                queue.append(step.target)
    return {(start, target): _way_back(came_by, target) for target in targets if target in came_by}


def _steps_from(graph: _Graph, node: int, reached_from: dict[int, int], with_order: bool) -> Iterator[_Step]:
    for other, ruling in graph.equal.get(node, ()):
        yield _Step(node, other, ruling)
    if with_order and node in graph.place:
        column, position = graph.place[node]
        nodes = graph.columns[column]
        stop = reached_from.get(column, len(nodes))
        reached_from[column] = min(stop, position + 1)
        for other in nodes[position + 1 : stop]:
            yield _Step(node, other, None)


def _way_back(came_by: Mapping[int, _Step | None], target: int) -> tuple[_Step, ...]:
    steps: list[_Step] = []
    step = came_by[target]
    while step is not None:
        steps.append(step)
        step = came_by[step.source]
    return tuple(reversed(steps))


def _irreducible(graph: _Graph, clash: _Clash) -> _Clash:
    """Drop every record without which the pair is still forced together: two shortest ways may share a detour."""
    allowed = list({_identity(step): step for step in clash.steps}.values())
    for step in list(allowed):
        fewer = [one for one in allowed if one is not step]
        if _way_within(fewer, clash.first, clash.second) and _way_within(fewer, clash.second, clash.first):
            allowed = fewer
    there = _way_within(allowed, clash.first, clash.second) or ()
    if all(step.ruling for step in there):
        return _Clash(clash.bar, clash.first, clash.second, there)
    back = _way_within(allowed, clash.second, clash.first) or ()
    return _Clash(clash.bar, clash.first, clash.second, there + back)


def _way_within(allowed: Sequence[_Step], start: int, target: int) -> tuple[_Step, ...] | None:
    outgoing: dict[int, list[_Step]] = defaultdict(list)
    for step in allowed:
        outgoing[step.source].append(step)
        if step.ruling:
            outgoing[step.target].append(_Step(step.target, step.source, step.ruling))
    came_by: dict[int, _Step | None] = {start: None}
    queue = deque([start])
    while queue:
        for step in outgoing[queue.popleft()]:
            if step.target not in came_by:
                came_by[step.target] = step
                queue.append(step.target)
    return _way_back(came_by, target) if target in came_by else None


# --- saying it --------------------------------------------------------------------------------------------------------------


def _told(graph: _Graph, clash: _Clash, names: Mapping[str, str]) -> Contradiction:
    chain: list[str] = []
    said: list[str] = []
    rulings: list[str] = []
    layers: list[str] = []
    for step in clash.steps:
        layers.extend(graph.keys[node] for node in (step.source, step.target) if node < graph.layer_count)
        record = step.ruling.key if step.ruling else f"{graph.keys[step.source]} < {graph.keys[step.target]}"
        if record in chain:
            continue
        chain.append(record)
        said.append(_step_told(graph, step, names))
        if step.ruling:
            rulings.append(step.ruling.key)
    if clash.bar:
        chain.append(clash.bar.key)
        rulings.append(clash.bar.key)
    first, second = (_name(graph, node, names) for node in (clash.first, clash.second))
    sentence = f"These cannot all be true: {'; '.join(said)}. So {first} and {second} would be one {_ending(clash)}."
    return Contradiction(tuple(chain), sentence, tuple(rulings), tuple(dict.fromkeys(layers)))


def _ending(clash: _Clash) -> str:
    if clash.bar:
        return f"campaign, but {_ruling_name(clash.bar)} says that they are not"
    return "generation, but they are two"


def _step_told(graph: _Graph, step: _Step, names: Mapping[str, str]) -> str:
    source, target = _name(graph, step.source, names), _name(graph, step.target, names)
    if step.ruling is None:
        return f"{source} lies below {target}" if step.source < graph.layer_count else f"{source} is older than {target}"
    if step.ruling.kind == "hold":
        layer, generation = (source, target) if step.source < graph.layer_count else (target, source)
        return f"{_ruling_name(step.ruling)} holds {layer} to {generation}"
    return f"{_ruling_name(step.ruling)} makes {source} and {target} one campaign"


def _name(graph: _Graph, node: int, names: Mapping[str, str]) -> str:
    key = graph.keys[node]
    name = names.get(key, key)
    return name if node < graph.layer_count or name.lower().startswith("generation") else f"generation {name}"

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
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from analysis.core.ruling_chains import Clash, Graph, Step, smallest_clash
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
class _Input:
    """The graph, with the keys and rulings that its numbers and records stand for."""

    keys: list[str]
    rulings: dict[str, Ruling]
    graph: Graph


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
        None when every record can be true at once. Otherwise the smallest set of records that cannot, over all barred pairs and
        pairs of different generations that are forced together (a step of order between two layers of one sample is one record,
        however far apart they lie). No record in it can be left out. Ties are broken by key.

    Raises
    ------
    RulingError
        When a layer stands twice in the samples, a ruling has an unknown kind, names an unknown layer, names one layer twice, lacks
        its second layer or its generation, when two rulings share a key, or when a generation stands twice in the order.

    Notes
    -----
    Cost: linear in layers and rulings when nothing contradicts; otherwise two breadth-first searches per pair at fault, and an exact
    search limited by the size of the best chain so far. In a tangle of thousands of layers forced together these stop at fixed limits
    (`analysis.core.ruling_chains`), and the smallest set found by then stands, from which again no record can be left out.
    """
    given = _read(samples, rulings, generation_order)
    clash = smallest_clash(given.graph)
    return None if clash is None else _told(given, clash, names or {})


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
    given = _read(samples, rulings, generation_order)
    groups: dict[int, list[str]] = defaultdict(list)
    component = given.graph.components()
    for node in range(given.graph.first_generation):
        groups[component[node]].append(given.keys[node])
    return tuple(sorted(tuple(group) for group in groups.values() if len(group) > 1))


# --- reading the input ------------------------------------------------------------------------------------------------------


def _read(samples: Sequence[Sequence[str]], rulings: Sequence[Ruling], generation_order: Sequence[str]) -> _Input:
    layers = sorted(layer for sample in samples for layer in sample)
    _refuse_repeats(layers, "The layer {} stands twice in the samples; each layer belongs to one place in one sample.")
    _refuse_repeats(generation_order, "The generation {} stands twice in the order of generations.")
    _refuse_repeats([ruling.key for ruling in rulings], "Two rulings share the key {}; each ruling needs a key of its own.")
    layer_node = {key: node for node, key in enumerate(layers)}
    for ruling in rulings:
        _check(ruling, layer_node)
    held = {ruling.generation for ruling in rulings if ruling.kind == "hold"}
    generations = sorted(held.union(generation_order))
    generation_node = {key: node for node, key in enumerate(generations, start=len(layers))}
    columns = [[layer_node[layer] for layer in sample] for sample in samples if sample]
    if generation_order:
        columns.append([generation_node[key] for key in generation_order])
    equal: dict[int, list[tuple[int, str]]] = defaultdict(list)
    bars: list[tuple[int, int, str]] = []
    for ruling in rulings:
        one = layer_node[ruling.first]
        other = generation_node[ruling.generation] if ruling.kind == "hold" else layer_node[ruling.second]
        if ruling.kind == "bar":
            bars.append((min(one, other), max(one, other), ruling.key))
        else:
            equal[one].append((other, ruling.key))
            equal[other].append((one, ruling.key))
    ends = {node: sorted(others) for node, others in equal.items()}
    graph = Graph(len(layers) + len(generations), len(layers), sorted(columns), ends, sorted(bars))
    return _Input(layers + generations, {ruling.key: ruling for ruling in rulings}, graph)


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


# --- saying it ----------------------------------------------------------------------------------------------------------------


def _told(given: _Input, clash: Clash, names: Mapping[str, str]) -> Contradiction:
    steps = {step.identity: step for step in reversed(clash.steps)}
    ordered = [step for step in dict.fromkeys(clash.steps) if steps[step.identity] is step]
    chain = [step.record or f"{given.keys[step.source]} < {given.keys[step.target]}" for step in ordered]
    rulings = [step.record for step in ordered if step.record]
    if clash.bar:
        chain.append(clash.bar)
        rulings.append(clash.bar)
    nodes = dict.fromkeys(node for step in clash.steps for node in (step.source, step.target))
    layers = tuple(given.keys[node] for node in nodes if node < given.graph.first_generation)
    said = "; ".join(_step_told(given, step, names) for step in ordered)
    first, second = (_name(given, node, names) for node in (clash.first, clash.second))
    end = "generation, but they are two"
    if clash.bar:
        end = f"campaign, but {_ruling_name(given.rulings[clash.bar])} says that they are not"
    sentence = f"These cannot all be true: {said}. So {first} and {second} would be one {end}."
    return Contradiction(tuple(chain), sentence, tuple(rulings), layers)


def _step_told(given: _Input, step: Step, names: Mapping[str, str]) -> str:
    source, target = _name(given, step.source, names), _name(given, step.target, names)
    if not step.record:
        return f"{source} {'lies below' if step.source < given.graph.first_generation else 'is older than'} {target}"
    ruling = given.rulings[step.record]
    if ruling.kind == "hold":
        layer, generation = (source, target) if step.source < given.graph.first_generation else (target, source)
        return f"{_ruling_name(ruling)} holds {layer} to {generation}"
    return f"{_ruling_name(ruling)} makes {source} and {target} one campaign"


def _name(given: _Input, node: int, names: Mapping[str, str]) -> str:
    key = given.keys[node]
    name = names.get(key, key)
    return name if node < given.graph.first_generation or name.lower().startswith("generation") else f"generation {name}"

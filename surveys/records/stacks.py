"""The order of layers in a sample: positions are 1..n without holes, whatever is put in, taken out or moved."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from surveys import rules
from surveys.errors import Fault, Invalid
from surveys.models import Layer, Person, Sample
from surveys.records.writing import Pen

OUT_OF_THE_WAY = 1_000_000


class Stack:
    """The layers of one sample during one act: edited in memory, then written with positions 1..n."""

    def __init__(self, pen: Pen, sample: Sample, layers: Iterable[Layer]) -> None:
        self.pen = pen
        self.sample = sample
        self.layers = list(layers)
        self.new: set[Any] = set()

    def put(self, layer: Layer, position: int | None) -> None:
        """Put a new layer in at a position; those from there on move up. None is on top."""
        place = len(self.layers) if position is None else position - 1
        if place > len(self.layers):
            missing = len(self.layers) + 1
            raise Invalid(
                f"{self.sample} has {len(self.layers)} layers, so a new one cannot be layer {position}: layer {missing} is missing.",
                faults=(Fault("position", "hole", f"The next free position is {missing}."),),
            )
        self.layers.insert(place, layer)
        self.new.add(layer.pk)

    def move(self, layer: Layer, position: int) -> Layer:
        """Move a layer to another position."""
        mine = next(one for one in self.layers if one.pk == layer.pk)
        if position > len(self.layers):
            raise Invalid(
                f"{self.sample} has {len(self.layers)} layers, so none can be layer {position}.",
                faults=(Fault("position", "hole", f"The highest position is {len(self.layers)}."),),
            )
        self.layers.remove(mine)
        self.layers.insert(position - 1, mine)
        return mine

    def take(self, layer: Layer) -> None:
        """Take a layer out (it is removed by the caller)."""
        self.layers = [one for one in self.layers if one.pk != layer.pk]


def stacks_of(pen: Pen, samples: Sequence[Sample]) -> dict[Any, Stack]:
    """The stacks of several samples, loaded with two queries."""
    found: dict[Any, list[Layer]] = {sample.pk: [] for sample in samples}
    for start in range(0, len(samples), 500):
        part = Layer.objects.filter(sample__in=samples[start : start + 500]).select_related("sample", "generation")
        for layer in part.order_by("sample_id", "position"):
            found[layer.sample_id].append(layer)
    return {sample.pk: Stack(pen, sample, found[sample.pk]) for sample in samples}


def settle(pen: Pen, stacks: Iterable[Stack], *, action: str = "created", makers: Mapping[Any, Person] | None = None) -> None:
    """Give every layer its position and insert the new ones."""
    stacks = list(stacks)
    created: list[Layer] = []
    moved: list[tuple[Layer, dict[str, int]]] = []
    for stack in stacks:
        for position, layer in enumerate(stack.layers, start=1):
            if layer.pk in stack.new:
                layer.position = position
                created.append(layer)
            elif layer.position != position:
                moved.append((layer, {"position": position}))
        stack.new.clear()
    pen.shift(Layer, [layer.pk for layer, _ in moved], "position", OUT_OF_THE_WAY)
    pen.change_many(moved)
    pen.create(created, action=action, makers=makers)


def check_order(layers: Sequence[Layer]) -> None:
    """Refuse layers (bottom to top) whose generations fall as positions rise."""
    fault = rules.order_fault(layers)
    if fault:
        raise Invalid(fault.detail, code=fault.code, faults=(fault,))

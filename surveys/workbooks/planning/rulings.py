"""The sheet Rulings, and whether all rulings and placements of the would-be record can be true."""

from collections import defaultdict
from typing import Any

from analysis.core.rulings import Ruling as PlainRuling
from analysis.core.rulings import find_contradiction
from surveys.models import Layer, Ruling, Space
from surveys.workbooks import cells
from surveys.workbooks.planning.draft import PART, Draft
from surveys.workbooks.reading import Row, Rows

TITLE, TITLE_LAYERS = "Rulings", "Layers"
MOST_CONTRADICTIONS = 20


def plan(draft: Draft) -> None:
    """Plan the sheet Rulings, then check every space that the file places or rules on."""
    rows = draft.book.sheets.get(TITLE)
    if not draft.plan.holds and (rows is None or not rows.rows):
        return
    desk = _Desk(draft)
    for sheet, row in draft.rows_of(TITLE):
        desk.row(sheet, row)
    desk.settle_holds()
    desk.check_order()
    desk.check_contradictions()


class _Desk:
    """Rulings as they stand and as the file adds them."""

    def __init__(self, draft: Draft) -> None:
        self.draft = draft
        self.standing = draft.standing_rulings()
        self.by_pair: dict[frozenset[Any], Ruling] = {}
        self.holds: dict[Any, Ruling] = {}
        for ruling in self.standing:
            self._remember(ruling)
        self.placed = {hold.first_layer_id: hold for hold in draft.plan.holds}
        self.seen: dict[Any, int] = {}
        self.new: list[Ruling] = []
        # Where the file says a new ruling: (sheet, row, column).
        self.origin: dict[Any, tuple[str, int, str]] = {}

    def _remember(self, ruling: Ruling) -> None:
        if ruling.kind == "hold":
            self.holds[ruling.first_layer_id] = ruling
        else:
            self.by_pair[frozenset({ruling.first_layer_id, ruling.second_layer_id})] = ruling

    # -- rows ---------------------------------------------------------------------------------------------------------------
    def row(self, sheet: Rows, row: Row) -> None:
        """Plan one row."""
        draft = self.draft
        meanings, broken = draft.meanings(sheet, row)
        kept, bad = draft.clean(sheet, row, {name: meanings[name] for name in ("kind", "reason") if name in meanings})
        first = self._layer(row, "First layer", meanings.get("first_layer"))
        second = self._layer(row, "Second layer", meanings.get("second_layer"))
        for column in sheet.sheet.columns:
            if column.required and column.header not in row.cells:
                draft.fault(TITLE, row.number, column.header, "required", f"{column.header} is needed.")
                broken = True
        unfound = first is None or (second is None and meanings.get("second_layer") not in (None, cells.CLEAR))
        if broken or bad or unfound:
            return
        assert first is not None
        generation = meanings.get("generation")
        if kept["kind"] == "hold":
            self._hold(sheet, row, first, second, None if generation is cells.CLEAR else generation, kept.get("reason", ""))
        else:
            self._pair(sheet, row, kept, first, second, generation)

    def _layer(self, row: Row, column: str, meaning: Any) -> Layer | None:
        if meaning is None or meaning is cells.CLEAR:
            return None
        number, position = meaning
        sample = self.draft.find(TITLE, row.number, column, "sample", self.draft.samples, number)
        if sample is None or not sample.element_id or not sample.element.space_id:
            return None  # what it hangs on is at fault already
        layer = self.draft.layers.get(sample.pk, {}).get(position)
        if layer is None:
            detail = f"There is no layer {number}/{position} in the project or in this file."
            self.draft.fault(TITLE, row.number, column, "not-found", detail, f"{number}/{position}")
        return layer

    def _twice(self, row: Row, key: Any) -> bool:
        if key in self.seen:
            detail = f"This is ruled on in row {self.seen[key]} already. Keep one of the two rows."
            self.draft.fault(TITLE, row.number, "First layer", "twice", detail)
            return True
        self.seen[key] = row.number
        return False

    def _pair(self, sheet: Rows, row: Row, kept: dict[str, Any], first: Layer, second: Layer | None, generation: Any) -> None:
        """A tie or a bar."""
        draft, kind = self.draft, kept["kind"]
        if second is None:
            draft.fault(TITLE, row.number, "Second layer", "required", f"A {kind} names two layers.")
            return
        if generation is not None and generation is not cells.CLEAR:
            draft.fault(TITLE, row.number, "Generation", "not-needed", f"A {kind} names two layers and no generation.")
            return
        if first is second:
            draft.fault(TITLE, row.number, "Second layer", "same-layer", "A ruling is between two different layers.")
            return
        if _space(first) != _space(second):
            detail = "The two layers are in different spaces; generations are numbered space by space. Use a phase to join spaces."
            draft.fault(TITLE, row.number, "Second layer", "other-space", detail)
            return
        key = frozenset({first.pk, second.pk})
        if self._twice(row, key):
            return
        known = self.by_pair.get(key)
        if known is not None and known.kind != kind:
            detail = f"There is a ruling on this already: {known}. Change or withdraw that one in the program first."
            draft.fault(TITLE, row.number, "Ruling", "contradiction", detail, kind)
            return
        if known is not None:
            draft.alter(sheet, row, known, {"reason": kept["reason"]} if "reason" in kept else {}, broken=False)
            return
        ruling = draft.create(sheet, row, {"first_layer": first, "second_layer": second, **kept}, broken=False)
        self.new.append(ruling)
        self.origin[ruling.pk] = (TITLE, row.number, "First layer")

    def _hold(self, sheet: Rows, row: Row, layer: Layer, second: Layer | None, meaning: Any, reason: str) -> None:
        """A hold: of a layer without a generation it is a placement, as under 'Generation' on the sheet Layers."""
        draft = self.draft
        if second is not None:
            draft.fault(TITLE, row.number, "Second layer", "not-needed", "A hold is of one layer; leave the second blank.")
            return
        if meaning is None:
            detail = "A hold names the generation in which it holds the layer."
            draft.fault(TITLE, row.number, "Generation", "required", detail)
            return
        if self._twice(row, layer.pk):
            return
        space = _space(layer)
        if meaning[0] and meaning[0] != space.number:
            detail = f"Layer {layer} is in space {space}, so it belongs to no generation of space {meaning[0]}."
            draft.fault(TITLE, row.number, "Generation", "other-space", detail)
            return
        known, listed = self.holds.get(layer.pk), self.placed.get(layer.pk)
        other = known or listed
        if other is not None and other.generation is not None and other.generation.ordinal != meaning[1]:
            where = "the record" if known else "the sheet Layers"
            detail = f"By {where}, {layer} is held in generation {other.generation}. Settle which is right, and withdraw the other."
            draft.fault(TITLE, row.number, "Generation", "contradiction", detail, meaning[1])
            return
        if known is not None:
            draft.alter(sheet, row, known, {"reason": reason} if reason else {}, broken=False)
            return
        if listed is not None:
            listed.reason = reason or listed.reason
            self._new_hold(sheet, row, listed)
            return
        generation = draft.generation(TITLE, row.number, "Generation", space, meaning[1], make=True)
        if generation is not None:
            self._new_hold(sheet, row, Ruling(project=draft.project, kind="hold", first_layer=layer, generation=generation, reason=reason))

    def _new_hold(self, sheet: Rows, row: Row, hold: Ruling) -> None:
        self.draft.plan.sheets[sheet.sheet.title].created.append((hold, row.number))
        self.placed[hold.first_layer_id] = hold
        self.origin[hold.pk] = (TITLE, row.number, "Generation")
        self.new.append(hold)

    # -- checks ---------------------------------------------------------------------------------------------------------------
    def settle_holds(self) -> None:
        """Placements of the sheet Layers: those that the record or the sheet Rulings holds already need no hold of their own."""
        draft = self.draft
        fresh, told = [], {ruling.pk for ruling in self.new}
        for hold in draft.plan.holds:
            known = self.holds.get(hold.first_layer_id)
            layer = hold.first_layer
            row = draft.layer_rows[layer.sample_id, layer.position]
            if hold.pk in told:
                continue
            if known is None:
                fresh.append(hold)
                self.new.append(hold)
                self.origin[hold.pk] = (TITLE_LAYERS, row, "Generation")
            elif known.generation_id != hold.generation_id:
                detail = f"A ruling of the record holds {layer} in generation {known.generation}. Change or withdraw that one first."
                draft.fault(TITLE_LAYERS, row, "Generation", "contradiction", detail, hold.generation.ordinal if hold.generation else "")
        draft.plan.holds = fresh

    def check_order(self) -> None:
        """Within a sample generations never fall as positions rise."""
        wanted = {hold.first_layer_id: hold for hold in self.new if hold.kind == "hold"}
        touched = {hold.first_layer.sample_id for hold in wanted.values()}
        for sample_id in touched:
            below: tuple[int, Layer] | None = None
            for _, layer in sorted(self.draft.layers[sample_id].items()):
                hold = wanted.get(layer.pk)
                generation = layer.generation or (hold.generation if hold else None)
                if generation is None:
                    continue
                if below is not None and generation.ordinal < below[0]:
                    at = wanted.get(layer.pk) or wanted.get(below[1].pk)
                    title, row, column = self.origin[at.pk] if at else (TITLE_LAYERS, 0, "Generation")
                    detail = (
                        f"Layer {layer} lies above {below[1]}, so it cannot belong to generation {generation.ordinal} "
                        f"while {below[1]} belongs to generation {below[0]}."
                    )
                    self.draft.fault(title, row, column, "against-the-order", detail, generation.ordinal)
                below = (generation.ordinal, layer)

    def check_contradictions(self) -> None:
        """Rulings never contradict each other or the order of layers."""
        by_space: dict[Any, list[Ruling]] = defaultdict(list)
        for ruling in self.new:
            by_space[_space(ruling.first_layer).pk].append(ruling)
        self.draft.plan.ruled_spaces |= set(by_space)
        standing: dict[Any, list[Ruling]] = defaultdict(list)
        for ruling in self.standing:
            standing[ruling.first_layer.sample.element.space_id].append(ruling)
        samples = self._samples(set(by_space))
        for space_id, fresh in by_space.items():
            self._check_space(samples[space_id], standing[space_id], fresh)

    def _samples(self, spaces: set[Any]) -> dict[Any, list[list[str]]]:
        """The layers of each sample of these spaces, bottom to top, as they stand and as the file adds them."""
        draft = self.draft
        wanted = {sample.pk: sample for sample in draft.samples.values() if sample.element_id and sample.element.space_id in spaces}
        piles: dict[Any, dict[int, str]] = {pk: {} for pk in wanted}
        stored = [pk for pk, sample in wanted.items() if not sample._state.adding]
        for start in range(0, len(stored), PART):
            rows = Layer.objects.filter(sample__in=stored[start : start + PART]).values_list("sample_id", "position", "pk")
            for sample_id, position, pk in rows:
                piles[sample_id][position] = str(pk)
        found: dict[Any, list[list[str]]] = defaultdict(list)
        for pk, sample in wanted.items():
            for position, layer in draft.layers.get(pk, {}).items():
                piles[pk][position] = str(layer.pk)
            if piles[pk]:
                found[sample.element.space_id].append([key for _, key in sorted(piles[pk].items())])
        return found

    def _check_space(self, samples: list[list[str]], standing: list[Ruling], fresh: list[Ruling]) -> None:
        rulings = {str(ruling.pk): ruling for ruling in [*standing, *fresh]}
        mine = {str(ruling.pk) for ruling in fresh}
        for _ in range(MOST_CONTRADICTIONS):
            order = sorted({ruling.generation for ruling in rulings.values() if ruling.generation}, key=lambda one: one.ordinal)
            found = find_contradiction(
                samples, [_plain(ruling) for ruling in rulings.values()], [str(one.pk) for one in order], _Names(self.draft, rulings)
            )
            if found is None:
                return
            guilty = [key for key in found.rulings if key in mine]
            if not guilty:
                return
            title, row, column = self.origin[rulings[guilty[-1]].pk]
            self.draft.fault(title, row, column, "contradiction", found.sentence, str(rulings[guilty[-1]]))
            del rulings[guilty[-1]]


class _Names(dict[str, str]):
    """What people call layers, rulings and generations, found only when a contradiction is told."""

    def __init__(self, draft: Draft, rulings: dict[str, Ruling]) -> None:
        super().__init__()
        self._draft = draft
        self._rulings = rulings

    def get(self, key: str, default: Any = None) -> Any:
        """The name of a key."""
        if not self:
            self |= {str(one.pk): f"generation {one}" for one in self._draft.generations.values()}
            for ruling in self._rulings.values():
                for layer in (ruling.first_layer, ruling.second_layer):
                    if layer is not None:
                        self[str(layer.pk)] = str(layer)
            for some in self._draft.layers.values():
                self |= {str(layer.pk): str(layer) for layer in some.values()}
            missing = {sample.pk: sample for sample in self._draft.samples.values()}
            self |= {
                str(pk): f"{missing[sample].number}/{position}"
                for pk, sample, position in Layer.objects.filter(project=self._draft.project).values_list("pk", "sample_id", "position")
                if sample in missing
            }
        return super().get(key, default)


def _space(layer: Layer) -> Space:
    return layer.sample.element.space


def _plain(ruling: Ruling) -> PlainRuling:
    return PlainRuling(
        key=str(ruling.pk),
        kind=ruling.kind,
        first=str(ruling.first_layer_id),
        second=str(ruling.second_layer_id or ""),
        generation=str(ruling.generation_id or ""),
        label=str(ruling),
    )

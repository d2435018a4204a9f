"""The sheet Layers: positions without holes, what a plain list of layers makes by the way, and placements as holds."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from surveys import rules
from surveys.models import Element, Layer, Ruling, Sample, Space
from surveys.workbooks import cells
from surveys.workbooks.planning.draft import Draft
from surveys.workbooks.planning.registers import class_of
from surveys.workbooks.reading import Row, Rows

TITLE = "Layers"


# -- what a plain list makes by the way -------------------------------------------------------------------------------------------


def _extra(row: Row, header: str) -> str:
    value = row.cells.get(header)
    return "" if value is None or isinstance(value, cells.Unreadable) else cells.as_text(value).strip()


def _listed(draft: Draft) -> list[Row]:
    """Rows of a list that says of what elements its samples are."""
    rows = draft.book.sheets.get(TITLE)
    return rows.rows if rows and "Element" in rows.headers else []


def imply_elements(draft: Draft) -> None:
    """Make the spaces and elements that a plain list of layers names and nothing else does."""
    said: dict[str, tuple[str, str]] = {}
    for row in _listed(draft):
        code, space, word = _extra(row, "Element"), _extra(row, "Space"), _extra(row, "Class")
        if not code or (said.get(code) == (space, word)):
            continue
        before = said.get(code)
        said[code] = (space or (before[0] if before else ""), word or (before[1] if before else ""))
        known = draft.elements.get(code)
        if known is not None:
            _check_space(draft, row, known, space)
            continue
        if not space and not word and _said_later(draft, row, code):
            continue
        _imply_element(draft, row, code, space, word)


def _said_later(draft: Draft, row: Row, code: str) -> bool:
    """Whether a later row says in which space an element is: lists often say it once."""
    return any(later.number > row.number and _extra(later, "Element") == code and _extra(later, "Space") for later in _listed(draft))


def _check_space(draft: Draft, row: Row, element: Element, space: str) -> None:
    if space and element.space_id and element.space.number != space:
        detail = f"Element {element} is in space {element.space}, but this row says {space}."
        draft.fault(TITLE, row.number, "Space", "other-space", detail, space)


def _imply_element(draft: Draft, row: Row, code: str, number: str, word: str) -> None:
    if not number or not word:
        missing = "Space" if not number else "Class"
        detail = f"There is no element {code} in the project or in this file; to make it, this row needs its {missing.lower()}."
        draft.fault(TITLE, row.number, missing, "required", detail, code)
    space = draft.spaces.get(number)
    if space is None and number:
        space = Space(project=draft.project, number=_name(draft, row, Space, "number", "Space", number), sort_key=rules.natural_key(number))
        draft.spaces[number] = space
        draft.imply("Spaces", space)
    kept = class_of(draft, TITLE, row.number, word) if word else ""
    element = Element(project=draft.project, code=_name(draft, row, Element, "code", "Element", code), space=space, element_class=kept)
    draft.elements[code] = element
    draft.imply("Elements", element)


def _name(draft: Draft, row: Row, model: Any, name: str, header: str, value: str) -> str:
    kept = draft.cleaned(model, name, value)
    if isinstance(kept, rules.Refused):
        draft.fault(TITLE, row.number, header, kept.code, str(kept), value)
        return value
    return str(kept)


def imply_samples(draft: Draft) -> None:
    """Make the samples that a plain list of layers names and nothing else does."""
    told: set[tuple[str, str]] = set()
    for row in _listed(draft):
        number, code = _extra(row, "Sample"), _extra(row, "Element")
        if not number or not code or (number, code) in told:
            continue
        told.add((number, code))
        known = draft.samples.get(number)
        if known is None:
            element = draft.elements[code]
            sample = Sample(project=draft.project, number=_name(draft, row, Sample, "number", "Sample", number), element=element)
            draft.samples[number] = sample
            draft.imply("Samples", sample)
        elif known.element_id and known.element.code != code:
            detail = f"Sample {number} is of element {known.element}, but this row says {code}."
            draft.fault(TITLE, row.number, "Element", "other-element", detail, code)


# -- the layers themselves ----------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Pile:
    """The rows of one sample: each with its position and what it means. `whole` is False if one could not be read."""

    sample: Sample
    rows: list[tuple[Row, int, dict[str, Any], bool]] = field(default_factory=list)
    whole: bool = True
    from_surface: bool = False


def plan(draft: Draft) -> None:
    """Plan the sheet Layers."""
    piles: dict[str, _Pile] = {}
    sheet: Rows | None = None
    for sheet, row in draft.rows_of(TITLE):
        _put(draft, sheet, row, piles)
    if sheet is None:
        return
    for pile in piles.values():
        _turn_round(draft, pile)
        good = _check_positions(draft, pile)
        for row, position, meanings, broken in sorted(pile.rows, key=lambda one: one[1]):
            _layer(draft, sheet, row, pile.sample, position, meanings, broken or not good)


def _put(draft: Draft, sheet: Rows, row: Row, piles: dict[str, _Pile]) -> None:
    """Put a row on its sample's pile."""
    meanings, broken = draft.meanings(sheet, row)
    number = meanings.pop("sample", None)
    for extra in ("space", "element", "element_class"):
        meanings.pop(extra, None)
    if number is None:
        if "Sample" not in row.cells:
            draft.fault(TITLE, row.number, "Sample", "required", "This row does not say of which sample the layer is.")
        return
    sample = draft.samples.get(number)
    if sample is None:
        draft.find(TITLE, row.number, "Sample", "sample", draft.samples, number)
        return
    pile = piles.setdefault(number, _Pile(sample))
    header = "Layer from surface" if "Layer from surface" in sheet.headers else "Layer"
    position = meanings.pop("from_surface" if header != "Layer" else "position", None)
    pile.from_surface = header != "Layer"
    if position is None or not 1 <= position <= 10_000:
        pile.whole = False
        if position is not None or header not in row.cells:
            detail = "Layers are numbered from 1." if position is not None else f"This row has no number under '{header}'."
            draft.fault(TITLE, row.number, header, "required", detail, "" if position is None else position)
        return
    pile.rows.append((row, position, meanings, broken))


def _turn_round(draft: Draft, pile: _Pile) -> None:
    """Numbers counted from the surface become positions from the substrate, if the sample is listed whole."""
    if not pile.from_surface or not pile.rows:
        return
    count, standing = len(pile.rows), len(draft.layers.get(pile.sample.pk, {}))
    top = max(position for _, position, _, _ in pile.rows)
    if standing > top and pile.whole:
        detail = (
            f"Sample {pile.sample} has {standing} layers in the record and {count} here. Counted from the surface, "
            "a sample must be listed whole: list all its layers, or number them from the substrate under 'Layer'."
        )
        draft.fault(TITLE, pile.rows[0][0].number, "Layer from surface", "not-whole", detail)
        pile.whole = False
    pile.rows = [(row, top + 1 - position, meanings, broken) for row, position, meanings, broken in pile.rows]


def _check_positions(draft: Draft, pile: _Pile) -> bool:
    """Each position once, and none left out on top of those that the sample has."""
    header = "Layer from surface" if pile.from_surface else "Layer"
    top = max((position for _, position, _, _ in pile.rows), default=0)
    shown = lambda position: top + 1 - position if pile.from_surface else position  # noqa: E731
    first: dict[int, Row] = {}
    good = pile.whole
    kept = []
    for row, position, meanings, broken in pile.rows:
        if position in first:
            detail = f"Layer {shown(position)} of sample {pile.sample} stands in row {first[position].number} already."
            draft.fault(TITLE, row.number, header, "twice", detail, shown(position))
            good = False
            continue
        first[position] = row
        kept.append((row, position, meanings, broken))
    pile.rows = kept
    if not pile.whole:
        return False
    have = set(first) | set(draft.layers.get(pile.sample.pk, {}))
    missing = next((position for position in range(1, top) if position not in have), None)
    if missing is None:
        return good
    above = min(position for position in first if position > missing)
    detail = f"Layer {shown(above)} of sample {pile.sample} is here, but layer {shown(missing)} is missing. Number them without a gap."
    draft.fault(TITLE, first[above].number, header, "hole", detail, shown(above))
    return False


def _layer(draft: Draft, sheet: Rows, row: Row, sample: Sample, position: int, meanings: Mapping[str, Any], broken: bool) -> None:
    given = dict(meanings)
    generation = given.pop("generation", None)
    values, bad = draft.clean(sheet, row, given)
    standing = draft.layers.setdefault(sample.pk, {})
    layer = standing.get(position)
    draft.layer_rows[sample.pk, position] = row.number
    if layer is not None and not layer._state.adding:
        draft.alter(sheet, row, layer, values, broken or bad)
    else:
        layer = draft.create(sheet, row, {"sample": sample, "position": position, **values}, broken or bad)
        standing[position] = layer
    if generation is not None and sample.element_id and sample.element.space_id:
        _place(draft, row, layer, generation)


def _place(draft: Draft, row: Row, layer: Layer, meaning: Any) -> None:
    """A generation in the file: a hold, unless the record has one for this layer."""
    if meaning is cells.CLEAR:
        if layer.generation_id is not None:
            draft.left_alone.append(f"{layer} ('-' in the file, {layer.generation} in the record)")
        return
    space_number, ordinal = meaning
    space = layer.sample.element.space
    if space_number and space_number != space.number:
        detail = f"Layer {layer} is in space {space}, so it belongs to no generation of space {space_number}."
        draft.fault(TITLE, row.number, "Generation", "other-space", detail, f"{space_number}/{ordinal}")
        return
    if layer.generation is not None:
        if layer.generation.ordinal != ordinal:
            draft.left_alone.append(f"{layer} ({ordinal} in the file, {layer.generation.ordinal} in the record)")
        return
    generation = draft.generation(TITLE, row.number, "Generation", space, ordinal, make=True)
    if generation is not None:
        hold = Ruling(project=draft.project, kind="hold", first_layer=layer, generation=generation, reason=f"Imported {draft.book.name}.")
        draft.plan.holds.append(hold)

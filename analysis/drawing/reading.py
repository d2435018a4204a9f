"""The chart as the interface answers it, read into plain values; what is missing or odd is taken leniently and never dropped."""

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from analysis.drawing.text import clean

_SCREEN_COLOUR: Final = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of one sample. Probabilities 0 to 1 or None; `screen` is ``#rrggbb`` or None where no colour is known."""

    sample: str
    position: int
    kind: str
    completeness: str
    colour: str
    generation: int | None
    confidence: float | None
    runner_up: int | None
    runner_up_confidence: float | None
    munsell: str
    lab: tuple[float, float, float] | None
    screen: str | None
    in_gamut: bool
    uv_colour: str
    uv_strength: str
    held: bool


@dataclass(frozen=True, slots=True)
class Column:
    """One sample."""

    sample: str
    element: str
    element_class: str
    position: str
    base_state: str
    top_state: str


@dataclass(frozen=True, slots=True)
class Row:
    """One generation; `ordinal` None is the row of the layers not yet placed. `part` tells the slices of a row that no page can hold."""

    ordinal: int | None
    label: str = ""
    years: str = ""
    phase: str = ""
    technique: str = ""
    distinctness: float | None = None
    part: str = ""


@dataclass(frozen=True, slots=True)
class Chart:
    """A space's chart: columns as given, rows from the newest (top) to the oldest (foot), layers by column and row, oldest first."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    layers: Mapping[tuple[str, int | None], tuple[Layer, ...]]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]


def read_chart(chart: Mapping[str, Any]) -> Chart:
    """Read the plain dict of the generation chart.

    Parameters
    ----------
    chart : mapping
        As ``GET …/spaces/{id}/chart`` answers it. Unknown keys are passed over. A cell whose generation or sample is not
        listed gets a row or column of its own.

    Returns
    -------
    Chart
    """
    layers = [_layer(cell) for cell in _items(chart, "cells")]
    columns = [_column(sample) for sample in _items(chart, "samples")]
    known = {column.sample for column in columns}
    for layer in layers:
        if layer.sample not in known:
            known.add(layer.sample)
            columns.append(Column(layer.sample, "", "", "", "", ""))
    rows = {row.ordinal: row for row in map(_row, _items(chart, "generations"))}
    for layer in layers:
        rows.setdefault(layer.generation, Row(layer.generation))
    placed = sorted((row for row in rows.values() if row.ordinal is not None), key=lambda row: -(row.ordinal or 0))
    if placed:
        placed[-1] = replace(placed[-1], distinctness=None)  # nothing lies below it to be told apart from
    loose = [row for row in rows.values() if row.ordinal is None]
    stacks: dict[tuple[str, int | None], list[Layer]] = {}
    for layer in sorted(layers, key=lambda one: one.position):
        stacks.setdefault((layer.sample, layer.generation), []).append(layer)
    return Chart(
        title=_title(chart),
        columns=tuple(columns),
        rows=(*loose, *placed),
        layers={place: tuple(stack) for place, stack in stacks.items()},
        cautions=_sentences(chart, "cautions"),
        notes=_sentences(chart, "notes"),
    )


def years(earliest: int | None, latest: int | None) -> str:
    """Year bounds in words: ``1790–1812``, ``after 1824``, ``before 1850``, ``1824``, ``not dated``; negative years are BCE."""
    if earliest is None and latest is None:
        return "not dated"
    if earliest is None:
        return f"before {_year(latest)}"
    if latest is None:
        return f"after {_year(earliest)}"
    if earliest == latest:
        return _year(earliest)
    if earliest > latest:
        return f"after {_year(earliest)} and before {_year(latest)}: these conflict"
    if earliest < 0 < latest:
        return f"{_year(earliest)} – {latest} CE"
    if latest < 0:
        return f"{-earliest}–{_year(latest)}"
    return f"{earliest}–{latest}"


def _year(year: int | None) -> str:
    return f"{-year} BCE" if year is not None and year < 0 else str(year)


def _title(chart: Mapping[str, Any]) -> str:
    project = " ".join(dict.fromkeys(part for part in (clean(chart.get("project")), clean(chart.get("project_name"))) if part))
    space = " ".join(dict.fromkeys(part for part in (clean(chart.get("space")), clean(chart.get("space_name"))) if part))
    return " · ".join(part for part in ("Generation chart", project, f"space {space}" if space else "") if part)


def _row(generation: Mapping[str, Any]) -> Row:
    return Row(
        ordinal=_whole(generation.get("ordinal")),
        label=clean(generation.get("label")),
        years=years(_whole(generation.get("earliest")), _whole(generation.get("latest"))),
        phase=clean(generation.get("phase")),
        technique=clean(generation.get("technique")),
        distinctness=_share(generation.get("distinctness")),
    )


def _column(sample: Mapping[str, Any]) -> Column:
    names = ("sample", "element", "class", "position", "base_state", "top_state")
    return Column(*(clean(sample.get(name)) for name in names))


def _layer(cell: Mapping[str, Any]) -> Layer:
    screen = clean(cell.get("srgb"))
    return Layer(
        sample=clean(cell.get("sample")),
        position=_whole(cell.get("position")) or 0,
        kind=clean(cell.get("kind")),
        completeness=clean(cell.get("completeness")),
        colour=clean(cell.get("colour")),
        generation=_whole(cell.get("generation")),
        confidence=_share(cell.get("confidence")),
        runner_up=_whole(cell.get("runner_up")),
        runner_up_confidence=_share(cell.get("runner_up_confidence")),
        munsell=clean(cell.get("munsell")),
        lab=_lab(cell.get("lab")),
        screen=screen.lower() if _SCREEN_COLOUR.fullmatch(screen) else None,
        in_gamut=cell.get("in_gamut") is not False,
        uv_colour=clean(cell.get("uv_colour")),
        uv_strength=clean(cell.get("uv_strength")),
        held=bool(cell.get("held")),
    )


def _items(chart: Mapping[str, Any], name: str) -> Iterable[Mapping[str, Any]]:
    return [item for item in chart.get(name) or () if isinstance(item, Mapping)]


def _sentences(chart: Mapping[str, Any], name: str) -> tuple[str, ...]:
    return tuple(text for text in map(clean, chart.get(name) or ()) if text)


def _number(value: object) -> float | None:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return None
    return float(value)


def _whole(value: object) -> int | None:
    number = _number(value)
    return None if number is None else round(number)


def _share(value: object) -> float | None:
    number = _number(value)
    return None if number is None else min(max(number, 0.0), 1.0)


def _lab(value: object) -> tuple[float, float, float] | None:
    if not isinstance(value, list | tuple) or len(value) != 3:
        return None
    lightness, a, b = (_number(part) for part in value)
    return None if lightness is None or a is None or b is None else (lightness, a, b)

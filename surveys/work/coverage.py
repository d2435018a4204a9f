"""How far the study of a structure has come, and what is missing that would add most."""

import threading
from collections import OrderedDict
from typing import Any

from analysis.core import coverage
from surveys import selectors
from surveys.models import Project
from surveys.work import dating

# Answers of this process by what tells that a whole record is as it was: a project of 50,000 layers takes seconds to go through.
KEPT: OrderedDict[str, dict[str, Any]] = OrderedDict()
MOST_KEPT = 8
_turn = threading.Lock()


def answer(project: Project) -> dict[str, Any]:
    """Counts by space and element class with the records behind them, what is missing, and whether what was computed still stands."""
    # Told before the record is read: a write meanwhile makes an answer that is newer than its name, and is asked for by another.
    key = f"{project.pk} {selectors.whole_record_digest(project, {})}"
    with _turn:
        if key in KEPT:
            KEPT.move_to_end(key)
            return KEPT[key]
    found = _answer(project)
    with _turn:
        KEPT[key] = found
        while len(KEPT) > MOST_KEPT:
            KEPT.popitem(last=False)
    return found


def _answer(project: Project) -> dict[str, Any]:
    spaces = selectors.spaces_with_state(project)
    dated, conflicts, dating_current = dating.standing(project)
    found = coverage.coverage(
        [coverage.Space(one["number"], one["correlated_at"] is not None, one["current"]) for one in spaces],
        selectors.elements_for_coverage(project),
        selectors.samples_for_coverage(project),
        [
            coverage.Generation(key, space, ordinal, distinctness, key in dated)
            for space, ordinal, distinctness in selectors.distinctness_of_generations(project)
            for key in [f"{space}/{ordinal}"]
        ],
        [coverage.Conflict(one["sentence"], tuple(one["generations"])) for one in conflicts],
    )
    return {
        "spaces": spaces,
        "cells": [_cell(one) for one in found.cells],
        "missing": [_gap(one) for one in found.missing],
        "conflicts": conflicts,
        "dating_current": dating_current,
    }


def _cell(one: coverage.Cell) -> dict[str, Any]:
    stages = dict(one.stages)
    return {
        "space": one.space,
        "element_class": one.element_class,
        "elements": one.elements,
        "planned": list(one.planned),
        **{stage: list(names) for stage, names in stages.items()},
        "layers": one.layers,
        "placed": one.placed,
        "generations": list(one.generations),
        "dated": list(one.dated),
        "interpreted": list(one.interpreted),
        "agreed": list(one.agreed),
    }


def _gap(one: coverage.Gap) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "space": one.space,
        "element_class": one.element_class,
        "names": list(one.names),
        "gain": round(one.gain, 1),
        "sentence": one.sentence,
        "reason": one.reason,
    }

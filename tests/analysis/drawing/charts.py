"""Invented charts to draw: one with every mark, and one as large as they come."""

from typing import Any

import numpy as np

from analysis.core.colour import ImpossibleMunsell, lab_to_srgb, munsell_to_lab


def cell(sample, position, generation, **other) -> dict[str, Any]:
    """A layer of the chart's JSON; the screen colour follows the notation."""
    found = {
        "sample": sample, "position": position, "kind": "paint", "completeness": "present", "colour": "cream",
        "generation": generation,
        "confidence": 0.95, "runner_up": None, "runner_up_confidence": None, "munsell": "10YR 8/2",
        "lab": None, "srgb": None, "in_gamut": True, "uv_colour": "", "uv_strength": "", "held": False,
    } | other  # fmt: skip
    if found["munsell"] and "srgb" not in other:
        found["lab"] = munsell_to_lab(found["munsell"])
        screen = lab_to_srgb(found["lab"])
        found["srgb"], found["in_gamut"] = screen.hex, screen.in_gamut
    return found


def generation(ordinal, **other) -> dict[str, Any]:
    return {
        "id": f"g{ordinal}", "ordinal": ordinal, "label": "", "description": "", "technique": "", "earliest": None,
        "latest": None, "phase": None, "distinctness": 0.97,
    } | other  # fmt: skip


def sample(number, element, element_class, **other) -> dict[str, Any]:
    return {
        "sample": number, "element": element, "class": element_class, "position": "north wall", "base_state": "complete",
        "top_state": "complete",
    } | other  # fmt: skip


def every_mark() -> dict[str, Any]:
    return {
        "project": "QUAY", "project_name": "Harbour Office", "space": "103", "space_name": "Long Room",
        "generations": [
            generation(1, label="Stone-coloured trim", earliest=1790, latest=1812, phase="Construction", technique="oil, brushed",
                       distinctness=None),
            generation(2, label="Dark doors, pale walls", earliest=1824, phase="First remodelling"),
            generation(3, label="Grained throughout, even the skirtings and the shutters", latest=1850, distinctness=0.43),
            generation(4, label="Green distemper", distinctness=0.81),
            generation(5, label="Белила – blanc d’œuf, µ-thin, ΔE 3"),
        ],
        "samples": [
            sample("K-014", "103-BB-N", "baseboard", base_state="stripped"),
            sample("K-015", "103-BB-S", "baseboard", position="south wall, east of the second window", top_state="lost"),
            sample("K-021", "103-DC-E", "door casing", base_state="detached"),
            sample("K-022", "103-WA-1", "wall"),
        ],
        "cells": [
            cell("K-014", 1, 2, uv_colour="yellow-white", uv_strength="moderate"),
            cell("K-014", 2, 2, kind="varnish", munsell="10YR 5/6", uv_colour="greenish", uv_strength="strong", confidence=0.84),
            cell("K-014", 3, 3, kind="graining ground", munsell="7.5YR 6/6", confidence=0.62, runner_up=4, runner_up_confidence=0.31),
            cell("K-014", 4, 3, kind="glaze", munsell="5YR 3/4", confidence=0.42, runner_up=2, runner_up_confidence=0.33,
                 uv_strength="none", uv_colour="dark"),
            cell("K-014", 5, 5, munsell="N 9", uv_colour="violet", uv_strength="weak"),
            cell("K-015", 1, 1, kind="primer", munsell="10R 4/6"),
            cell("K-015", 2, 1, munsell="2.5Y 8.5/2", held=True, confidence=None),
            cell("K-015", 3, 2, munsell="", srgb=None, colour="", completeness="trace", confidence=0.74),
            cell("K-015", 4, None, munsell="", srgb=None, colour="dirty grey", kind="soiling", confidence=None),
            cell("K-021", 1, 1, munsell="5B 5/20", uv_colour="dull violet, lemon sparks", uv_strength="weak", held=True, confidence=0.88),
            cell("K-021", 2, 4, munsell="5PB 2/6", completeness="lost in cutting", confidence=0.7),
            cell("K-021", 3, 5, munsell="N 1", confidence=0.999),
            cell("K-022", 1, 1, kind="limewash", munsell="N 9.5"),
            cell("K-022", 2, 4, kind="distemper", munsell="5GY 6/4", confidence=0.55, runner_up=5, runner_up_confidence=0.4, held=True),
            cell("K-022", 3, 4, kind="metal leaf", munsell="", lab=[72.0, 3.2, -41.5], srgb="#9ab4ff", in_gamut=False, confidence=0.2),
        ],
        "cautions": [
            "Layers of this chart are recorded as lead-bearing; the rest are untested.",
        ],
        "notes": ["Correlated 2026-05-14 09:30 UTC by the conservator. Its samples have changed since: correlate it again."],
    }  # fmt: skip


def large(samples: int = 60, generations: int = 30) -> dict[str, Any]:
    """A seeded chart with one to three layers in most cells."""
    random = np.random.default_rng(7)
    classes = ["baseboard", "wainscot", "chair rail", "wall", "cornice", "ceiling", "door leaf", "door casing", "window sash", "shutter"]
    kinds = ["primer", "undercoat", "paint", "glaze", "varnish", "graining ground", "distemper", "bronze powder"]
    families = ["R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP"]
    cells = []
    for number in range(samples):
        position = 0
        for ordinal in range(1, generations + 1):
            for _ in range(int(random.choice([0, 1, 2, 3], p=[0.25, 0.4, 0.25, 0.1]))):
                position += 1
                notation = (
                    f"{random.choice([2.5, 5, 7.5, 10]):g}{random.choice(families)} {random.integers(2, 10)}/{random.choice([1, 2, 4, 6])}"
                )
                confidence = round(float(random.uniform(0.3, 1)), 3)
                try:
                    munsell_to_lab(notation)
                except ImpossibleMunsell:
                    notation = "N 8"
                cells.append(
                    cell(
                        f"K-{number + 1:03}",
                        position,
                        ordinal,
                        kind=str(random.choice(kinds)),
                        munsell=notation,
                        confidence=confidence,
                        runner_up=ordinal - 1 if ordinal > 1 else 2,
                        runner_up_confidence=round((1 - confidence) * 0.8, 3),
                        uv_colour=str(random.choice(["", "yellow-white", "dull violet", "greenish"])),
                        uv_strength=str(random.choice(["none", "weak", "moderate", "strong"])),
                        held=bool(random.random() < 0.05),
                    )
                )
    per_class = max(samples // len(classes), 1)
    return {
        "project": "QUAY", "project_name": "Harbour Office", "space": "103", "space_name": "Long Room",
        "generations": [
            generation(o, label=f"Campaign in words {o}", earliest=1760 + 8 * o, latest=1766 + 8 * o if o % 3 else None,
                       distinctness=0.5 if o % 7 == 0 else 0.9)
            for o in range(1, generations + 1)
        ],
        "samples": [
            sample(f"K-{n + 1:03}", f"103-{classes[min(n // per_class, 9)][:2].upper()}-{n + 1}", classes[min(n // per_class, 9)],
                   base_state="stripped" if n % 9 == 4 else "complete", top_state="lost" if n % 11 == 3 else "complete")
            for n in range(samples)
        ],
        "cells": cells,
        "cautions": ["Layers of this chart are recorded as lead-bearing; the rest are untested."],
        "notes": ["Correlated 2026-05-14 09:30 UTC by the conservator."],
    }  # fmt: skip

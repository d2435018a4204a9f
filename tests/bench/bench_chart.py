"""Time of drawing a chart of 60 samples × 30 generations, beside writing as many empty rectangles with reportlab and Pillow, in one run.

Run: python -m tests.bench.bench_chart
"""

import io
import time
from collections.abc import Callable
from typing import Any

from PIL import Image, ImageDraw
from reportlab.pdfgen.canvas import Canvas

from analysis import drawing

SAMPLES, GENERATIONS = 60, 30


def chart() -> dict[str, Any]:
    """A full chart: every sample shows every generation."""
    classes = ("baseboard", "door leaf", "wall", "cornice")
    samples = [
        {
            "sample": f"S{number:03}",
            "element": f"101-E{number:02}",
            "class": classes[number * len(classes) // SAMPLES],
            "position": "",
            "base_state": "complete",
            "top_state": "complete",
        }
        for number in range(SAMPLES)
    ]
    generations = [
        {
            "id": str(n),
            "ordinal": n,
            "label": "",
            "description": "",
            "technique": "",
            "earliest": 1790 + n,
            "latest": 1800 + n,
            "phase": None,
        }
        | {"phase": None, "distinctness": 0.9}
        for n in range(1, GENERATIONS + 1)
    ]
    cells = [
        {
            "sample": sample["sample"],
            "position": n,
            "kind": "paint",
            "completeness": "present",
            "colour": "cream",
            "generation": n,
            "confidence": 0.5 + (n % 5) / 10,
            "runner_up": n % GENERATIONS + 1,
            "runner_up_confidence": 0.1,
            "munsell": "10YR 8/2",
            "lab": [81.0, 2.0, 13.0],
            "srgb": f"#{160 + n:02x}{170 + n:02x}{150 + n:02x}",
            "in_gamut": True,
            "uv_colour": "white",
            "uv_strength": "weak",
            "held": False,
        }
        for sample in samples
        for n in range(1, GENERATIONS + 1)
    ]
    return {
        "project": "BENCH", "project_name": "Bench", "space": "101", "space_name": "Hall", "generations": generations, "samples": samples,
        "cells": cells, "cautions": [], "notes": [],
    }  # fmt: skip


def bare_pdf() -> None:
    """As many rectangles as the chart has cells, in a PDF."""
    canvas = Canvas(io.BytesIO())
    for column in range(SAMPLES):
        for row in range(GENERATIONS):
            canvas.rect(column * 10, row * 10, 9, 9, fill=1)
    canvas.save()


def bare_png() -> None:
    """As many rectangles as the chart has cells, in a PNG of 4,000 × 2,000 pixels."""
    picture = Image.new("RGB", (4000, 2000), "white")
    pen = ImageDraw.Draw(picture)
    for column in range(SAMPLES):
        for row in range(GENERATIONS):
            pen.rectangle((column * 60, row * 60, column * 60 + 55, row * 60 + 55), fill="grey")
    picture.save(io.BytesIO(), "PNG")


def timed(what: str, deed: Callable[[], Any]) -> None:
    """Print the least of three runs."""
    times = []
    for _ in range(3):
        started = time.process_time()
        made = deed()
        times.append(time.process_time() - started)
    print(f"{what:<34} {min(times) * 1000:8.0f} ms CPU" + (f", {len(made):,} bytes" if made else ""))


def main() -> None:
    """Time all, and print."""
    full = chart()
    timed("chart as SVG", lambda: drawing.chart_svg(full))
    timed("chart as PDF", lambda: drawing.chart_pdf(full))
    timed("bare rectangles as PDF", bare_pdf)
    timed("chart as PNG", lambda: drawing.chart_png(full))
    timed("bare rectangles as PNG", bare_png)


if __name__ == "__main__":
    main()

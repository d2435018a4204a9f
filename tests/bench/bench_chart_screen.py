"""How smoothly a chart of 200 samples × 40 generations scrolls in a browser: times of frames while it is scrolled across and down.

Run: python -m tests.bench.bench_chart_screen. It starts the program on an empty data folder; the chart that it shows is invented.
"""

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

SAMPLES, GENERATIONS = 200, 40
CLASSES = ("baseboard", "door leaf", "wall", "cornice")
BARE = """() => {
    const one = document.createElement("div");
    one.className = "bare";
    one.style.cssText = "position: fixed; inset: 0; overflow: auto; background: white; z-index: 9";
    one.append(Object.assign(document.createElement("div"), { style: "width: 30000px; height: 3000px" }));
    document.body.append(one);
}"""
SCROLL = """async (name) => {
    const one = document.querySelector(name);
    const frames = [];
    let last = performance.now();
    for (let step = 0; step < 240; step += 1) {
        one.scrollBy(step < 160 ? 60 : 0, step < 160 ? 0 : 25);
        await new Promise(requestAnimationFrame);
        const now = performance.now();
        frames.push(now - last);
        last = now;
    }
    return frames.sort((a, b) => a - b);
}"""


def chart(samples: int, generations: int) -> dict[str, Any]:
    """A full chart: every sample shows every generation."""
    names = [f"S{number:03}" for number in range(samples)]
    return {
        "project": "BENCH", "project_name": "Bench", "space": "201", "space_id": "x", "space_name": "Hall", "correlated_at": None,
        "correlated_by": "", "current": True, "cautions": [], "notes": [],
        "generations": [
            {
                "id": f"g{n}", "version": 1, "ordinal": n, "label": "", "description": "", "technique": "", "earliest": 1790 + n,
                "latest": 1800 + n, "earliest_by": [], "latest_by": [], "phase": None, "phase_id": None,
                "distinctness": None if n == 1 else 0.4 + (n % 6) / 10,
            }
            for n in range(1, generations + 1)
        ],
        "samples": [
            {
                "sample": name, "sample_id": name, "element": f"201-E{number:02}", "element_id": name, "position": "",
                "class": CLASSES[number * len(CLASSES) // samples], "base_state": "complete", "top_state": "complete",
            }
            for number, name in enumerate(names)
        ],
        "cells": [
            {
                "layer": f"{name}/{n}", "layer_id": f"{name}/{n}", "version": 1, "sample": name, "position": n, "kind": "paint",
                "completeness": "present", "colour": "cream", "generation": n, "confidence": 0.4 + (n % 6) / 10, "runner_up": None,
                "runner_up_confidence": None, "munsell": "10YR 8/2", "lab": [81.0, 2.0, 13.0], "in_gamut": True,
                "srgb": f"#{160 + n:02x}{170 + n:02x}{150 + n:02x}", "uv_colour": "white", "uv_strength": "weak", "held": False,
            }
            for name in names
            for n in range(1, generations + 1)
        ],
    }  # fmt: skip


def told(what: str, frames: list[float]) -> None:
    """Print how long the frames took."""
    late = sum(one > 34 for one in frames)
    middle, most = frames[len(frames) // 2], frames[int(len(frames) * 0.95)]
    print(f"{what}: frame median {middle:.1f} ms, 95 % {most:.1f} ms, longest {frames[-1]:.1f} ms; {late} of {len(frames)} over 34 ms")


def main() -> None:
    """Scroll, and print the times of frames."""
    from playwright.sync_api import sync_playwright

    from tests.browser.conftest import ROOT, _listening, chromium, sign_in

    made = chart(SAMPLES, GENERATIONS)
    with tempfile.TemporaryDirectory(prefix="undercoat-bench-") as folder, sync_playwright() as playwright:
        environment = {**os.environ, "UNDERCOAT_DATA": folder, "PYTHONUNBUFFERED": "1"}
        subprocess.run([sys.executable, "-m", "tests.browser.seed"], cwd=ROOT, env=environment, check=True)
        log = Path(folder) / "serve.log"
        with log.open("w") as out:
            command = [sys.executable, "manage.py", "serve", "--no-demo", "--port", "0"]
            server = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=out, stderr=subprocess.STDOUT)
        try:
            browser = playwright.chromium.launch(executable_path=chromium(playwright))
            page = browser.new_page(base_url=_listening(server, log), viewport={"width": 1440, "height": 900})
            page.goto("/sign-in")
            sign_in(page, "conservator")
            page.get_by_role("heading", name="Structures").wait_for()
            page.route(re.compile(r"/spaces/[^/]+/chart$"), lambda route: route.fulfill(json=made))
            page.goto("/projects/HALL/spaces/101")
            page.locator(".chip").first.wait_for()
            for zoom in ("usual", "small", "large"):
                page.get_by_role("button", name=zoom, exact=True).click()
                page.locator(".chartscroll").evaluate("one => one.scrollTo(0, 0)")
                told(f"{zoom}, {page.locator('.chip').count()} layers in the page", page.evaluate(SCROLL, ".chartscroll"))
            # What the machine makes of scrolling nothing at all, in the same run.
            page.evaluate(BARE)
            told("an empty box", page.evaluate(SCROLL, ".bare"))
        finally:
            server.terminate()
            server.wait(20)


if __name__ == "__main__":
    main()

"""The register of layers at 20,000 rows and its 30 columns in a real browser: first sight, scrolling, paste, undo, filter, sort, group.

    python -m tests.bench.bench_registers [rows]

The figures are of this machine, which paints without a graphics card. A frame is the time between two calls of requestAnimationFrame;
16.7 ms is the least at 60 frames a second.
"""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

from tests.browser.conftest import _listening, chromium, sign_in

ROOT = Path(__file__).resolve().parents[2]
PER_SAMPLE = 20

SCROLL = """async ([step, frames]) => {
  const port = [...document.querySelectorAll('.slick-viewport')].find(one => one.scrollHeight > one.clientHeight + 50
    && one.clientHeight > 0 && getComputedStyle(one).overflowY !== 'hidden');
  const times = [];
  let last = await new Promise(requestAnimationFrame);
  for (let at = 0; at < frames; at += 1) {
    port.scrollTop += step;
    const now = await new Promise(requestAnimationFrame);
    times.push(now - last);
    last = now;
  }
  times.sort((a, b) => a - b);
  return [times[Math.floor(times.length / 2)], times[Math.floor(times.length * 0.95)], port.scrollTop];
}"""
PAINTED = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"


def seed(rows: int) -> None:
    """Fill the data folder of the environment with a project of so many layers."""
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    from django.core.management import call_command

    from surveys import records
    from surveys.models import Element, Layer, Sample, Space
    from surveys.records import Operation
    from tests.conftest import Cast

    call_command("migrate", verbosity=0, interactive=False)
    cast = Cast()
    make = lambda model, values: [  # noqa: E731
        one.record for one in records.batch(cast.conservator, cast.project, model, [Operation("create", value) for value in values])
    ]
    (space,) = make(Space, [{"number": "101"}])
    (element,) = make(Element, [{"code": "101-BB", "space": str(space.pk), "element_class": "baseboard"}])
    samples = make(Sample, [{"number": f"S-{at:04}", "element": str(element.pk)} for at in range(rows // PER_SAMPLE)])
    kinds = ("primer", "paint", "undercoat", "glaze", "varnish")
    notations = ("N 6", "5GY 6/4", "10YR 8/2", "5B 5/4", "2.5Y 8.5/6", "7.5R 3/8")
    values = [
        {
            "sample": str(sample.pk),
            "position": position,
            "kind": kinds[position % 5],
            "colour": ("grey", "green", "cream")[position % 3],
            "munsell": notations[(position + number) % 6],
            "thickness_um": float(10 + position),
            "notes": f"note {number} {position}",
            "pigments": "lead white; ochre",
        }
        for number, sample in enumerate(samples)
        for position in range(1, PER_SAMPLE + 1)
    ]
    for start in range(0, len(values), 5000):
        make(Layer, values[start : start + 5000])


def timed(page: Page, what: str, deed: Any, until: str) -> None:
    """Say how long a deed takes until the page shows what it leads to, painted."""
    began = time.perf_counter()
    deed()
    page.wait_for_function(until, timeout=60_000)
    page.evaluate(PAINTED)
    print(f"{what:<52} {1000 * (time.perf_counter() - began):8.0f} ms", flush=True)


def measure(page: Page, address: str, rows: int) -> None:
    """All measurements, each a line."""
    said = f"document.querySelector('.counts')?.textContent.startsWith('{rows:,} rows')"
    page.goto(f"{address}/projects/HALL")
    timed(
        page,
        "open: first rows on screen",
        lambda: page.goto(f"{address}/projects/HALL/registers/layers"),
        "document.querySelectorAll('.slick-row').length > 20",
    )
    timed(page, "open: all rows there", lambda: None, said)
    page.wait_for_timeout(3000)
    for step in (100, 800):
        median, late, _ = page.evaluate(SCROLL, [step, 150])
        print(f"scroll {step} px a frame: median, 95 in 100               {median:8.1f} {late:8.1f} ms", flush=True)
    page.keyboard.press("Escape")
    page.locator(".slick-row .l5").nth(3).click()
    page.keyboard.press("Control+Home")
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    page.evaluate(
        "navigator.clipboard.writeText(Array.from({length: 500}, (_, at) => `trace\\tcolour ${at}\\tN 5\\tnearest chip\\t`).join('\\r\\n'))"
    )
    timed(
        page,
        "paste 500 × 5: on screen",
        lambda: page.keyboard.press("Control+v"),
        "document.querySelector('.slick-row[data-row=\"0\"] .l5').textContent.includes('colour 0')",
    )
    timed(page, "paste 500 × 5: saved", lambda: None, "!document.querySelector('.counts').textContent.includes('unsaved')")
    timed(
        page,
        "undo of it: on screen",
        lambda: page.keyboard.press("Control+z"),
        "!document.querySelector('.slick-row[data-row=\"0\"] .l5').textContent.includes('colour 0')",
    )
    timed(page, "undo of it: saved", lambda: None, "!document.querySelector('.counts').textContent.includes('unsaved')")
    timed(
        page,
        "filter (typed; 300 ms of it waiting)",
        lambda: page.locator('[data-filter="kind"]').fill("glaze"),
        "document.querySelector('.counts').textContent.includes(' of ')",
    )
    timed(page, "filter taken away", lambda: page.locator('[data-filter="kind"]').fill(""), said)
    timed(
        page,
        "sort by Munsell",
        lambda: page.locator(".slick-header-column", has_text="Munsell").first.click(),
        "location.search.includes('sort=munsell')",
    )
    page.get_by_text("Columns, sorting, groups").click()
    timed(
        page,
        "group by sample",
        lambda: page.get_by_label("Group by").select_option("sample"),
        "document.querySelector('.slick-row.group') !== null",
    )
    used = page.evaluate("performance.memory ? performance.memory.usedJSHeapSize / 1e6 : 0")
    print(f"memory of the page's scripts                         {used:8.0f} MB")


def main() -> None:
    """Seed, serve, measure."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    with tempfile.TemporaryDirectory(prefix="undercoat-bench-") as folder, sync_playwright() as playwright:
        environment = {**os.environ, "UNDERCOAT_DATA": folder, "PYTHONUNBUFFERED": "1"}
        subprocess.run(
            [sys.executable, "-c", f"from tests.bench.bench_registers import seed; seed({rows})"], cwd=ROOT, env=environment, check=True
        )
        log = Path(folder) / "serve.log"
        with log.open("w") as out:
            command = [sys.executable, "manage.py", "serve", "--no-demo", "--port", "0"]
            server = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=out, stderr=subprocess.STDOUT)
        try:
            address = _listening(server, log)
            browser = playwright.chromium.launch(executable_path=chromium(playwright))
            page = browser.new_context(
                viewport={"width": 1440, "height": 900}, bypass_csp=True, permissions=["clipboard-read", "clipboard-write"]
            ).new_page()
            page.goto(f"{address}/sign-in")
            sign_in(page, "conservator")
            page.get_by_role("heading", name="Structures").wait_for()
            measure(page, address, rows)
            browser.close()
        finally:
            server.terminate()
            server.wait(20)


if __name__ == "__main__":
    main()

"""How well layers are read on invented sections whose layers are known, and what a line on a large picture costs.

``python -m tests.bench.score_sections`` scores the sections with untouched seeds, with the registration found, not given (a quarter of an
hour); ``--sections 10`` fewer; ``--tuning`` the others; ``--cost`` only measures a picture of 60 megapixels. What counts as a boundary,
as found and as false stands in `tests.sections.scoring`.
"""

import argparse
import time
import tracemalloc
from collections.abc import Iterable
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from analysis.core.micrographs import Line, MicrographRefused, Reading, Registration, read_line, register, scale_as_stated
from tests.sections import TUNING, UNTOUCHED, invent, render
from tests.sections.scoring import Score, score
from tests.sections.stacks import Crossing, Section

STEPS = (2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 20.0, 1000.0)
SURE = (0.4, 0.6, 0.8, 0.9, 0.97, 1.01)


class Read(NamedTuple):
    """One section as read."""

    section: Section
    truth: tuple[Crossing, ...]
    score: Score
    reading: Reading
    off_px: float | None
    seconds: float


def read(seed: int) -> Read:
    """Invent, photograph, lay on each other and read one section."""
    section = invent(seed)
    truth = section.truth()
    pictures = render(section)
    registration: Registration | None = None
    try:
        registration = register(pictures.visible, pictures.uv)
    except MicrographRefused as refusal:
        print(f"  {seed}: {refusal}")
    off = None
    if registration is not None:
        rows, columns = pictures.visible.shape[:2]
        corners = np.array([(x, y, 1.0) for x in (40, columns - 40) for y in (40, rows - 40)]).T
        apart = (np.array(registration.matrix) - pictures.uv_to_visible) @ corners
        off = float(np.hypot(*apart[:2]).max())
    began = time.perf_counter()
    line = Line(pictures.line, section.width_px)
    uv = pictures.uv if registration is not None else None
    reading = read_line(pictures.visible, line, scale_as_stated(section.um_per_px), None, uv, registration)
    seconds = time.perf_counter() - began
    return Read(section, truth, score(section, truth, [each.at_px for each in reading.boundaries]), reading, off, seconds)


def thicknesses(one: Read) -> Iterable[tuple[float, float, float]]:
    """True thickness, thickness read and its stated error, µm, of layers whose two boundaries are those of one film."""
    near = max(2.0, 3.0 / one.section.um_per_px)
    for layer in one.reading.layers:
        for number, film in enumerate(one.section.films):
            lower, upper = one.truth[number], one.truth[number + 1]
            if film.gaps or abs(layer.from_px - lower.at_px) > near or abs(layer.to_px - upper.at_px) > near:
                continue
            if upper.at_px - lower.at_px > 8 and layer.thickness_um is not None and layer.thickness_error_um is not None:
                yield film.thickness_um, layer.thickness_um, layer.thickness_error_um


def report(reads: list[Read]) -> None:
    """Print the tables."""
    found = [crossing for one in reads for crossing in one.score.found]
    missed = [crossing for one in reads for crossing in one.score.missed]
    false, proposed = sum(len(one.score.false) for one in reads), sum(one.score.proposed for one in reads)
    layers, right = sum(one.score.layers for one in reads), sum(one.score.layers_right for one in reads)
    offs = np.abs([off for one in reads for off in one.score.offs])
    print(f"sections {len(reads)}, boundaries that count {len(found) + len(missed)}: found {len(found) / (len(found) + len(missed)):.3f}")
    print(f"layers thicker than 8 px with both boundaries found: {right} of {layers}, {right / layers:.3f}")
    print(f"false: {false} of {proposed} proposed, {false / proposed:.3f}")
    print(f"found boundaries lie off by {np.median(offs):.2f} px (median), {np.percentile(offs, 95):.2f} px (95 %)")
    print("by the larger step, ΔE00 in visible or UV: found of all")
    for low, high in pairwise(STEPS):
        yes, no = (sum(low <= max(c.delta_e, c.uv_delta_e) < high for c in group) for group in (found, missed))
        if yes + no:
            print(f"  {low:4.0f} to {high:4.0f}: {yes} of {yes + no}, {yes / (yes + no):.2f}")
    print("by confidence: true of all proposed")
    sure = [(each.confidence, each.at_px not in one.score.false) for one in reads for each in one.reading.boundaries]
    for low, high in pairwise(SURE):
        some = [true for confidence, true in sure if low <= confidence < high]
        if some:
            print(f"  {low:.2f} to {min(high, 1.0):.2f}: {sum(some)} of {len(some)}, {np.mean(some):.2f}")
    rows = np.array([row for one in reads for row in thicknesses(one)])
    apart = rows[:, 1] - rows[:, 0]
    off, relative = np.abs(apart), np.abs(apart) / rows[:, 0]
    within = np.mean(off <= 2 * rows[:, 2])
    print(f"thickness of {len(rows)} layers: off by {np.median(off):.2f} µm (median), {np.percentile(off, 95):.2f} µm (95 %);")
    print(f"  of itself {np.median(relative):.3f}, {np.percentile(relative, 95):.3f}; within two stated errors {within:.2f}")
    known = [one.off_px for one in reads if one.off_px is not None]
    print(f"registration: {len(known)} of {len(reads)}, worst corner off by {np.median(known):.2f} px (median), {max(known):.2f} px (most)")
    print(f"one line: {np.median([one.seconds for one in reads]):.2f} s (median), {max(one.seconds for one in reads):.2f} s (most)")


def cost() -> None:
    """A line of 4,000 × 200 px on two pictures of 60 megapixels, and their registration."""
    rng = np.random.default_rng(1)
    rows, columns = 7750, 7750
    visible = np.empty((rows, columns, 3), np.uint8)
    edges = np.sort(rng.integers(2200, 5600, 30))
    colours = rng.integers(40, 230, (31, 3))
    wave = (12 * np.sin(np.arange(columns) / 700)).astype(int)
    for x in range(columns):
        band = np.searchsorted(edges, np.arange(rows) + wave[x])
        visible[:, x] = colours[band]
    for y in range(0, rows, 250):
        visible[y : y + 250] = np.clip(visible[y : y + 250] + rng.normal(0, 9, (250, columns, 3)), 0, 255)
    for y, x in rng.integers(100, 7600, (2000, 2)):
        side = int(rng.integers(8, 90))
        visible[y : y + side, x : x + side] //= 2
    uv = np.roll(255 - visible, (17, -9), (0, 1))
    began = time.perf_counter()
    registration = register(visible, uv)
    laid = time.perf_counter()
    print(f"60 megapixels: {registration.sentence} Shift {registration.matrix[0][2]:.2f}, {registration.matrix[1][2]:.2f} (true 9, -17).")
    line = Line(((3900.0, 6000.0), (3900.0, 2000.0)), 200.0)
    reading = read_line(visible, line, scale_as_stated(0.3), None, uv, registration)
    done = time.perf_counter()
    print(f"registration {laid - began:.1f} s; a line of 4,000 × 200 px {done - laid:.1f} s, {len(reading.layers)} layers")
    for name, again in (
        ("registration", lambda: register(visible, uv)),
        ("line", lambda: read_line(visible, line, None, None, uv, registration)),
    ):
        tracemalloc.start()
        again()
        print(f"{name}: at most {tracemalloc.get_traced_memory()[1] / 2**20:.0f} MB beside the pictures")
        tracemalloc.stop()


def main() -> None:
    """Score, and measure the cost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tuning", action="store_true", help="the sections to tune on, instead of the untouched ones")
    parser.add_argument("--sections", type=int, default=len(UNTOUCHED))
    parser.add_argument("--cost", action="store_true", help="only the picture of 60 megapixels")
    chosen = parser.parse_args()
    if not chosen.cost:
        report([read(seed) for seed in (TUNING if chosen.tuning else UNTOUCHED)[: chosen.sections]])
    cost()


if __name__ == "__main__":
    main()

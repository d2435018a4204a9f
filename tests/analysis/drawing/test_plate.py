"""Plates: names that do not hide each other, bars of round lengths, and pictures in all three ways of drawing."""

import io
import random
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader
from scipy.optimize import minimize

from analysis.drawing.pdf import sheets_pdf
from analysis.drawing.plate import Bracket, Panel, Plate, bar_length, plate_pages, plate_sheet, spread
from analysis.drawing.png import sheet_png
from analysis.drawing.rasters import jpeg
from analysis.drawing.shapes import Raster, Text, flat
from analysis.drawing.svg import sheet_svg


def picture(colour, size=(80, 100)):
    return jpeg(Image.new("RGB", size, colour))


def plate(many=2, brackets=None, **values):
    panels = tuple(Panel(picture(colour), 80, 100, 0.5, ("Light", "attachment 1")) for colour in ("red", "blue")[:many])
    found = tuple(Bracket(90 - 20 * n, 100 - 20 * n, str(n + 1), f"gen. {n + 1}", True) for n in range(4)) if brackets is None else brackets
    told = {"notes": ("A note.",), "cautions": ("A caution.",), "line": ((40.0, 95.0), (40.0, 5.0)), **values}
    return Plate("Sample 1", "door 101-DL", panels, told["line"], found, told["notes"], told["cautions"])


@pytest.mark.parametrize("seed", range(20))
def test_names_are_moved_apart_as_little_as_may_be(seed):
    """Against a general solver of least squares under the same constraints."""
    rng = random.Random(seed)
    places = [rng.uniform(0, 100) for _ in range(rng.randint(1, 7))]
    found = spread(places, 9.0, 0.0, 120.0)
    order = sorted(range(len(places)), key=lambda number: places[number])
    gaps = [found[b] - found[a] for a, b in pairwise(order)]
    assert all(gap >= 9.0 - 1e-9 for gap in gaps)
    assert 0 <= min(found) <= max(found) <= 120
    wanted = np.array([places[number] for number in order])
    limits = [{"type": "ineq", "fun": lambda x, i=i: x[i + 1] - x[i] - 9.0} for i in range(len(wanted) - 1)]
    start = np.array([10.0 * number for number in range(len(wanted))])
    best = minimize(lambda x: np.sum((x - wanted) ** 2), start, constraints=limits, bounds=[(0, 120)] * len(wanted), method="SLSQP")
    assert np.sum((np.array([found[number] for number in order]) - wanted) ** 2) <= best.fun + 1e-3


@pytest.mark.parametrize(("um_per_pt", "room", "length"), [(1, 99, 50), (1, 100, 100), (0.01, 30, 0.2), (12, 60, 500), (0.3, 33, 5)])
def test_a_bar_is_one_two_or_five_of_a_power_of_ten(um_per_pt, room, length):
    assert bar_length(um_per_pt, room) == pytest.approx(length)


def test_a_plate_fits_the_room_that_it_is_given():
    sheet = plate_sheet(plate(), 500, 300)
    assert (sheet.width, sheet.height <= 301) == (500, True)
    for raster in (one for one in flat(sheet.shapes) if isinstance(one, Raster)):
        assert raster.width / raster.height == pytest.approx(0.8)


def test_without_a_scale_there_is_no_bar_and_without_layers_no_bracket():
    bare = Plate("Sample 1", "", (Panel(picture("red"), 80, 100, None, ()),), (), (), ())
    texts = [one.text for one in flat(plate_sheet(bare, 300, 400).shapes) if isinstance(one, Text)]
    assert texts == ["Sample 1", ""]


def test_a_plate_is_described_for_who_cannot_see_it():
    told = plate_sheet(plate(), 500, 300).description
    assert "Layers from the surface down: 1 gen. 1; 2 gen. 2" in told
    assert "A note." in told


def test_pictures_are_in_png_pdf_and_svg():
    sheet = plate_pages(plate(), (600, 400), 20)
    with Image.open(io.BytesIO(sheet_png(sheet, 2))) as drawn:
        colours = {pixel for _, pixel in drawn.convert("RGB").getcolors(1_000_000)}
    assert any(red > 240 and green < 20 for red, green, _ in colours)
    assert any(blue > 240 and green < 20 for _, green, blue in colours)
    (page,) = PdfReader(io.BytesIO(sheets_pdf([sheet]))).pages
    assert len(page.images) == 2
    assert "gen. 3" in page.extract_text()
    found = ElementTree.fromstring(sheet_svg(sheet))
    assert len(found.findall(".//{http://www.w3.org/2000/svg}image")) == 2


def test_the_same_plate_gives_the_same_bytes():
    assert sheets_pdf([plate_pages(plate(), (600, 400), 20)]) == sheets_pdf([plate_pages(plate(), (600, 400), 20)])

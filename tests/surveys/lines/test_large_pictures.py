"""Large pictures: parts are fetched where the kernels go, little is held at a time, and work of minutes is heard and can be stopped."""

import numpy as np
import pytest

from analysis.core.micrographs import Line, strips
from surveys import jobs, records
from surveys.errors import Cancelled
from surveys.models import Attachment, Registration
from surveys.pictures import Pixels
from surveys.work import micrographs, picture_colours, reading, registering
from tests.sections import render
from tests.surveys.lines.test_end_to_end import (  # noqa: F401 - fixtures
    _greys,
    all_done,
    bare,
    bring,
    do,
    draw,
    read,
    section,
)

pytestmark = pytest.mark.django_db(transaction=True)


class Drawn:
    """A picture of any size of which each pixel tells where it is: red its column, green its row, both modulo 65,536."""

    def __init__(self, across, down):
        self.across, self.down = across, down
        self.boxes = []

    def pixels(self, box, *, tell=None):
        x, y, wide, high = (int(one) for one in box)
        assert x >= 0
        assert y >= 0
        assert x + wide <= self.across
        assert y + high <= self.down
        self.boxes.append((x, y, wide, high))
        rows, columns = np.mgrid[y : y + high, x : x + wide].astype(np.uint16)
        return Pixels(np.stack((columns, rows, rows), axis=2), (x, y, wide, high), 1.0)


@pytest.mark.parametrize("path", [((500, 500), (11_500, 9_500)), ((11_500, 9_500), (500, 500)), ((500, 9_500), (11_500, 500))])
def test_along_a_line_aslant_over_a_large_picture_pieces_are_fetched_and_each_pixel_is_its_own(path, monkeypatch):
    monkeypatch.setattr(micrographs, "MOST_HELD", 4_000_000)
    monkeypatch.setattr(micrographs, "PIECE_PX", 1_600)
    source = Drawn(12_000, 10_000)
    told = []
    part = micrographs.Part(source, (12_000, 10_000), (0, 0, 12_000, 10_000), lambda: told.append(1))
    line = Line(path, 60.0)
    aside = np.arange(-30.0, 31.0)
    strip = strips.sample(part, line, np.arange(0.0, strips.length(line)), aside, np.zeros(61))
    at, right = strips.places(line, np.arange(len(strip), dtype=float))
    spots = at[:, None] + right[:, None] * aside[:, None]
    # The numbers are even in the place, so that between pixels they are the place itself.
    assert np.abs(strip[..., :2] * 65_535 - spots).max() < 0.1
    assert max(wide * high for _, _, wide, high in source.boxes) <= 4_000_000
    # 14,200 px of line, and with each piece at least 1,000 px of it.
    assert len(source.boxes) <= 15
    assert len(told) > len(source.boxes)


def test_a_part_that_is_small_enough_is_fetched_once(monkeypatch):
    source = Drawn(12_000, 10_000)
    part = micrographs.Part(source, (12_000, 10_000), (1_000, 2_000, 800, 5_000))
    assert (part[2_100:2_200, 1_100:1_300][:, :, 1] == np.arange(2_100, 2_200)[:, None]).all()
    assert (part[6_900:7_000, 1_700:1_800][:, :, 0] == np.arange(1_700, 1_800)).all()
    assert source.boxes == [(1_000, 2_000, 800, 5_000)]
    assert (part[6_990:7_010, 990:1_010][:, :, 0] == np.arange(990, 1_010)).all()
    assert source.boxes[1:] == [(990, 2_000, 810, 5_010)]


class Heard:
    """Counts how often work says how far it is, and stops it at the so-manieth time."""

    def __init__(self, stop_at=None):
        self.said, self.stop_at = [], stop_at

    def __call__(self, done, total, now=""):
        self.said.append((done, total, now))
        if len(self.said) == self.stop_at:
            raise Cancelled("Stopped, as you asked. Nothing was changed.")


def test_while_a_line_is_read_the_job_is_heard_again_and_again(cast, project, bring):  # noqa: F811
    pictured = render(section())
    line = draw(cast, project, bring(pictured.visible), pictured.line)
    job = jobs.ask(cast.conservator, project, "read-line", {"traverse": str(line.pk)})
    heard = Heard()
    reading.read(job, heard)
    since = heard.said.index((2, 3, "Looking for layers"))
    assert heard.said[since + 1 :].count((2, 3, "")) >= 4
    assert heard.said[-1] == (3, 3, "")


@pytest.mark.parametrize("stop_at", [2, 7])
def test_a_reading_that_is_stopped_leaves_what_was_read_before(cast, project, bring, stop_at):  # noqa: F811
    pictured = render(section())
    picture = bring(pictured.visible)
    line = read(cast, project, draw(cast, project, picture, pictured.line))
    before = line.reading
    records.change(cast.conservator, project, Attachment, picture.pk, picture.version, {"um_per_pixel": 0.4})
    job = jobs.ask(cast.conservator, project, "read-line", {"traverse": str(line.pk)})
    with pytest.raises(Cancelled):
        reading.read(job, Heard(stop_at))
    line.refresh_from_db()
    assert (line.reading, line.read_digest) == (before, "")


def test_while_pictures_are_laid_on_each_other_the_job_is_heard_and_can_be_stopped(cast, project, bring):  # noqa: F811
    pictured = render(section())
    visible, uv = bring(pictured.visible), bring(pictured.uv, "UV micrograph")
    job = jobs.ask(cast.conservator, project, "register-pictures", {"fixed": str(visible.pk), "moving": str(uv.pk)})
    heard = Heard()
    registering.register(job, heard)
    since = heard.said.index((2, 3, "Looking for what both show"))
    assert heard.said[since + 1 :].count((2, 3, "")) >= 20
    Registration.objects.all().delete()
    with pytest.raises(Cancelled):
        registering.register(job, Heard(since + 10))
    assert not Registration.objects.exists()


def test_a_target_that_fills_a_large_picture_is_looked_at_reduced_and_has_the_same_colours(cast, project, bring, monkeypatch):  # noqa: F811
    tint = np.array((1.0, 0.86, 0.72))
    chart, target = _greys(tint)
    card = bring(chart, "photograph")
    records.change(cast.conservator, project, Attachment, card.pk, 1, {"colour_target": target})
    monkeypatch.setattr(picture_colours, "MOST_PX", 260 * 60 // 4)
    monkeypatch.setattr(picture_colours, "LEAST_PATCH_PX", 8)
    seen = []
    pixels = picture_colours.pictures.pixels
    monkeypatch.setattr(picture_colours.pictures, "pixels", lambda *told, **more: seen.append(pixels(*told, **more)) or seen[-1])
    all_done("picture-colour")
    assert seen[0].array.shape == (30, 130, 3)
    card.refresh_from_db()
    # What the light took away, given back: a neutral patch is met by three factors in the proportions of the tint.
    factors = np.diag(np.array(card.correction["matrix"]))
    assert factors / factors[0] == pytest.approx(tint[0] / tint, rel=0.02)
    assert card.correction["mean_delta_e"] < 1


def test_small_patches_of_a_large_target_are_not_made_smaller():
    patches = [{"box": [0, 0, 2_000, 3_000]}, {"box": [14_000, 12_000, 60, 40]}]
    assert picture_colours._most_px([0, 0, 14_060, 12_040], patches) is None
    # 169,282,400 px; √(64,000,000 / 169,282,400) is 0.61487, and 14,060 times that 8,645.1.
    assert picture_colours._most_px([0, 0, 14_060, 12_040], patches[:1]) == 8_645
    assert picture_colours._most_px([0, 0, 2_000, 3_000], patches[:1]) is None

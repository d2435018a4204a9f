"""What comes out of a picture is what is in it: whatever its kind, depth, packing, turning or colour profile."""

import hashlib
import io
import subprocess
import tempfile
import threading
import time
import zlib
from pathlib import Path

import numpy
import pytest
import tifffile
from PIL import Image

from surveys.errors import Invalid
from surveys.pictures import opening, pyramid
from tests.surveys.pictures import made


@pytest.fixture
def open_(tmp_path):
    def made_of(content: bytes, name: str = "section.tif") -> opening.Opened:
        path = tmp_path / "picture"
        path.write_bytes(content)
        return opening.Opened(name, path, hashlib.sha256(content).hexdigest())

    return made_of


def prepared(picture: opening.Opened) -> tuple[opening.Prepared, Path]:
    room = Path(tempfile.mkdtemp(dir=picture.path.parent))
    return picture.prepare(room, lambda done, total, now: None), room


def full_size(room: Path, width: int, height: int) -> numpy.ndarray:
    """The tiles of the last level put together again."""
    last = pyramid.levels(width, height)[-1]
    found = numpy.zeros((height, width, 3), numpy.uint8)
    for column in range(last.columns):
        for row in range(last.rows):
            tile = numpy.asarray(Image.open(room / "tiles_files" / str(last.level) / f"{column}_{row}.jpg").convert("RGB"))
            found[row * 512 : row * 512 + tile.shape[0], column * 512 : column * 512 + tile.shape[1]] = tile
    return found


DEEP = made.quarters(dtype=numpy.uint16)
FILES = {
    "8-bit TIFF": made.tiff(made.quarters()),
    "8-bit TIFF, LZW": made.saved(made.quarters(), "TIFF", compression="tiff_lzw"),
    "8-bit TIFF, deflate, tiles": made.tiff(made.quarters(), compression="zlib", tile=(16, 16)),
    "8-bit TIFF, planes apart": made.tiff(numpy.moveaxis(made.quarters(), -1, 0), photometric="rgb", planarconfig="separate"),
    "64-bit TIFF": made.tiff(made.quarters(), bigtiff=True),
    "TIFF, the other order of bytes": made.tiff(made.quarters(), byteorder=">"),
    "PNG": made.png(),
    "JPEG": made.jpeg(),
    "progressive JPEG": made.jpeg(progressive=True),
}
DEEP_FILES = {
    "16-bit TIFF": made.tiff(DEEP),
    "16-bit TIFF, LZW": made.tiff_by_hand(60, 40, made.lzw(DEEP.astype("<u2").tobytes()), {258: (3, (16, 16, 16)), 259: (3, (5,))}),
    "16-bit TIFF, deflate, predictor": made.tiff(DEEP, compression="zlib", predictor=True, rowsperstrip=8),
    "16-bit PNG": made.png_of_16_bits(DEEP),
}


@pytest.mark.parametrize("name", FILES)
def test_the_pixels_of_a_picture_are_those_that_were_written(open_, name):
    found = open_(FILES[name]).pixels()
    near = 2 if "JPEG" in name else 0
    assert (found.array.dtype, found.array.shape, found.box, found.scale) == (numpy.uint8, (40, 60, 3), (0, 0, 60, 40), 1.0)
    # Away from the edges between the quarters, where JPEG rings.
    for rows, columns in ((slice(2, 16), slice(2, 22)), (slice(24, 38), slice(34, 58))):
        assert abs(found.array[rows, columns].astype(int) - made.quarters()[rows, columns]).max() <= near


@pytest.mark.parametrize("name", DEEP_FILES)
def test_sixteen_bits_stay_sixteen_for_measuring(open_, name):
    found = open_(DEEP_FILES[name]).pixels().array
    assert found.dtype == numpy.uint16
    assert (found == DEEP).all()


@pytest.mark.parametrize("bits", [8, 16])
def test_grey_is_three_equal_channels(open_, bits):
    grey = (numpy.arange(60 * 40).reshape(40, 60) % 2**bits).astype(numpy.uint8 if bits == 8 else numpy.uint16)
    found = open_(made.tiff(grey)).pixels().array
    assert found.dtype == grey.dtype
    assert all((found[..., channel] == grey).all() for channel in range(3))


def test_a_box_is_widened_to_whole_pixels_and_cut_at_the_edge(open_):
    picture = open_(FILES["PNG"])
    found = picture.pixels((50.5, 30.2, 100, 100))
    assert found.box == (50, 30, 10, 10)
    assert (found.array == made.quarters()[30:40, 50:60]).all()


@pytest.mark.parametrize("box", [(60, 0, 5, 5), (-9, -9, 5, 5), (0, 0, 0, 5), (0, 0, float("nan"), 5)])
def test_a_box_with_nothing_in_it_is_refused(open_, box):
    with pytest.raises(Invalid):
        open_(FILES["PNG"]).pixels(box)


def test_a_large_region_is_reduced_to_what_is_wished_for(open_):
    found = open_(DEEP_FILES["16-bit TIFF"]).pixels(None, 30)
    assert (found.array.shape, found.scale, found.array.dtype) == ((20, 30, 3), 0.5, numpy.uint16)
    assert (found.array[5, 5] == DEEP[10, 10]).all()


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("form", ["JPEG", "TIFF"])
def test_a_picture_is_turned_as_its_camera_notes(open_, orientation, form):
    """Against Pillow's own turning (`ImageOps.exif_transpose`), for all eight ways that EXIF knows; TIFF says the same by its tag 274."""
    from PIL import ImageOps

    plain = made.quarters(60, 40)
    content = made.jpeg(exif=made.exif(orientation)) if form == "JPEG" else made.tiff(plain, extratags=[(274, 3, 1, orientation, True)])
    wanted = numpy.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(made.jpeg(exif=made.exif(orientation))))))
    found = open_(content).pixels().array
    assert found.shape == wanted.shape
    assert abs(found[5, 5].astype(int) - wanted[5, 5]).max() <= 2
    assert abs(found[-5, 5].astype(int) - wanted[-5, 5]).max() <= 2
    told, room = prepared(open_(content))
    assert (told.height, told.width) == wanted.shape[:2]
    assert abs(full_size(room, told.width, told.height)[5, 5].astype(int) - wanted[5, 5]).max() <= 4


def test_colours_of_another_profile_are_converted_to_srgb_and_it_is_said(open_):
    plain = numpy.zeros((40, 60, 3), numpy.uint8)
    plain[:, :30], plain[:, 30:] = (255, 0, 0), (0, 0, 255)
    for content in (made.png(plain, icc_profile=made.swapped_profile()), made.tiff(plain, iccprofile=made.swapped_profile())):
        picture = open_(content)
        found = picture.pixels().array
        # Its red is sRGB's green, its blue sRGB's red.
        assert abs(found[5, 5].astype(int) - (0, 255, 0)).max() <= 3
        assert abs(found[5, 50].astype(int) - (255, 0, 0)).max() <= 3
        told, room = prepared(picture)
        assert told.remarks == ("Its colours were converted from its own colour profile to sRGB.",)
        assert abs(full_size(room, 60, 40)[5, 5].astype(int) - (0, 255, 0)).max() <= 6


def test_a_profile_that_calls_itself_srgb_changes_nothing(open_):
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    picture = open_(made.png(icc_profile=profile))
    assert (picture.pixels().array == made.quarters()).all()
    assert prepared(picture)[0].remarks == ()


def test_a_profile_that_is_no_profile_is_left_aside_and_it_is_said(open_):
    picture = open_(made.tiff(made.quarters(), iccprofile=b"no profile at all"))
    assert (picture.pixels().array == made.quarters()).all()


def test_transparency_lies_on_white(open_):
    seen = numpy.dstack([made.quarters(), numpy.full((40, 60), 255, numpy.uint8)])
    seen[:, :30, 3] = 0
    found = open_(made.png(seen)).pixels().array
    assert found.shape == (40, 60, 3)
    assert (found[:, :30] == 255).all()
    assert (found[:, 30:] == made.quarters()[:, 30:]).all()


def test_tiles_put_together_are_the_picture(open_):
    rng = numpy.random.default_rng(8)
    plain = numpy.kron(rng.integers(0, 255, (13, 21, 3), dtype=numpy.uint8), numpy.ones((64, 64, 1), numpy.uint8))
    told, room = prepared(open_(made.saved(plain, "TIFF", compression="tiff_lzw")))
    assert (told.width, told.height, told.bits) == (1344, 832, 8)
    found = full_size(room, 1344, 832)
    assert abs(found[32::64, 32::64].astype(int) - plain[32::64, 32::64]).max() <= 12


@pytest.mark.parametrize(("width", "height"), [(1, 1), (2, 1), (60, 40), (512, 512), (513, 1), (1025, 700), (1, 1300)])
def test_there_is_just_the_tiles_that_the_list_of_levels_tells(open_, width, height):
    told, room = prepared(open_(made.png(made.quarters(width, height) if width > 1 else numpy.zeros((height, width, 3), numpy.uint8))))
    assert (told.width, told.height) == (width, height)
    folder = room / "tiles_files"
    there = {str(path.relative_to(folder)) for path in folder.rglob("*.jpg")}
    assert there == {f"{level}/{column}_{row}.jpg" for level, column, row in pyramid.tiles(width, height)}
    for one in pyramid.levels(width, height):
        sizes = [Image.open(folder / str(one.level) / f"{column}_{one.rows - 1}.jpg").width for column in range(one.columns)]
        assert (sum(sizes), one.width) == (one.width, one.width)


def test_nothing_but_pixels_goes_into_what_is_shown(open_):
    """EXIF with a place on earth, XMP, comments, a profile and what hangs on behind the picture's end stay in the original."""
    tail = b"<script>alert('SECRETMAKER')</script>PK\x03\x04"
    told = {"comment": b"SECRETMAKER", "icc_profile": made.swapped_profile(b"SECRETMAKER"), "xmp": b"<x>SECRETMAKER</x>"}
    files = (
        made.jpeg(exif=made.exif(6), **told) + tail,
        made.png(pnginfo=made.text_chunk(), exif=made.exif(1)) + tail,
        made.tiff(made.quarters(), description="SECRETMAKER", software="SECRETMAKER") + tail,
    )
    for content in files:
        assert b"SECRETMAKER" in content
        _, room = prepared(open_(content))
        shown = list(room.rglob("*.jpg"))
        assert len(shown) > 5
        for path in shown:
            one = Image.open(path)
            assert not {"exif", "icc_profile", "xmp", "comment"} & set(one.info)
            assert b"SECRETMAKER" not in path.read_bytes()
            assert path.read_bytes().endswith(b"\xff\xd9")


def test_while_pixels_are_read_it_is_told_and_whoever_is_told_may_stop_it(open_):
    told = []
    picture = open_(made.tiff(made.quarters(2_000, 1_500)))
    picture.pixels(tell=lambda done, total, now: told.append((done, total)))
    assert told
    assert all(0 <= done <= total == 100 for done, total in told)

    class Stopped(Exception):
        pass

    def stop(done, total, now):
        raise Stopped

    with pytest.raises(Stopped):
        picture.pixels(tell=stop)


def test_the_small_picture_is_at_most_320_px(open_):
    _, room = prepared(open_(made.tiff(made.quarters(1500, 700))))
    assert Image.open(room / "thumbnail.jpg").size == (320, 149)
    _, room = prepared(open_(made.png()))
    assert Image.open(room / "thumbnail.jpg").size == (60, 40)


def test_the_first_of_several_pages_is_used_and_it_is_said(open_):
    out = io.BytesIO()
    with tifffile.TiffWriter(out) as pages:
        pages.write(made.quarters(), photometric="rgb")
        pages.write(numpy.zeros((40, 60, 3), numpy.uint8), photometric="rgb")
    picture = open_(out.getvalue())
    assert (picture.pixels().array == made.quarters()).all()
    assert prepared(picture)[0].remarks == ("Only the first of its 2 pages is shown.",)


def test_twelve_bits_in_sixteen_are_said_to_look_dark(open_):
    dark = (DEEP // 17).astype(numpy.uint16)
    assert dark.max() < 4096
    picture = open_(made.tiff(dark))
    assert prepared(picture)[0].remarks == ("It uses only the lowest part of its 16 bits, so it looks dark.",)
    assert prepared(open_(made.tiff(DEEP)))[0].remarks == ()


def test_a_file_that_was_damaged_where_it_is_kept_is_noticed(open_):
    from surveys.errors import Conflict

    picture = open_(FILES["PNG"])
    picture.verify()
    picture.path.write_bytes(picture.path.read_bytes() + b"x")
    with pytest.raises(Conflict, match="no longer what it was"):
        picture.verify()


def peak(pid: int) -> int | None:
    """The most memory that a process has held so far, in MiB; None once it has ended.

    What a process is charged with when it is waited for would not do: that counts what its parent held when it was started.
    """
    try:
        told = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    except OSError:
        return None
    words = dict(line.split(":", 1) for line in told.splitlines())
    ended = words["State"].strip()[0] in "ZX"
    return None if ended else int(words.get("VmHWM", "0 kB").split()[0]) // 1024


def test_sixty_million_pixels_of_sixteen_bits_are_opened_in_less_memory_than_they_take(open_, monkeypatch):
    """9,000 × 7,008 px take 361 MiB; the process that opens them may take 250 with all its libraries (113 were measured)."""
    # Each strip is the same packed rows, stored once.
    rows = (numpy.arange(16 * 9_000 * 3) % 65_536).astype("<u2")
    strip = zlib.compress(rows.tobytes())
    strips = {273: (4, (8,) * 438), 278: (4, (16,)), 279: (4, (len(strip),) * 438)}
    picture = open_(made.tiff_by_hand(9_000, 7_008, strip, {258: (3, (16, 16, 16)), 259: (3, (8,)), **strips}))
    most = []

    class Weighed(subprocess.Popen):
        def __init__(self, *args, **kwargs):
            super().__init__(*args, **kwargs)
            threading.Thread(target=self.weigh).start()

        def weigh(self):
            most.append(0)
            place = len(most) - 1
            while (held := peak(self.pid)) is not None:
                most[place] = max(most[place], held)
                time.sleep(0.002)

    monkeypatch.setattr(opening.subprocess, "Popen", Weighed)
    told, room = prepared(picture)
    assert (told.width, told.height, told.bits) == (9_000, 7_008, 16)
    assert sum(1 for _ in room.rglob("*.jpg")) == 1 + sum(1 for _ in pyramid.tiles(9_000, 7_008))
    found = picture.pixels((4_000, 6_992, 500, 16)).array
    assert (found == rows.reshape(16, 9_000, 3)[:, 4_000:4_500]).all()
    assert len(most) == 2
    assert min(most) > 20
    assert max(most) < 250

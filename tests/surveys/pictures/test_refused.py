"""Pictures that are truncated, huge, mislabelled, malicious or of a kind that cannot be measured: refused in words, and cheaply.

Real bytes throughout: written by other libraries, cut or altered, or put together by hand.
"""

import contextlib
import hashlib
import io
import struct
import tempfile
import zlib
from pathlib import Path

import numpy
import pytest
import tifffile
from PIL import Image

from surveys.errors import Conflict, Invalid, TooLarge
from surveys.pictures import guard, opening
from tests.surveys.pictures import made

# Not plain, so that its compressed form has a length to be cut.
BUSY = numpy.random.default_rng(8).integers(0, 255, (200, 300, 3), dtype=numpy.uint8)


@pytest.fixture
def open_(tmp_path):
    def made_of(content: bytes) -> opening.Opened:
        path = tmp_path / "picture"
        path.write_bytes(content)
        return opening.Opened("section.tif", path, hashlib.sha256(content).hexdigest())

    return made_of


def opened_whole(picture: opening.Opened) -> opening.Prepared:
    return picture.prepare(Path(tempfile.mkdtemp(dir=picture.path.parent)), lambda done, total, now: None)


def by_hand(entries: dict, width: int = 4, height: int = 4, strip: bytes = bytes(48)) -> bytes:
    return made.tiff_by_hand(width, height, strip, entries)


def patched(content: bytes, place: int, new: bytes) -> bytes:
    return content[:place] + new + content[place + len(new) :]


PNG, JPEG, TIFF = made.png(BUSY), made.jpeg(BUSY), made.tiff(BUSY, compression="zlib", rowsperstrip=16)
SOF = JPEG.index(b"\xff\xc0")

# -- before anything is decoded ----------------------------------------------------------------------------------------------------------

BY_HEADERS = {
    "PNG cut in its data": (PNG[: len(PNG) // 2], "cut short"),
    "PNG without its end": (PNG[:-12], "cut short"),
    "PNG of its first bytes only": (PNG[:20], "cut short"),
    "PNG of no width": (made.png_by_hand(0, 5, zlib.compress(b"")), "0 × 5 px"),
    "PNG of 3 bits": (made.png_by_hand(5, 5, zlib.compress(bytes(80)), depth=3), "no PNG has 3 bits"),
    "PNG of 64 bits": (made.png_by_hand(5, 5, zlib.compress(bytes(80)), depth=64), "no PNG has 64 bits"),
    "PNG without a picture": (PNG[:33] + made.chunk(b"IEND", b""), "no picture"),
    "PNG whose first part is another": (b"\x89PNG\r\n\x1a\n" + made.chunk(b"IDAT", bytes(13)) + bytes(40), "does not begin"),
    "PNG with a part longer than any may be": (PNG[:33] + b"\xff\xff\xff\xffIDAT" + PNG[41:], "longer than any"),
    "animated PNG": (made.png_by_hand(5, 5, zlib.compress(bytes(80)), before=made.chunk(b"acTL", struct.pack(">II", 2, 0))), "animated"),
    "JPEG cut in its data": (JPEG[: len(JPEG) // 2], "cut short"),
    "JPEG without its end": (JPEG[:-2], "cut short"),
    "JPEG of its first bytes only": (JPEG[:5], "cut short"),
    "JPEG of no height": (patched(JPEG, SOF + 5, b"\0\0"), "so there is no picture"),
    "JPEG of 12 bits": (patched(JPEG, SOF + 4, b"\x0c"), "JPEG of 12 bits"),
    "JPEG of arithmetic coding": (patched(JPEG, SOF + 1, b"\xc9"), "hardly ever written"),
    "lossless JPEG": (patched(JPEG, SOF + 1, b"\xc3"), "hardly ever written"),
    "JPEG for printing": (None, "printing colours"),
    "JPEG whose parts do not meet": (patched(JPEG, 4, b"\0\x03"), "does not begin where"),
    "JPEG that says two sizes": (JPEG[:SOF] + JPEG[SOF : SOF + 19] + JPEG[SOF:], "says twice how large"),
    "JPEG that says another size after its data": (JPEG[:-2] + JPEG[SOF : SOF + 19] + b"\xff\xd9", "says twice how large"),
    "JPEG without a picture": (b"\xff\xd8\xff\xe0\0\x04ab\xff\xd9", "no picture"),
    "JPEG of a thousand passes": (
        JPEG[: JPEG.index(b"\xff\xda")] + (JPEG[JPEG.index(b"\xff\xda") :][:14] + b"\0") * 1000 + b"\xff\xd9", "passes"
    ),
    "TIFF cut in its data": (TIFF[: len(TIFF) // 2], "cut short"),
    "TIFF of its first bytes only": (TIFF[:8], "cut short"),
    "TIFF whose list is elsewhere": (patched(TIFF, 4, struct.pack("<I", 2**31)), "cut short"),
    "TIFF of no size": (by_hand({256: (4, (0,))}), "0 × 4 px"),
    "TIFF of 32 bits": (by_hand({258: (3, (32, 32, 32))}), "32 bits a channel"),
    "TIFF of 7 bits": (by_hand({258: (3, (7, 7, 7))}), "7 bits a channel"),
    "TIFF of uneven bits": (by_hand({258: (3, (8, 16, 8))}), "8, 16 bits a channel"),
    "TIFF of 60,000 bits": (by_hand({258: (3, (60_000,) * 3)}), "60000 bits a channel"),
    "TIFF of fractions": (made.tiff(numpy.ones((5, 5), numpy.float32)), "32 bits a channel, and not as whole numbers"),
    "TIFF of signed numbers": (made.tiff(numpy.ones((5, 5), numpy.int16)), "not as whole numbers"),
    "TIFF packed as nothing known": (by_hand({259: (3, (34712,))}), "compression 34712"),
    "TIFF packed as a fax": (by_hand({259: (3, (4,)), 258: (3, (1,)), 277: (3, (1,))}), "compression 4"),
    "TIFF for printing": (by_hand({262: (3, (5,)), 277: (3, (4,)), 258: (3, (8,) * 4)}, strip=bytes(64)), "printing colours"),
    "TIFF of logarithms": (by_hand({262: (3, (32844,))}), "does not hold its colours"),
    "TIFF of nine channels": (by_hand({277: (3, (9,)), 258: (3, (8,) * 9)}, strip=bytes(144)), "9 channels"),
    "TIFF with strips beyond its end": (by_hand({279: (4, (10**6,))}), "cut short"),
    "TIFF with too few strips": (by_hand({278: (4, (1,))}), "missing"),
    "TIFF of tiles without size": (by_hand({322: (4, (0,)), 323: (4, (0,)), 324: (4, (8,)), 325: (4, (48,))}), "no size"),
    "TIFF whose pages go in a circle": (None, "without end"),
    "TIFF with a list of 60,000": (None, "cannot be right"),
}  # fmt: skip


def in_a_circle() -> bytes:
    content = by_hand({})
    (place,) = struct.unpack("<I", content[4:8])
    (many,) = struct.unpack("<H", content[place : place + 2])
    return patched(content, place + 2 + 12 * many, struct.pack("<I", place))


def too_long_a_list() -> bytes:
    content = by_hand({})
    (place,) = struct.unpack("<I", content[4:8])
    return patched(content, place, struct.pack("<H", 60_000))


def for_printing() -> bytes:
    out = io.BytesIO()
    Image.fromarray(BUSY).convert("CMYK").save(out, "JPEG")
    return out.getvalue()


LATER = {
    "JPEG for printing": for_printing,
    "TIFF whose pages go in a circle": in_a_circle,
    "TIFF with a list of 60,000": too_long_a_list,
}


@pytest.mark.parametrize("what", BY_HEADERS)
def test_what_its_headers_give_away_is_refused_before_a_decoder_sees_it(open_, monkeypatch, what):
    monkeypatch.setattr(opening.subprocess, "Popen", None)
    content, words = BY_HEADERS[what]
    with pytest.raises(Invalid, match=words) as refusal:
        open_(content if content is not None else LATER[what]())
    assert refusal.value.detail.startswith("section.tif ")
    assert refusal.value.detail.endswith(".")


HUGE = {
    "PNG": made.png_by_hand(60_000, 60_000, zlib.compress(bytes(1000))),
    "PNG as wide as numbers go": made.png_by_hand(2**31 - 1, 1, zlib.compress(bytes(1000))),
    "JPEG": patched(JPEG, SOF + 5, b"\xff\xdc\xff\xdc"),
    "TIFF": by_hand({278: (4, (1,))}, 50_000, 50_000),
    "TIFF as high as numbers go": by_hand({}, 1, 2**32 - 1),
}


@pytest.mark.parametrize("what", HUGE)
def test_a_huge_picture_in_a_small_file_is_refused_by_its_size(open_, monkeypatch, what):
    monkeypatch.setattr(opening.subprocess, "Popen", None)
    assert len(HUGE[what]) < 200_000
    with pytest.raises(TooLarge, match="A picture may have at most 200 million pixels"):
        open_(HUGE[what])


def test_one_strip_beyond_measure_is_refused(open_):
    content = made.tiff_by_hand(14_000, 14_000, zlib.compress(b""), {258: (3, (16, 16, 16)), 259: (3, (8,))})
    with pytest.raises(TooLarge, match="one piece of more than 768 MiB"):
        open_(content)


def stopping(content: bytes) -> bytes:
    """A TIFF whose last strip or tile says that it has half its bytes: the file is whole, its headers agree, the picture is not."""
    with tifffile.TiffFile(io.BytesIO(content)) as file:
        page = file.pages[0]
        lengths = page.tags.get(325) or page.tags[279]
        many, last = len(page.databytecounts), page.databytecounts[-1]
        form = {3: "H", 4: "I", 16: "Q"}[int(lengths.dtype)]
        place = lengths.valueoffset + (many - 1) * struct.calcsize(form)
    return patched(content, place, struct.pack(file.byteorder + form, last // 2))


def png_stopping(content: bytes) -> bytes:
    """A PNG with the first half of its compressed data, each of its parts as it should be."""
    place, parts, packed = 8, [], b""
    while place < len(content):
        length, name = struct.unpack(">I4s", content[place : place + 8])
        held = content[place + 8 : place + 8 + length]
        if name == b"IDAT":
            packed += held
        elif name != b"IEND":
            parts.append(made.chunk(name, held))
        place += 12 + length
    return content[:8] + b"".join(parts) + made.chunk(b"IDAT", packed[: len(packed) // 2]) + made.chunk(b"IEND", b"")


# -- what only a decoder finds -----------------------------------------------------------------------------------------------------------

DAMAGED = {
    "PNG that unpacks to too little": made.png_by_hand(300, 200, zlib.compress(bytes(500))),
    "PNG that is no deflate": made.png_by_hand(300, 200, b"nothing that could be unpacked" * 20),
    "PNG with a byte turned": patched(PNG, 5_000, bytes([PNG[5_000] ^ 0xFF])),
    "JPEG whose data stop": made.jpeg(BUSY)[: len(JPEG) // 2] + b"\xff\xd9",
    "TIFF that is no deflate": by_hand({259: (3, (8,))}, 100, 100, b"nothing that could be unpacked" * 20),
    "TIFF that unpacks to too little": by_hand({259: (3, (8,))}, 100, 100, zlib.compress(bytes(500))),
    "TIFF with a byte turned": patched(TIFF, 1_000, bytes(64)),
    "TIFF whose JPEG data stop": stopping(made.saved(BUSY, "TIFF", compression="jpeg")),
    "TIFF whose LZW stops": stopping(made.saved(BUSY, "TIFF", compression="tiff_lzw")),
    "TIFF whose run lengths stop": stopping(made.saved(BUSY, "TIFF", compression="packbits")),
    "TIFF one of whose tiles stops": stopping(made.tiff(BUSY, compression="zlib", tile=(64, 64))),
    "TIFF one of whose planes stops": stopping(
        made.tiff(numpy.moveaxis(BUSY, -1, 0), photometric="rgb", planarconfig="separate", compression="zlib")
    ),
    "TIFF of 16 bits that stops": stopping(made.tiff(BUSY.astype(numpy.uint16) * 257, compression="zlib", predictor=True, rowsperstrip=50)),
    "64-bit TIFF that stops": stopping(made.tiff(BUSY, bigtiff=True, compression="zlib")),
    "TIFF of one bit that stops": stopping(made.saved(BUSY[..., 0] > 99, "TIFF", compression="packbits")),
    "TIFF whose last strip is not all there": stopping(made.tiff(BUSY, rowsperstrip=50)),
    "grey PNG that stops": png_stopping(made.png(BUSY[..., 0])),
    "PNG with transparency that stops": png_stopping(made.png(numpy.dstack([BUSY, BUSY[..., 0]]))),
    "PNG of 16 bits that stops": png_stopping(made.png_of_16_bits(BUSY.astype(numpy.uint16) * 257)),
    "PNG that says two sizes": made.png_by_hand(
        300, 200, zlib.compress(bytes(901 * 200)), before=made.chunk(b"IHDR", struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0))
    ),
    "PNG without its palette": made.png_by_hand(300, 200, zlib.compress(bytes(301 * 200)), colour=3),
    "TIFF that is no LZW": by_hand({259: (3, (5,))}, 100, 100, b"\xff\xfe" * 500),
}


@pytest.mark.parametrize("what", DAMAGED)
def test_a_damaged_picture_is_refused_in_words(open_, what):
    picture = open_(DAMAGED[what])
    for deed in (lambda: opened_whole(picture), picture.pixels):
        with pytest.raises(Invalid, match=r"^section\.tif cannot be read to its end: it is damaged, or cut short\."):
            deed()


HARMLESS = {
    "text that does not end as it should": by_hand({270: (3, (1, 2))}).replace(
        struct.pack("<HHI", 270, 3, 2), struct.pack("<HHI", 270, 2, 4)
    ),
    "an entry said twice over": by_hand({296: (3, (2, 2))}),
    "entries of a camera's own": by_hand({65_001: (3, (1, 2, 3, 4, 5))}),
    "a fourth channel that is not explained": by_hand({277: (3, (4,)), 258: (3, (8,) * 4)}, strip=bytes(64)),
}


@pytest.mark.parametrize("what", HARMLESS)
def test_a_tiff_of_which_a_library_only_warns_is_opened(open_, what):
    assert opened_whole(open_(HARMLESS[what])).width == 4


@pytest.mark.parametrize("part", [b"zTXtComment\0\0", b"iCCPname\0\0", b"iTXtComment\0\1\0\0\0"])
def test_what_a_small_png_would_unpack_to_beside_its_picture_is_not_unpacked(open_, part):
    """256 MiB of text or of a profile in a few hundred KiB: the pixels are read, and nothing of it."""
    packed = zlib.compress(bytes(256 * 1024 * 1024), 9)
    rows = b"".join(b"\0" + row.tobytes() for row in BUSY)
    picture = open_(made.png_by_hand(300, 200, zlib.compress(rows), before=made.chunk(part[:4], part[4:] + packed)))
    assert (picture.pixels().array == BUSY).all()


def test_deflate_that_unpacks_to_a_thousand_times_its_size_stops_at_the_strip(open_):
    """A strip of 100 rows, and compressed data that would unpack to 200 MiB: no more is unpacked than the strip holds."""
    packed = zlib.compress(bytes(200 * 1024 * 1024), 9)
    picture = open_(by_hand({259: (3, (8,))}, 100, 100, packed))
    told = opened_whole(picture)
    assert (told.width, told.height) == (100, 100)


def test_a_picture_that_takes_more_memory_than_is_given_is_refused_in_words(open_, monkeypatch, tmp_path):
    """The limit is put at what the libraries themselves need and a little more; of a progressive JPEG all must be held at once."""
    child = tmp_path / "child.py"
    text = opening.CHILD.read_text(encoding="utf-8")
    assert "MEMORY = 2_560 * 1024 * 1024" in text
    child.write_text(text.replace("MEMORY = 2_560 * 1024 * 1024", "MEMORY = 450 * 1024 * 1024"), encoding="utf-8")
    monkeypatch.setattr(opening, "CHILD", child)
    content = made.jpeg(numpy.zeros((8_000, 8_000, 3), numpy.uint8), progressive=True)
    with pytest.raises(TooLarge, match="more memory or time"):
        open_(content).pixels(None, 100)


@pytest.mark.parametrize("code", [4, -9, -6, -11])
def test_however_the_decoder_ends_the_worker_lives(open_, code):
    with pytest.raises(TooLarge, match="more memory or time"):
        open_(PNG)._refuse_end(code, "")


@pytest.mark.parametrize("code", [-15, -2, -1])
def test_a_program_that_is_stopped_leaves_no_picture_refused_for_it(open_, code):
    with pytest.raises(Conflict, match=r"The program was stopped while section\.tif was opened"):
        open_(PNG)._refuse_end(code, "")


def test_a_decoder_that_is_told_to_end_while_it_opens_a_picture_says_nothing_against_it(open_, monkeypatch):
    begun = opening.subprocess.Popen

    def ended(*given, **options):
        process = begun(*given, **options)
        process.terminate()
        return process

    monkeypatch.setattr(opening.subprocess, "Popen", ended)
    with pytest.raises(Conflict, match="was stopped"):
        open_(PNG).pixels()


@pytest.mark.parametrize("code", [1, 2, 120])
def test_a_decoder_that_does_not_start_is_no_fault_of_the_picture(open_, code):
    with pytest.raises(RuntimeError, match=f"ended with {code}"):
        open_(PNG)._refuse_end(code, "")


def test_a_full_disk_is_no_fault_of_the_picture(open_):
    with pytest.raises(OSError, match="No room"):
        open_(PNG)._refuse_end(3, "Error: unable to write: No space left on device")


def test_the_decoder_gets_no_secret_along(open_, monkeypatch):
    seen = {}

    class Noted(Exception):
        pass

    def noted(*given, **options):
        seen.update(options["env"])
        raise Noted

    monkeypatch.setenv("UNDERCOAT_SECRET_KEY", "secret")
    monkeypatch.setattr(opening.subprocess, "Popen", noted)
    with pytest.raises(Noted):
        open_(PNG).pixels()
    assert "PATH" in seen
    assert not any(name.startswith(("UNDERCOAT", "DATABASE", "DJANGO")) for name in seen)


def test_a_picture_with_another_kind_behind_its_end_is_read_as_what_it_begins_with(open_):
    """A file that is a JPEG to one and an archive or a page to another: what is shown of it is the JPEG only."""
    told = opened_whole(open_(JPEG + b"PK\x03\x04<script>1</script>"))
    assert (told.width, told.height) == (300, 200)


def test_the_readers_of_headers_never_fall_over_whatever_the_bytes(open_):
    """Each byte of the beginnings altered in turn: a reading or a refusal in words, nothing else."""
    read = 0
    for kind, content in (("image/png", made.png()), ("image/jpeg", made.jpeg()), ("image/tiff", made.tiff(made.quarters()))):
        start = 8 if kind == "image/png" else 2 if kind == "image/jpeg" else 4
        places = [*range(start, min(len(content), 400)), *range(max(start, len(content) - 300), len(content))]
        for place in places:
            for value in (0x00, 0x7F, 0xFF):
                with contextlib.suppress(Invalid, TooLarge):
                    guard.look("x", kind, io.BytesIO(patched(content, place, bytes([value]))))
                    read += 1
    assert read > 1_000

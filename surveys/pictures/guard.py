"""What is read of a picture's headers before any decoder sees it: how large it is, how deep, how it is packed, whether it is all there.

Plain reading of bytes; nothing is unpacked. Sources: PNG, W3C Recommendation of 2025 (third edition), clauses 5, 11 and 'acTL'; JPEG, ITU-T
T.81, annex B; TIFF, revision 6.0, sections 2, 8, 14 and 19, with the 64-bit form (magic number 43) as its libraries write it.
"""

import os
import struct
from collections.abc import Callable
from dataclasses import dataclass
from typing import IO, Any, Final

from surveys.errors import Invalid, TooLarge
from surveys.pictures.sniffing import JPEG, PNG, TIFF

# Common practice: micrographs have 5 to 60 million pixels; stitched ones are larger.
MOST_PIXELS: Final = 200_000_000
LONGEST_SIDE: Final = 60_000
# A picture in one strip is unpacked as one piece.
LARGEST_STRIP: Final = 768 * 1024 * 1024
MOST_PAGES: Final = 1_000
MOST_SCANS: Final = 100


@dataclass(frozen=True, slots=True)
class Headers:
    """What the headers say: size in px as it is stored (before it is turned), bits of a channel, channels, pages."""

    width: int
    height: int
    bits: int
    channels: int
    pages: int = 1


class _Short(Exception):
    """The file ends where more should be."""


def look(name: str, kind: str, source: IO[bytes]) -> Headers:
    """The headers of a picture of a kind; refused in words if it may not be opened."""
    size = source.seek(0, os.SEEK_END)
    source.seek(0)
    try:
        found = READERS[kind](_Reader(name, source, size))
    except (_Short, struct.error):
        raise refused(name, "is cut short: it ends before its picture does. Bring it again, whole", "damaged") from None
    _refuse_size(name, found)
    return found


def refused(name: str, what: str, code: str = "not-readable") -> Invalid:
    """A refusal of a picture."""
    return Invalid(f"{name} {what}.", code=code)


def _refuse_size(name: str, found: Headers) -> None:
    if found.width < 1 or found.height < 1:
        raise refused(name, f"says that it is {found.width} × {found.height} px, so there is no picture in it", "damaged")
    if max(found.width, found.height) > LONGEST_SIDE or found.width * found.height > MOST_PIXELS:
        raise TooLarge(
            f"{name} is {found.width:,} × {found.height:,} px. A picture may have at most {MOST_PIXELS // 1_000_000} million pixels and "
            f"be {LONGEST_SIDE:,} px long. Bring it in parts, or smaller."
        )
    if found.channels not in (1, 2, 3, 4):
        raise refused(name, f"has {found.channels} channels. Pictures are read in grey or in red, green and blue: save it so")


class _Reader:
    """Bytes of a file, in order or by place; _Short where there are none."""

    def __init__(self, name: str, source: IO[bytes], size: int) -> None:
        self.name = name
        self.source = source
        self.size = size

    def at(self, place: int, many: int) -> bytes:
        if place < 0 or many < 0 or place + many > self.size:
            raise _Short
        self.source.seek(place)
        found = self.source.read(many)
        if len(found) < many:
            raise _Short
        return found

    def no(self, what: str, code: str = "not-readable") -> Invalid:
        return refused(self.name, what, code)


# -- PNG -------------------------------------------------------------------------------------------------------------------------


def _png(file: _Reader) -> Headers:
    length, name = struct.unpack(">I4s", file.at(8, 8))
    if name != b"IHDR" or length != 13:
        raise file.no("is damaged: it does not begin as a PNG does. Save it again as PNG", "damaged")
    width, height, bits, colour, packing, filtering, interlace = struct.unpack(">IIBBBBB", file.at(16, 13))
    channels = {0: 1, 2: 3, 3: 3, 4: 2, 6: 4}.get(colour, 0)
    if not channels or bits not in (1, 2, 4, 8, 16) or packing or filtering or interlace > 1:
        raise file.no(f"is damaged: no PNG has {bits} bits in colours of type {colour}. Save it again as PNG", "damaged")
    place, pixels = 33, 0
    while True:
        length, name = struct.unpack(">I4s", file.at(place, 8))
        if length > 2**31 - 1:
            raise file.no("is damaged: one of its parts says that it is longer than any may be", "damaged")
        if name == b"acTL" and struct.unpack(">I", file.at(place + 8, 4))[0] > 1:
            raise file.no("is animated. Save the one picture that counts, and bring that")
        if name == b"IDAT":
            pixels += length
        if name == b"IEND":
            break
        place += 12 + length
    if not pixels:
        raise file.no("is damaged: it holds no picture", "damaged")
    return Headers(width, height, 8 if bits < 8 else bits, channels)


# -- JPEG ------------------------------------------------------------------------------------------------------------------------

_ALONE: Final = {0x01, *range(0xD0, 0xD9)}
_WITHIN: Final = frozenset({0x00, 0xFF, *range(0xD0, 0xD8)})
PIECE: Final = 65_536
_FRAMES: Final = {*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC}


def _jpeg(file: _Reader) -> Headers:
    place, found, scans = 2, None, 0
    while True:
        mark, code = file.at(place, 2)
        if mark != 0xFF:
            raise file.no("is damaged: one of its parts does not begin where the one before ends. Save it again as JPEG", "damaged")
        if code == 0xFF or code in _ALONE:
            place += 1 if code == 0xFF else 2
            continue
        if code == 0xD9:
            break
        (length,) = struct.unpack(">H", file.at(place + 2, 2))
        if length < 2:
            raise file.no("is damaged: one of its parts has no length. Save it again as JPEG", "damaged")
        if code in _FRAMES:
            if found is not None:
                # Which of two sizes a decoder takes is its own affair; what is looked at here must be what it opens.
                raise file.no("is damaged: it says twice how large it is. Save it again as JPEG", "damaged")
            found = _frame(file, place, code)
        place += 2 + length
        if code == 0xDA:
            scans += 1
            if scans > MOST_SCANS:
                raise file.no(f"is stored in more than {MOST_SCANS} passes. Save it again as an ordinary JPEG")
            place = _after_scan(file, place)
    if found is None or not scans:
        raise file.no("is damaged: it holds no picture. Save it again as JPEG", "damaged")
    return found


def _frame(file: _Reader, place: int, code: int) -> Headers:
    bits, height, width, channels = struct.unpack(">BHHB", file.at(place + 4, 6))
    if code not in (0xC0, 0xC1, 0xC2):
        raise file.no("is a kind of JPEG that is hardly ever written (lossless, hierarchical or arithmetic). Save it as TIFF or PNG")
    if bits != 8:
        raise file.no(f"is a JPEG of {bits} bits. Save it as TIFF or PNG")
    if channels not in (1, 3):
        raise file.no("is in printing colours (cyan, magenta, yellow, black). Save it in red, green and blue")
    return Headers(width, height, bits, channels)


def _after_scan(file: _Reader, place: int) -> int:
    """The next mark after compressed data, in which FF is followed by 00, by a restart mark, or by more FF."""
    while place < file.size - 1:
        piece = file.at(place, min(PIECE, file.size - place))
        at = piece.find(b"\xff")
        while 0 <= at < len(piece) - 1:
            if piece[at + 1] not in _WITHIN:
                return place + at
            at = piece.find(b"\xff", at + 1)
        # What may be the first half of a mark is looked at again with the next piece.
        place += len(piece) if at < 0 else max(at, 1)
    raise _Short


# -- TIFF ------------------------------------------------------------------------------------------------------------------------

_SIZES: Final = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4, 16: 8, 17: 8, 18: 8}
_WHOLE: Final = {1: "B", 3: "H", 4: "I", 13: "I", 16: "Q", 18: "Q"}
# none, LZW, deflate (two numbers), JPEG, run lengths
PACKINGS: Final = (1, 5, 8, 32946, 7, 32773)
# white is zero, black is zero, RGB, palette, YCbCr, L*a*b*
COLOURS: Final = (0, 1, 2, 3, 6, 8)
MOST_ENTRIES: Final = 4_096
MOST_VALUES: Final = 300_000


class _Directory:
    """One page's entries, read as whole numbers."""

    def __init__(self, file: _Reader, order: str, large: bool, place: int) -> None:
        self.file, self.order = file, order
        count_form, entry, offset_form, inline = ("Q", 20, "Q", 8) if large else ("H", 12, "I", 4)
        (count,) = struct.unpack(order + count_form, file.at(place, struct.calcsize(count_form)))
        if not 0 < count <= MOST_ENTRIES:
            raise file.no("is damaged: its list of what is in it cannot be right. Save it again as TIFF", "damaged")
        start = place + struct.calcsize(count_form)
        table = file.at(start, count * entry + struct.calcsize(offset_form))
        (self.next,) = struct.unpack(order + offset_form, table[count * entry :])
        self.entries: dict[int, tuple[int, int, bytes]] = {}
        for at in range(0, count * entry, entry):
            tag, form, many = struct.unpack(order + "HH" + offset_form, table[at : at + 4 + struct.calcsize(offset_form)])
            self.entries[tag] = (form, many, table[at + entry - inline : at + entry])
        self.offset_form, self.inline = offset_form, inline

    def values(self, tag: int, otherwise: tuple[int, ...] = ()) -> tuple[int, ...]:
        if tag not in self.entries:
            return otherwise
        form, many, held = self.entries[tag]
        if form not in _WHOLE or not 0 < many <= MOST_VALUES:
            raise self.file.no(f"is damaged: its entry {tag} cannot be right. Save it again as TIFF", "damaged")
        length = _SIZES[form] * many
        if length > self.inline:
            (place,) = struct.unpack(self.order + self.offset_form, held)
            held = self.file.at(place, length)
        return struct.unpack(f"{self.order}{many}{_WHOLE[form]}", held[:length])

    def one(self, tag: int, otherwise: int) -> int:
        return self.values(tag, (otherwise,))[0]


def _tiff(file: _Reader) -> Headers:
    head = file.at(0, 8)
    order = "<" if head[:2] == b"II" else ">"
    large = struct.unpack(order + "H", head[2:4])[0] == 43
    (place,) = struct.unpack(order + "Q", file.at(8, 8)) if large else struct.unpack(order + "I", head[4:8])
    first = _Directory(file, order, large, place)
    pages, seen, after = 1, {place}, first.next
    while after:
        if after in seen or pages >= MOST_PAGES:
            raise file.no("is damaged: its pages follow each other without end. Save it again as TIFF", "damaged")
        seen.add(after)
        pages += 1
        after = _Directory(file, order, large, after).next
    return _page(file, first, pages)


def _page(file: _Reader, page: _Directory, pages: int) -> Headers:
    width, height, channels = page.one(256, 0), page.one(257, 0), page.one(277, 1)
    depths, packing, colour = page.values(258, (1,)), page.one(259, 1), page.one(262, -1)
    bits = depths[0]
    if len(set(depths)) > 1 or bits not in (1, 8, 16) or any(one != 1 for one in page.values(339, (1,))):
        told = ", ".join(str(one) for one in sorted(set(depths))[:4])
        form = "" if all(one == 1 for one in page.values(339, (1,))) else ", and not as whole numbers from 0"
        raise file.no(f"holds {told} bits a channel{form}. Save it with 8 or 16 bits a channel")
    if packing not in PACKINGS:
        raise file.no(f"is packed in a way that is not read here (compression {packing}). Save it with LZW or deflate, or not packed")
    if colour == 5:
        raise file.no("is in printing colours (cyan, magenta, yellow, black). Save it in red, green and blue")
    if colour not in COLOURS:
        raise file.no("does not hold its colours as a picture does. Save it in grey or in red, green and blue")
    found = Headers(width, height, max(bits, 8), channels, pages)
    _refuse_size(file.name, found)
    _refuse_pieces(file, page, found, bits)
    return found


def _refuse_pieces(file: _Reader, page: _Directory, found: Headers, bits: int) -> None:
    """Every strip or tile lies within the file, none is beyond measure, and there are as many as the picture needs."""
    tiled = 322 in page.entries
    wide, high = (page.one(322, 0), page.one(323, 0)) if tiled else (found.width, min(page.one(278, found.height), found.height))
    if not 0 < wide <= 65_536 or not 0 < high <= max(65_536, found.height):
        raise file.no("is damaged: its strips or tiles have no size. Save it again as TIFF", "damaged")
    apart = page.one(284, 1) == 2
    channels = 1 if apart else found.channels
    if wide * high * channels * bits // 8 > LARGEST_STRIP:
        raise TooLarge(
            f"{file.name} is one piece of more than {LARGEST_STRIP // 1024 // 1024} MiB when unpacked. Save it in strips or tiles."
        )
    needed = -(-found.width // wide) * -(-found.height // high) * (found.channels if apart else 1)
    places, lengths = (page.values(324), page.values(325)) if tiled else (page.values(273), page.values(279))
    if len(places) < needed or len(lengths) < needed:
        raise file.no("is damaged: some of its strips or tiles are missing. Save it again as TIFF", "damaged")
    for place, length in zip(places, lengths, strict=False):
        file.at(place, 0)
        if place + length > file.size:
            raise _Short


READERS: Final[dict[str, Callable[[Any], Headers]]] = {PNG: _png, JPEG: _jpeg, TIFF: _tiff}

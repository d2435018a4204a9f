"""Pictures as bytes, written by libraries other than the one that reads them (Pillow, tifffile), or put together by hand."""

import io
import struct
import zlib
from typing import Any

import numpy
import tifffile
from PIL import Image, PngImagePlugin

# Colours of the quarters of a test picture: upper left, upper right, lower left, lower right.
QUARTERS = ((200, 30, 30), (30, 180, 60), (40, 60, 190), (230, 220, 90))


def quarters(width: int = 60, height: int = 40, dtype: Any = numpy.uint8) -> numpy.ndarray[Any, Any]:
    """(height, width, 3): four plain quarters, so that it is seen how a picture was turned."""
    found = numpy.zeros((height, width, 3), numpy.uint8)
    for place, colour in enumerate(QUARTERS):
        rows = slice(0, height // 2) if place < 2 else slice(height // 2, height)
        columns = slice(0, width // 2) if place % 2 == 0 else slice(width // 2, width)
        found[rows, columns] = colour
    return found if dtype == numpy.uint8 else (found.astype(numpy.uint16) * 257)


def tiff(array: numpy.ndarray[Any, Any], **options: Any) -> bytes:
    out = io.BytesIO()
    options.setdefault("photometric", "rgb" if array.ndim == 3 and array.shape[-1] in (3, 4) else "minisblack")
    tifffile.imwrite(out, array, **options)
    return out.getvalue()


def tiff_by_hand(width: int, height: int, strip: bytes, entries: dict[int, tuple[int, tuple[int, ...]]] | None = None) -> bytes:
    """A little-endian TIFF of one strip, each entry of its directory as said (TIFF 6.0, section 2): {tag: (type, values)}."""
    told = {
        256: (4, (width,)), 257: (4, (height,)), 258: (3, (8, 8, 8)), 259: (3, (1,)), 262: (3, (2,)), 273: (4, (8,)), 277: (3, (3,)),
        278: (4, (height,)), 279: (4, (len(strip),)), 284: (3, (1,)),
    } | (entries or {})  # fmt: skip
    place = 8 + len(strip) + len(strip) % 2
    beyond = place + 2 + 12 * len(told) + 4
    table, more = struct.pack("<H", len(told)), b""
    for tag, (form, values) in sorted(told.items()):
        held = struct.pack(f"<{len(values)}{'H' if form == 3 else 'I'}", *values)
        if len(held) > 4:
            table += struct.pack("<HHII", tag, form, len(values), beyond + len(more))
            more += held + bytes(len(held) % 2)
        else:
            table += struct.pack("<HHI4s", tag, form, len(values), held.ljust(4, b"\0"))
    return b"II*\0" + struct.pack("<I", place) + strip + bytes(len(strip) % 2) + table + bytes(4) + more


def lzw(content: bytes) -> bytes:
    """TIFF's LZW with literals only (TIFF 6.0, section 13): a clear code before codes would have to grow beyond 9 bits."""
    bits, held, out = 0, 0, bytearray()
    codes = [code for start in range(0, len(content), 250) for code in (256, *content[start : start + 250])] + [257]
    for code in codes:
        held, bits = (held << 9) | code, bits + 9
        while bits >= 8:
            bits -= 8
            out.append((held >> bits) & 255)
        held &= (1 << bits) - 1
    out.append((held << (8 - bits)) & 255)
    return bytes(out)


def saved(array: numpy.ndarray[Any, Any], form: str, **options: Any) -> bytes:
    out = io.BytesIO()
    Image.fromarray(array).save(out, form, **options)
    return out.getvalue()


def png(array: numpy.ndarray[Any, Any] | None = None, **options: Any) -> bytes:
    return saved(quarters() if array is None else array, "PNG", **options)


def jpeg(array: numpy.ndarray[Any, Any] | None = None, **options: Any) -> bytes:
    return saved(quarters() if array is None else array, "JPEG", quality=95, subsampling=0, **options)


def png_of_16_bits(array: numpy.ndarray[Any, Any]) -> bytes:
    """By hand, for Pillow writes no 16-bit RGB (PNG, clauses 5 and 11)."""
    height, width, _ = array.shape
    raw = b"".join(b"\0" + row.astype(">u2").tobytes() for row in array)
    return png_by_hand(width, height, zlib.compress(raw), depth=16)


def png_by_hand(width: int, height: int, packed: bytes, depth: int = 8, colour: int = 2, before: bytes = b"") -> bytes:
    """A PNG of these parts, whatever they say."""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + before + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


def chunk(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))


def exif(orientation: int) -> bytes:
    """EXIF with a camera, a place on earth, and how the camera was held."""
    told = Image.Exif()
    told[0x0112] = orientation
    told[0x010F] = "SECRETMAKER"
    told.get_ifd(0x8825).update({1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (0.0, 7.0, 0.0)})
    return told.tobytes()


def text_chunk() -> PngImagePlugin.PngInfo:
    told = PngImagePlugin.PngInfo()
    told.add_text("Comment", "SECRETMAKER")
    return told


def swapped_profile(name: bytes = b"swapped") -> bytes:
    """An ICC profile by hand (ICC.1:2022, clauses 7, 9.2, 10.6, 10.31).

    Its red is sRGB's green, its green sRGB's blue, its blue sRGB's red.
    """

    def fixed(value: float) -> bytes:
        return struct.pack(">i", round(value * 65_536))

    def xyz(*values: float) -> bytes:
        return b"XYZ \0\0\0\0" + b"".join(map(fixed, values))

    # sRGB's colourants as adapted to D50 (IEC 61966-2-1 with the Bradford matrix, as its published profiles have them).
    red, green, blue = (0.43607, 0.22249, 0.01392), (0.38515, 0.71687, 0.09708), (0.14307, 0.06061, 0.71410)
    curve = b"curv\0\0\0\0" + struct.pack(">IH", 1, 0x0233)  # a power of 2.2
    told = b"desc\0\0\0\0" + struct.pack(">I", len(name) + 1) + name + b"\0" + bytes(78)
    tags = {
        b"desc": told, b"cprt": b"text\0\0\0\0none\0", b"wtpt": xyz(0.9642, 1.0, 0.8249), b"rXYZ": xyz(*green), b"gXYZ": xyz(*blue),
        b"bXYZ": xyz(*red), b"rTRC": curve, b"gTRC": curve, b"bTRC": curve,
    }  # fmt: skip
    place, table, body = 132 + 12 * len(tags), struct.pack(">I", len(tags)), b""
    for tag, content in tags.items():
        content += bytes(-len(content) % 4)
        table += tag + struct.pack(">II", place + len(body), len(content))
        body += content
    head = struct.pack(">I4sI4s4s4s", place + len(body), b"none", 0x02400000, b"mntr", b"RGB ", b"XYZ ") + bytes(12) + b"acsp" + bytes(28)
    head += fixed(0.9642) + fixed(1.0) + fixed(0.8249)
    return head.ljust(128, b"\0") + table + body

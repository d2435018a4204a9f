"""What a file is by its first bytes. Its name and what a browser says of it count for nothing."""

from typing import Final

from surveys.errors import Fault, Invalid

# As many bytes as are looked at.
HEAD: Final = 4096
TIFF, PNG, JPEG, PDF, TEXT, OFFICE = "image/tiff", "image/png", "image/jpeg", "application/pdf", "text/plain", "application/zip"
PICTURES: Final = (TIFF, PNG, JPEG)
DOCUMENTS: Final = (*PICTURES, PDF, TEXT, OFFICE)
_STARTS: Final = (
    (b"\x89PNG\r\n\x1a\n", PNG),
    (b"\xff\xd8\xff", JPEG),
    (b"II*\x00", TIFF),
    (b"MM\x00*", TIFF),
    (b"II+\x00\x08\x00\x00\x00", TIFF),
    (b"MM\x00+\x00\x08\x00\x00", TIFF),
    (b"%PDF-", PDF),
)
# What people take for pictures, or send in their place; to be named in a refusal.
_OTHERS: Final = (
    (b"GIF8", "a GIF"),
    (b"BM", "a bitmap (BMP)"),
    (b"8BPS", "a layered file of an image editor"),
    (b"PK\x03\x04", "a ZIP archive or an office document"),
    (b"%!PS", "PostScript"),
    (b"\xc5\xd0\xd3\xc6", "PostScript"),
    (b"\x00\x00\x00\x0cjP  ", "a JPEG 2000 picture"),
    (b"\xff\x4f\xff\x51", "a JPEG 2000 picture"),
    (b"\x1f\x8b", "a compressed file (gzip)"),
    (b"7z\xbc\xaf", "a compressed file (7z)"),
    (b"Rar!", "a compressed file (RAR)"),
    (b"\xff\x0a", "a JPEG XL picture"),
    (b"MZ", "a program"),
    (b"\x7fELF", "a program"),
)
_MARKUP: Final = ((b"<svg", "a vector drawing (SVG)"), (b"<html", "a web page"), (b"<!doctype html", "a web page"), (b"<?xml", "XML"))


def type_of(head: bytes) -> str:
    """The media type of a file that is kept as a picture or a document, by its first bytes; '' for anything else."""
    found = next((kind for start, kind in _STARTS if head.startswith(start)), "")
    if found:
        return found
    if head.startswith(b"PK\x03\x04") and (b"[Content_Types].xml" in head or b"mimetypeapplication/vnd.oasis.opendocument" in head):
        return OFFICE
    return TEXT if _is_text(head) else ""


def _is_text(head: bytes) -> bool:
    if not head.strip() or b"\0" in head or head.startswith(b"%!PS"):
        return False
    try:
        text = head.decode("utf-8")
    except UnicodeDecodeError as error:
        # The last character may be cut through.
        if error.start < len(head) - 3 or len(head) < HEAD:
            return False
        text = head[: error.start].decode("utf-8")
    return not any(ord(char) < 32 and char not in "\t\r\n\f" for char in text)


def called(head: bytes) -> str:
    """What a file seems to be, in words."""
    known = {TIFF: "a TIFF picture", PNG: "a PNG picture", JPEG: "a JPEG picture", PDF: "a PDF", OFFICE: "an office document"}
    plain = head.lstrip(b"\xef\xbb\xbf \t\r\n")[:2048].lower()
    markup = next((words for start, words in _MARKUP if plain.startswith(start)), "")
    if markup == "XML" and b"<svg" in plain:
        markup = "a vector drawing (SVG)"
    other = next((words for start, words in _OTHERS if head.startswith(start)), "")
    if head[4:8] == b"ftyp":
        other = "a HEIF or AVIF picture, or a film"
    if head.startswith(b"RIFF") and head[8:12] == b"WEBP":
        other = "a WebP picture"
    return markup or known.get(type_of(head), "") or other or ("text" if type_of(head) == TEXT else "of a kind that is not known here")


def refuse_unless(allowed: tuple[str, ...], name: str, size: int, head: bytes) -> str:
    """The media type of a file, if it is among those allowed; refused in words otherwise."""
    found = type_of(head)
    if size and found in allowed:
        return found
    if not size:
        text = f"{name} is empty: it has no bytes."
    elif allowed == PICTURES:
        text = f"{name} is no picture that can be measured: by its content it is {called(head)}. Bring it as TIFF, PNG or JPEG."
    else:
        text = f"{name} is {called(head)}. A document is brought as PDF, TIFF, PNG, JPEG, plain text, or as an office document."
    raise Invalid(text, code="wrong-type", faults=(Fault("upload", "wrong-type", text),))

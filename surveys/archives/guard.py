"""What is looked at before anything of an archive is believed: its parts, their sizes, their digests, the length of their lines.

Nothing is unpacked to memory or to disk but a piece at a time; every refusal is a sentence that names the file.
"""

import hashlib
import io
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator
from typing import IO, Any, Final, NoReturn

import orjson

from surveys.archives.layout import FIELDS, FORMAT, HISTORY, KINDS, MANIFEST, OUTPUTS, PEOPLE, PROJECT, README, UPLOADS, VERSION
from surveys.errors import Invalid, TooLarge

Progress = Callable[[int, int, str], object]
MIB: Final = 1024 * 1024
PARTS: Final = 20_000
# Of records and history together, and of files together.
TEXT: Final = 1_024 * MIB
FILES: Final = 8_192 * MIB
LINE: Final = 8 * MIB
SMALL: Final = 8 * MIB
LINES: Final = 5_000_000
RATIO: Final = 400
RATIO_FROM: Final = 4 * MIB
CHUNK: Final = MIB

LINED: Final = (PEOPLE, HISTORY, UPLOADS, OUTPUTS, *(f"records/{name}.jsonl" for name in KINDS))
WHOLE: Final = (MANIFEST, README, FIELDS, PROJECT)
NEEDED: Final = {PROJECT, PEOPLE, HISTORY, UPLOADS, *(f"records/{name}.jsonl" for name in KINDS)}
_FILE: Final = re.compile(r"files/[0-9a-f]{64}")


class Packed:
    """An archive whose parts are what its manifest says."""

    def __init__(self, name: str, stream: IO[bytes], tell: Progress) -> None:
        self.name = name
        try:
            self.zip = zipfile.ZipFile(stream)
            self.sizes = self._directory()
            self.manifest = self._manifest()
            self._verify(tell)
        except (zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
            raise Invalid(f"{name} is damaged and cannot be unpacked. Fetch it again from where it was made.", code="damaged") from error

    def refuse(self, text: str, code: str = "invalid") -> NoReturn:
        """Say what is wrong with the archive."""
        raise Invalid(f"{self.name} {text}", code=code)

    def _directory(self) -> dict[str, int]:
        """What the list of parts says, before one of them is unpacked."""
        parts = self.zip.infolist()
        if len(parts) > PARTS:
            raise TooLarge(f"{self.name} has {len(parts):,} parts, over the limit of {PARTS:,}.")
        names = [part.filename for part in parts]
        if len(set(names)) < len(names):
            self.refuse("holds two parts of one name, so it is not clear which counts.", "damaged")
        for part in parts:
            if part.filename not in (*LINED, *WHOLE) and not _FILE.fullmatch(part.filename):
                self.refuse(f"holds a part '{part.filename[:80]}', which no project archive has.", "unknown-part")
            if part.flag_bits & 0x1:
                self.refuse("is locked with a password. Bring it without.", "locked")
            if part.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
                self.refuse("is packed in a way that no project archive is.", "damaged")
            if part.file_size > RATIO_FROM and part.file_size > RATIO * max(1, part.compress_size):
                raise TooLarge(f"{self.name} unpacks to more than {RATIO} times its size in {part.filename}. It is no project archive.")
        files = sum(part.file_size for part in parts if _FILE.fullmatch(part.filename))
        text = sum(part.file_size for part in parts) - files
        for size, limit, what in ((text, TEXT, "records"), (files, FILES, "files")):
            if size > limit:
                raise TooLarge(f"{self.name} would unpack to more than {limit // MIB:,} MiB of {what}, the limit.")
        if MANIFEST not in names:
            self.refuse("is no project archive: it has no manifest.", "wrong-type")
        return {part.filename: part.file_size for part in parts}

    def _manifest(self) -> dict[str, Any]:
        told = self.whole(MANIFEST)
        if told.get("format") != FORMAT:
            self.refuse("is no project archive: its manifest says something else.", "wrong-type")
        if told.get("version") != VERSION:
            self.refuse(f"is of version {str(told.get('version'))[:20]} of the format; this program reads version {VERSION}.", "version")
        return told

    def _verify(self, tell: Progress) -> None:
        """Every part has the size and the SHA-256 that the manifest gives it, and no part is missing or too many."""
        told = self.manifest.get("parts")
        if not isinstance(told, list) or not all(isinstance(one, dict) for one in told):
            self.refuse("has a manifest that names no parts.", "damaged")
        wanted = {str(one.get("path")): one for one in told}
        there = set(self.sizes) - {MANIFEST}
        if lost := sorted((NEEDED | set(wanted)) - there):
            self.refuse(f"lacks its part '{lost[0][:80]}'.", "damaged")
        if strange := sorted(there - set(wanted)):
            self.refuse(f"holds a part '{strange[0][:80]}' that its manifest does not name.", "unknown-part")
        done, total = 0, sum(self.sizes.values())
        for path in sorted(there):
            digest, lines = hashlib.sha256(), 0
            with self.zip.open(path) as part:
                while piece := part.read(CHUNK):
                    digest.update(piece)
                    lines += piece.count(b"\n")
                    done += len(piece)
                    tell(done, total, "Looking at the archive")
            if digest.hexdigest() != wanted[path].get("sha256") or self.sizes[path] != wanted[path].get("bytes"):
                self.refuse(f"was changed after it was made: '{path}' is not what the manifest says.", "changed")
            if path.startswith("files/") and path != f"files/{digest.hexdigest()}":
                self.refuse(f"has a file '{path}' that is not what its name says.", "changed")
            if lines > LINES:
                raise TooLarge(f"{self.name} has more than {LINES:,} lines in {path}, the limit.")

    # -- reading -----------------------------------------------------------------------------------------------------------
    def whole(self, path: str) -> dict[str, Any]:
        """A small part that is one JSON object."""
        if self.sizes[path] > SMALL:
            raise TooLarge(f"{self.name} has a '{path}' of more than {SMALL // MIB} MiB, the limit.")
        return self._object(self.zip.read(path), path)

    def lines(self, path: str) -> Iterator[tuple[int, dict[str, Any]]]:
        """The rows of a part, with the number of each line; only one line is held at a time."""
        if path not in self.sizes:
            return
        with io.BufferedReader(self.zip.open(path), CHUNK) as part:  # type: ignore[type-var]
            number = 0
            while line := part.readline(LINE + 1):
                number += 1
                if len(line) > LINE:
                    raise TooLarge(f"{self.name}: line {number} of {path} is longer than {LINE // MIB} MiB, the limit.")
                yield number, self._object(line, f"{path}, line {number}")

    def file(self, sha256: str) -> IO[bytes]:
        """A file by its digest."""
        if f"files/{sha256}" not in self.sizes:
            self.refuse(f"lacks the file {sha256[:16]}… that its records name.", "damaged")
        return self.zip.open(f"files/{sha256}")

    def _object(self, text: bytes, where: str) -> dict[str, Any]:
        try:
            found = orjson.loads(text)
        except orjson.JSONDecodeError:
            found = None
        if not isinstance(found, dict):
            self.refuse(f"is not to be read: {where} is no JSON object.", "damaged")
        return found

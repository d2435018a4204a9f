"""A picture opened in a process of its own; whatever becomes of that process, it ends with this, and never takes the worker along."""

import contextlib
import errno
import hashlib
import json
import math
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from django.conf import settings
from django.core.files.storage import default_storage

from surveys.errors import Conflict, Invalid, TooLarge
from surveys.pictures import guard
from surveys.pictures.sniffing import HEAD, PICTURES, refuse_unless

if TYPE_CHECKING:
    import numpy

CHILD: Final = Path(__file__).with_name("child.py")
CHUNK: Final = 1024 * 1024
# Nothing secret goes along.
PASSED_ON: Final = ("PATH", "SYSTEMROOT", "LANG", "LC_ALL", "HOME")
FULL: Final = ("No space left", "Disk quota exceeded")


def _signals(*names: str) -> tuple[int, ...]:
    return tuple(-getattr(signal, name) for name in names if hasattr(signal, name))


# As a picture that is too much for it ends the decoder; as whoever stops the program does, which is no fault of the picture.
ENDED: Final = _signals("SIGKILL", "SIGXCPU", "SIGABRT", "SIGSEGV", "SIGTRAP", "SIGBUS")
STOPPED: Final = _signals("SIGTERM", "SIGINT", "SIGHUP")
# What the decoder says of a picture that it cannot read (`child.main`).
UNREADABLE: Final = 3

Tell = Callable[[int, int, str], object]


def say_nothing(done: int, total: int, now: str) -> None:
    """Nobody waits to hear how far it is."""


@dataclass(frozen=True, slots=True)
class Pixels:
    """Part of a picture.

    `array` is (height, width, 3), uint8 or uint16, coded as sRGB; `box` is what was read (x, y, width, height in px of the picture);
    `scale` is px of the array for each px of the picture, at most 1.
    """

    array: "numpy.ndarray[Any, Any]"
    box: tuple[int, int, int, int]
    scale: float


@dataclass(frozen=True, slots=True)
class Prepared:
    """What was made of a picture: its size in px as shown, bits of a channel, what there is to say; the files are in the folder."""

    width: int
    height: int
    bits: int
    remarks: tuple[str, ...]


class Opened:
    """A picture whose headers have been looked at."""

    def __init__(self, name: str, path: Path, sha256: str) -> None:
        self.name = name
        self.path = path
        self.sha256 = sha256
        with path.open("rb") as source:
            head = source.read(HEAD)
            self.kind = refuse_unless(PICTURES, name, path.stat().st_size, head)
            self.headers = guard.look(name, self.kind, source)

    def verify(self) -> None:
        """Refuse a file that is not what it was when it came."""
        with self.path.open("rb") as source:
            if hashlib.file_digest(source, "sha256").hexdigest() != self.sha256:
                raise Conflict(f"{self.name} is no longer what it was when it came: it was damaged where it is kept.", code="damaged")

    def prepare(self, folder: Path, tell: Tell) -> Prepared:
        """Make the tiles (`tiles_files/level/column_row.jpg`) and the small picture (`thumbnail.jpg`) in a folder."""
        made = self._ask({"deed": "prepare", "out": str(folder)}, tell)
        pages = [f"Only the first of its {self.headers.pages} pages is shown."] if self.headers.pages > 1 else []
        return Prepared(made["width"], made["height"], self.headers.bits, (*pages, *made["remarks"]))

    def pixels(self, box: Sequence[float] | None = None, most_px: int | None = None, tell: Tell = say_nothing) -> Pixels:
        """The pixels of a box (x, y, width, height in px of the oriented picture; all of it where none is named).

        The box is widened to whole pixels and cut at the picture's edge. `most_px` is the longest side wished for: a larger region is
        reduced to it. `tell` is called while it is read, so that a job of minutes is known to live. Invalid where the box lies outside, or
        the picture cannot be read.
        """
        import numpy

        whole = None if box is None else _whole(box)
        with tempfile.TemporaryDirectory(dir=settings.FILE_UPLOAD_TEMP_DIR) as room:
            raw = Path(room) / "samples"
            made = self._ask({"deed": "pixels", "out": str(raw), "box": whole, "most": most_px}, tell)
            if not made["width"]:
                raise Invalid(f"There is nothing of {self.name} in the box {', '.join(f'{one:g}' for one in box or ())} (px).")
            samples = numpy.fromfile(raw, numpy.uint16 if made["deep"] else numpy.uint8)
        x, y, wide, high = made["box"]
        return Pixels(samples.reshape(made["height"], made["width"], 3), (x, y, wide, high), made["width"] / wide)

    def _ask(self, asked: dict[str, Any], tell: Tell) -> dict[str, Any]:
        """What the reading process answers."""
        told = {**asked, "source": str(self.path), "kind": self.kind, "bits": self.headers.bits}
        with tempfile.TemporaryDirectory(dir=settings.FILE_UPLOAD_TEMP_DIR) as room:
            settled = {"VIPS_CONCURRENCY": "2", "VIPS_DISC_THRESHOLD": "200m", "TMPDIR": room, "MALLOC_ARENA_MAX": "2"}
            process = subprocess.Popen(  # noqa: S603 - our own interpreter and module, no shell
                [sys.executable, "-I", str(CHILD), json.dumps(told)],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={**{name: os.environ[name] for name in PASSED_ON if name in os.environ}, **settled},
            )
            assert process.stdout is not None
            last: dict[str, Any] = {}
            try:
                for line in process.stdout:
                    last = json.loads(line)
                    if "percent" in last:
                        tell(last["percent"], 100, "Making the sizes in which it is shown")
                self._refuse_end(process.wait(), last.get("failed", ""))
            finally:
                with contextlib.suppress(ProcessLookupError):
                    process.kill()
                process.stdout.close()
                process.wait()
        return dict(last["made"])

    def _refuse_end(self, code: int, failed: str) -> None:
        if code == 0:
            return
        if any(words in failed for words in FULL):
            raise OSError(errno.ENOSPC, "No room for the pictures that are made")
        if code == 4 or code in ENDED:
            raise TooLarge(f"{self.name} took more memory or time to open than is given to a picture (2.5 GiB, 10 minutes).")
        if code in STOPPED:
            raise Conflict(f"The program was stopped while {self.name} was opened. Ask for it again.", code="stopped")
        if code != UNREADABLE and code >= 0:
            raise RuntimeError(f"The decoder ended with {code}, and not because of the picture.")
        raise Invalid(
            f"{self.name} cannot be read to its end: it is damaged, or cut short. Save it again as TIFF or PNG, and bring that.",
            code="damaged",
        )


def _whole(box: Sequence[float]) -> list[int]:
    """A box widened to whole pixels."""
    if len(box) != 4 or not all(math.isfinite(one) and abs(one) < 2**31 for one in box):
        raise Invalid("A box is x, y, width and height in px.")
    x, y, wide, high = box
    left, top = math.floor(x), math.floor(y)
    return [left, top, math.ceil(x + wide) - left, math.ceil(y + high) - top]


@contextlib.contextmanager
def opened(attachment: Any) -> Iterator[Opened]:
    """A record's picture, for one or more readings; a file that lies elsewhere is fetched once."""
    upload = attachment.upload
    with at_hand(upload.file.name or "", upload.name) as path:
        yield Opened(upload.name, path, upload.sha256)


def pixels(attachment: Any, box: Sequence[float] | None = None, most_px: int | None = None, tell: Tell = say_nothing) -> Pixels:
    """The pixels of a record's picture, or of a box in it: see `Opened.pixels`."""
    with opened(attachment) as picture:
        return picture.pixels(box, most_px, tell)


@contextlib.contextmanager
def at_hand(stored: str, name: str) -> Iterator[Path]:
    """A kept file as a path: where it lies, or a copy of what lies in a store without paths."""
    if not default_storage.exists(stored):
        raise Conflict(
            f"The file {name} is missing from where it is kept. Whoever runs the program must bring it back first.", code="missing"
        )
    try:
        here: Path | None = Path(default_storage.path(stored))
    except NotImplementedError:
        here = None
    if here is not None:
        yield here
        return
    with tempfile.TemporaryDirectory(dir=settings.FILE_UPLOAD_TEMP_DIR) as room:
        copy = Path(room) / "picture"
        with default_storage.open(stored) as kept, copy.open("wb") as out:
            shutil.copyfileobj(kept, out, CHUNK)
        yield copy

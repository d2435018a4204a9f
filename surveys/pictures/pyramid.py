"""The sizes in which a picture is shown: each half the one above, cut into square tiles. Level 0 is one pixel, the last is full size."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

# As `child` cuts them (a test compares).
TILE: Final = 512
# Another number wherever the same picture would be cut or coded otherwise: browsers keep tiles for ever under their version.
VERSION: Final = "1"


@dataclass(frozen=True, slots=True)
class Level:
    """One size: its number, width and height in px, and how many tiles across and down."""

    level: int
    width: int
    height: int
    columns: int
    rows: int


def version_of(sha256: str, made_by: str) -> str:
    """A short name for what was made of a file (by its SHA-256) by a version of this: the same for the same tiles."""
    return hashlib.sha256(f"{sha256} {made_by}".encode()).hexdigest()[:16]


def levels(width: int, height: int) -> list[Level]:
    """All sizes of a picture of so many px, the smallest first."""
    top = (max(width, height) - 1).bit_length()
    found = []
    for level in range(top + 1):
        by = 1 << (top - level)
        wide, high = -(-width // by), -(-height // by)
        found.append(Level(level, wide, high, -(-wide // TILE), -(-high // TILE)))
    return found


def tiles(width: int, height: int) -> Iterator[tuple[int, int, int]]:
    """(level, column, row) of every tile."""
    for one in levels(width, height):
        for row in range(one.rows):
            for column in range(one.columns):
                yield one.level, column, row

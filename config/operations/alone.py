"""One program a data folder: two would take each other's jobs."""

import contextlib
import sys
from collections.abc import Iterator
from pathlib import Path


class NotAlone(Exception):
    """Another program runs on the data folder; the text says so."""


@contextlib.contextmanager
def on(folder: Path) -> Iterator[None]:
    """Hold the lock of a data folder; NotAlone if somebody has it. It goes with the process that holds it, however that ends."""
    with (folder / "serve.lock").open("w") as handle:
        if sys.platform != "win32":
            import fcntl

            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                raise NotAlone(f"Undercoat is running already on {folder}. Stop that one first.") from None
        yield

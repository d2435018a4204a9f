"""A file broker for the embedded default: kombu's, with its two faults mended.

The stock transport writes a message under its final name, so that a reader can meet half of it, and one empty file ends the
worker; and it names files by a clock that starts again with the machine, so that order breaks over a restart.
"""

import os
import time
import uuid
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.transport import filesystem
from kombu.utils.json import dumps, loads


class Channel(filesystem.Channel):
    """Writes under a temporary name and renames; leaves alone what it cannot read."""

    def _put(self, queue: str, payload: Any, **kwargs: Any) -> None:  # type: ignore[override]  # kombu names it in two ways
        folder = Path(self.data_folder_out)
        name = f"{time.time_ns():020d}_{uuid.uuid4()}.{queue}.msg"
        hidden = folder / f".{name}.part"
        hidden.write_bytes(dumps(payload).encode())
        os.replace(hidden, folder / name)

    def _get(self, queue: str, timeout: float | None = None) -> Any:
        for path in sorted(Path(self.data_folder_in).glob(f"*.{queue}.msg")):
            taken = Path(self.processed_folder) / path.name
            try:
                os.replace(path, taken)
            except FileNotFoundError:
                continue  # another worker was quicker
            payload = taken.read_bytes()
            taken.unlink()
            try:
                return loads(payload)
            except ValueError:
                continue  # damaged; the sweeper rings again for the job's row
        raise Empty


class Transport(filesystem.Transport):
    """The transport named in settings."""

    Channel = Channel

"""A line of progress for a person at a terminal; nothing where the output is a file."""

import sys


def line(done: int, total: int, now: str = "") -> None:
    """Show how far the work is, over the line before."""
    if sys.stderr.isatty():
        end = "\n" if done >= total else "\r"
        sys.stderr.write(f"\x1b[2K{now or 'Working'}: {done:,} of {total:,}{end}")
        sys.stderr.flush()

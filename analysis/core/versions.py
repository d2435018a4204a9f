"""Versions of kernels, for whoever compares them without loading the kernels."""

from typing import Final

# Of reading a line across a section: raised by whoever makes it read a line otherwise.
MICROGRAPHS: Final = "1.2"

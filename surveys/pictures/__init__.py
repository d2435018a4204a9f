"""Pictures that people bring: what they are by their first bytes, whether they may be opened, and their pixels.

A file passes `sniffing` (its kind by content, never by name) and `guard` (its headers, read here, before any decoder sees it). Only then
is it opened by the one loader of its kind, in a process of its own with limits on memory, time and files (`child`, run by `opening`).

Pixel coordinates are those of the oriented picture in full size: the turning that a camera notes is applied, x runs to the right, y down,
(0, 0) is the upper left corner of the first pixel. Colours are coded as sRGB: where a file brings a profile of its own, they are converted.
"""

from surveys.pictures.opening import Opened, Pixels, Prepared, opened, pixels
from surveys.pictures.sniffing import DOCUMENTS, PICTURES, refuse_unless, type_of

__all__ = ["DOCUMENTS", "PICTURES", "Opened", "Pixels", "Prepared", "opened", "pixels", "refuse_unless", "type_of"]

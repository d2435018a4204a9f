"""Years as people write them: 1838, c.1840, 1838-42."""

import re
from typing import Final, NamedTuple

from surveys.rules import Refused

# 'About' a year is read as this many years to either side.
ABOUT: Final = 5
LONGEST: Final = 40
_ABOUT = re.compile(r"(?:c|ca|circa|about)\s*\.?\s*(\d{1,4})", re.IGNORECASE)
_RANGE = re.compile(r"(\d{1,4})\s*[-–—/]\s*(\d{1,4})")
_YEAR = re.compile(r"[-−]?\d{1,4}(?:\.0+)?")


class Years(NamedTuple):
    """The years that a cell allows, both ends included, and its text where that says more than the numbers."""

    earliest: int
    latest: int
    written: str = ""


def read_years(text: str) -> Years:
    """A year, 'c.1840' (five years to either side), '1838-42' or '1838–1842'; refused with a sentence if it is none of these."""
    wanted = text.strip()[:LONGEST]
    if _YEAR.fullmatch(wanted):
        year = int(float(wanted.replace("−", "-")))
        return Years(year, year)
    about = _ABOUT.fullmatch(wanted)
    if about:
        year = int(about.group(1))
        return Years(year - ABOUT, year + ABOUT, wanted)
    span = _RANGE.fullmatch(wanted)
    if span:
        first, last = span.groups()
        # '1838-42' shortens the second year by what it shares with the first.
        whole = first[: len(first) - len(last)] + last if len(last) < len(first) else last
        if int(first) > int(whole):
            raise Refused(f"'{text}' runs backwards: {whole} is before {first}. Write the earlier year first.", "years-out-of-order")
        return Years(int(first), int(whole), wanted)
    raise Refused(f"'{text}' is not a year. Write 1838, c.1840 or 1838-42.", "not-a-year")

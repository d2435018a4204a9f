"""The kinds of job: what each is called, its version, and which parameters it takes.

A kind's version is part of a job's digest: raise it when the same input would be answered otherwise, so that old results are
not found again.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from analysis.core import correlation

CHART_FORMATS: Final = ("json", "svg", "pdf", "png")


class BadParameters(ValueError):
    """The parameters of a job are not what its kind takes; the text says which and why."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of job.

    `takes` names each parameter and checks its value, answering it as it is kept; `needs` names those that may not be missing;
    `once` says that its answer is found again for unchanged input.
    """

    name: str
    version: str
    capability: str
    title: str
    takes: Mapping[str, Callable[[Any], Any]]
    needs: frozenset[str] = frozenset()
    once: bool = True

    def check(self, params: Any) -> dict[str, Any]:
        """The parameters as they are kept; BadParameters where one is unknown, missing or of the wrong kind."""
        if not isinstance(params, Mapping):
            raise BadParameters("The parameters of a job are an object.")
        unknown = sorted(set(params) - set(self.takes))
        if unknown:
            raise BadParameters(f"A job '{self.name}' takes no '{unknown[0]}'. It takes: {', '.join(self.takes) or 'nothing'}.")
        missing = sorted(self.needs - set(params))
        if missing:
            raise BadParameters(f"A job '{self.name}' needs '{missing[0]}'.")
        return {name: self.takes[name](value) for name, value in params.items() if value is not None}


def _text(value: Any) -> str:
    if not isinstance(value, str) or not 0 < len(value) <= 200:
        raise BadParameters(f"{value!r} is not a short text.")
    return value


def _format(value: Any) -> str:
    if value not in CHART_FORMATS:
        raise BadParameters(f"{value!r} is not a format. Choose one of {', '.join(CHART_FORMATS)}.")
    return str(value)


def _paper(value: Any) -> str:
    if value not in ("A3", "A4", "tabloid"):
        raise BadParameters(f"{value!r} is not a paper size. Choose one of A3, A4, tabloid.")
    return str(value)


KINDS: Final[dict[str, Kind]] = {
    kind.name: kind
    for kind in (
        Kind("check-import", "1", "import", "Check an import", {"upload": _text, "sheet": _text}, frozenset({"upload"}), once=False),
        Kind(
            "import",
            "1",
            "import",
            "Import",
            {"upload": _text, "sheet": _text, "checked": _text},
            frozenset({"upload", "checked"}),
            once=False,
        ),
        Kind("correlate", correlation.VERSION, "compute", "Correlate layers into generations", {"space": _text}),
        Kind("date", "1", "compute", "Derive the years of generations", {}),
        Kind(
            "chart",
            "1",
            "see",
            "Draw a generation chart",
            {"space": _text, "format": _format, "paper": _paper},
            frozenset({"space", "format"}),
        ),
        Kind("registers", "1", "see", "Export the registers as a workbook", {}),
    )
}

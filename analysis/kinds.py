"""The kinds of job: what each is called, its version, and which parameters it takes.

A kind's version is part of a job's digest: raise it when the same input would be answered otherwise, so that old results are
not found again.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from analysis.core import correlation, label_sheets
from analysis.parameters import (
    PLATE_FORMATS,
    BadParameters,
    address,
    chart_format,
    count,
    day,
    label_sheet,
    large_paper,
    note,
    one_of,
    ordinal,
    pairs,
    paper,
    purpose,
    rulings,
    sample_names,
    small_paper,
    text,
    truth,
    year,
)


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of job.

    `takes` names each parameter and checks its value, answering it as it is kept; `needs` names those that may not be missing;
    `once` says that its answer is found again for unchanged input; `quick` that somebody waits for it at the screen, so that it does not
    stand in line behind long work.
    """

    name: str
    version: str
    capability: str
    title: str
    takes: Mapping[str, Callable[[Any], Any]]
    needs: frozenset[str] = frozenset()
    once: bool = True
    quick: bool = False

    def check(self, params: Any) -> dict[str, Any]:
        """The parameters as they are kept; BadParameters where one is unknown, missing or of the wrong kind."""
        if not isinstance(params, Mapping):
            raise BadParameters("The parameters of a job are an object.")
        unknown = sorted(set(params) - set(self.takes))
        if unknown:
            raise BadParameters(f"A job '{self.name}' takes no '{unknown[0]}'. It takes: {', '.join(self.takes) or 'nothing'}.")
        missing = sorted(self.needs - {name for name, value in params.items() if value is not None})
        if missing:
            raise BadParameters(f"A job '{self.name}' needs '{missing[0]}'.")
        return {name: self.takes[name](value) for name, value in params.items() if value is not None}


KINDS: Final[dict[str, Kind]] = {
    kind.name: kind
    for kind in (
        Kind("check-import", "1", "import", "Check an import", {"upload": text, "sheet": text}, frozenset({"upload"}), once=False),
        Kind(
            "import",
            "1",
            "import",
            "Import",
            {"upload": text, "sheet": text, "checked": text},
            frozenset({"upload", "checked"}),
            once=False,
        ),
        Kind("correlate", correlation.VERSION, "compute", "Correlate layers into generations", {"space": text}),
        Kind(
            "preview",
            correlation.VERSION,
            "write",
            "See what rulings would change",
            {"space": text, "rulings": rulings},
            frozenset({"space", "rulings"}),
            quick=True,
        ),
        Kind("date", "1", "compute", "Derive the years of generations", {}, quick=True),
        Kind(
            "chart",
            "1",
            "see",
            "Draw a generation chart",
            {"space": text, "format": chart_format, "paper": paper},
            frozenset({"space", "format"}),
            quick=True,
        ),
        Kind("registers", "2", "see", "Export the registers as a workbook", {}),
        Kind("schedule", "3", "see", "Write a schedule as a draft", {"schedule": text, "paper": large_paper}, frozenset({"schedule"})),
        Kind("answers", "3", "see", "Write the owner's answer sheets", {"year": year, "phase": ordinal, "page": small_paper}),
        Kind(
            "issue-schedule",
            "1",
            "issue",
            "Issue a schedule",
            {"schedule": text, "purpose": purpose, "issued_on": day, "note": note, "paper": large_paper},
            frozenset({"schedule", "purpose"}),
            once=False,
        ),
        Kind(
            "labels",
            "1",
            "see",
            "Print labels",
            {
                "for": one_of("bag", "vial", "mount"),
                "sheet": label_sheet,
                "space": text,
                "samples": sample_names,
                "first": count(1, label_sheets.MOST_LABELS),
                "cut_marks": truth,
                "link": address,
            },
            frozenset({"for", "sheet"}),
        ),
        Kind(
            "sampling-plan",
            "2",
            "see",
            "Plan the next sampling",
            {"space": text, "paper": one_of("A4", "letter"), "blank": count(0, 40)},
        ),
        Kind("chapter", "3", "see", "Write the paint chapter", {"paper": one_of("A4", "letter")}),
        Kind("archive", "1", "manage", "Archive the whole project", {"outputs": truth}),
        Kind(
            "picture-colour",
            "1",
            "write",
            "Measure the colour target in a picture",
            {"attachment": text},
            frozenset({"attachment"}),
            once=False,
            quick=True,
        ),
        Kind(
            "register-pictures",
            "1",
            "write",
            "Lay two pictures of a section on each other",
            {"fixed": text, "moving": text, "points": pairs},
            frozenset({"fixed", "moving"}),
            once=False,
            quick=True,
        ),
        Kind(
            "read-line", "1", "write", "Read a line across a section", {"traverse": text}, frozenset({"traverse"}), once=False, quick=True
        ),
        Kind(
            "plate",
            "1",
            "see",
            "Set a plate of a section",
            {"sample": text, "visible": text, "uv": text, "traverse": text, "format": one_of(*PLATE_FORMATS), "page": small_paper},
            frozenset({"sample", "format"}),
        ),
        Kind("import-archive", "1", "manage", "Bring an archive", {"upload": text}, frozenset({"upload"}), once=False),
        Kind(
            "picture",
            "1",
            "write",
            "Make a picture ready to be shown",
            {"attachment": text},
            frozenset({"attachment"}),
            once=False,
            quick=True,
        ),
    )
}

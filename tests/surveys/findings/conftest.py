"""Interpretations for the cast, and the way to each state."""

import pytest

from surveys import records
from surveys.models import Evidence, Interpretation

REASON = "The nail in the lath is of a later make."


class Findings:
    """Writes and moves interpretations in the project HALL."""

    def __init__(self, cast, project, paint) -> None:
        self.cast, self.project, self.paint = cast, project, paint
        self.layer = paint.layers["101-1"][1]
        self.evidence = records.create(cast.historian, project, Evidence, {"reference": "E-1", "statement": "A bill.", "kind": "document"})

    def write(self, who="conservator", *, cites=None, **values):
        """A new interpretation about the space; it cites a layer, where nothing else is said."""
        cited = [{"type": "layer", "id": str(self.layer.pk)}] if cites is None else cites
        told = {
            "discipline": "paint conservation",
            "subject": "space",
            "space": str(self.paint.space.pk),
            "statement": "First painted green.",
        }
        if "subject" in values:
            told.pop("space")
        return records.create(self.cast[who], self.project, Interpretation, {**told, "citations": cited, **values})

    def move(self, record, who, to, reason=""):
        """Move it as it now stands."""
        record.refresh_from_db()
        return records.transition(self.cast[who], self.project, record.pk, record.version, to, reason)

    def at(self, state, **values):
        """An interpretation of the conservator's that stands in a state: agreed and disputed by the historian."""
        record = self.write(**values)
        for who, to in {
            "working": (),
            "for comment": (("conservator", "for comment"),),
            "agreed": (("conservator", "for comment"), ("historian", "agreed")),
            "disputed": (("conservator", "for comment"), ("historian", "disputed")),
        }[state if state != "superseded" else "agreed"]:
            self.move(record, who, to, REASON if to == "disputed" else "")
        if state == "superseded":
            newer = self.at("for comment", supersedes=str(record.pk))
            self.move(newer, "historian", "agreed")
        record.refresh_from_db()
        return record

    def state(self, record):
        """The state in which it now stands."""
        return Interpretation.objects.values_list("state", flat=True).get(pk=record.pk)

    def change(self, who, record, **values):
        """Change any record as it now stands."""
        record.refresh_from_db()
        return records.change(self.cast[who], self.project, type(record), record.pk, record.version, values)


def cite(*found):
    """Citations of records."""
    kinds = {"Sample": "sample", "Layer": "layer", "Evidence": "evidence", "Interpretation": "interpretation"}
    return [{"type": kinds[type(one).__name__], "id": str(one.pk)} for one in found]


@pytest.fixture
def findings(cast, project, paint) -> Findings:
    return Findings(cast, project, paint)

"""Builds the plan of an import from the rows of a file and the present record. Nothing is written here."""

from surveys.models import Project
from surveys.workbooks.plan import Plan
from surveys.workbooks.planning import layers, registers, rulings
from surveys.workbooks.planning.draft import Draft
from surveys.workbooks.reading import Book, Progress, no_progress


def build(project: Project, book: Book, progress: Progress = no_progress) -> Plan:
    """The plan of an import, with every fault that can be found at once."""
    draft = Draft(project, book, progress)
    registers.spaces(draft)
    registers.elements(draft)
    layers.imply_elements(draft)
    registers.samples(draft)
    layers.imply_samples(draft)
    draft.load_layers()
    layers.plan(draft)
    rulings.plan(draft)
    registers.phases(draft)
    registers.evidence(draft)
    draft.tell_left_alone()
    return draft.plan


__all__ = ["build"]

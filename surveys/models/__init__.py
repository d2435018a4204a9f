"""The records, a module for each family. Fields, constraints and names only: every write goes through `surveys.records`."""

from surveys.models.base import Record, Versioned
from surveys.models.building import Element, Space
from surveys.models.chronology import Evidence, Generation, Phase
from surveys.models.people import Membership, Person, Token
from surveys.models.projects import Project
from surveys.models.stratigraphy import Layer, Ruling, Sample
from surveys.models.work import Answer, Change, Job, Upload

__all__ = [
    "Answer",
    "Change",
    "Element",
    "Evidence",
    "Generation",
    "Job",
    "Layer",
    "Membership",
    "Person",
    "Phase",
    "Project",
    "Record",
    "Ruling",
    "Sample",
    "Space",
    "Token",
    "Upload",
    "Versioned",
]

"""The records, a module for each family. Fields, constraints and names only: every write goes through `surveys.records`."""

from surveys.models.base import Record, Versioned
from surveys.models.building import Element, Space
from surveys.models.chronology import Evidence, Generation, Phase
from surveys.models.findings import Citation, Comment, Interpretation, Mention, Question, ReviewRequest
from surveys.models.people import Invitation, Membership, Person, SavedView, Seen, Token
from surveys.models.pictures import Attachment, Measurement, Microscope, Registration, Sending, SendingPart, Traverse
from surveys.models.projects import Project
from surveys.models.schedules import Schedule, ScheduleIssue, ScheduleRow
from surveys.models.sessions import Session, SessionStore
from surveys.models.stratigraphy import Layer, Ruling, Sample
from surveys.models.work import Answer, Change, Job, Upload

__all__ = [
    "Answer",
    "Attachment",
    "Change",
    "Citation",
    "Comment",
    "Element",
    "Evidence",
    "Generation",
    "Interpretation",
    "Invitation",
    "Job",
    "Layer",
    "Measurement",
    "Membership",
    "Mention",
    "Microscope",
    "Person",
    "Phase",
    "Project",
    "Question",
    "Record",
    "Registration",
    "ReviewRequest",
    "Ruling",
    "Sample",
    "SavedView",
    "Schedule",
    "ScheduleIssue",
    "ScheduleRow",
    "Seen",
    "Sending",
    "SendingPart",
    "Session",
    "SessionStore",
    "Space",
    "Token",
    "Traverse",
    "Upload",
    "Versioned",
]

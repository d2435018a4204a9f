"""The collections of a project: which records, in which shape, order and under which names. Lists, filters and schema follow from this."""

from typing import Any, Final
from urllib.parse import quote

from surveys import meanwhile, selectors
from surveys.api import serializers as shapes
from surveys.api.collections.machine import TEXT, Collection, Column
from surveys.api.serializers import accounts
from surveys.api.serializers import lines as line_shapes
from surveys.api.serializers import pictures as picture_shapes
from surveys.api.serializers import schedules as schedule_shapes
from surveys.models import (
    Attachment,
    Comment,
    Element,
    Evidence,
    Generation,
    Interpretation,
    Invitation,
    Job,
    Layer,
    Measurement,
    Membership,
    Microscope,
    Phase,
    Project,
    Question,
    Registration,
    Ruling,
    Sample,
    Schedule,
    ScheduleIssue,
    ScheduleRow,
    Space,
    Traverse,
    Upload,
)
from surveys.selectors import findings, lines, listings, pictures, schedules, talk
from surveys.selectors.people import invitations


def job_as_shown(project: Project, row: dict[str, Any]) -> dict[str, Any]:
    """A job's row with its progress in one place, and an address for each of its files (never the path where it lies)."""
    row["progress"] = {name: row.pop(f"progress_{name}") for name in ("done", "total", "now")}
    if row["state"] == "running":
        row["progress"] = meanwhile.said(row["id"], row["attempt"]) or row["progress"]
    row["files"] = _files_of(row, f"/api/v1/projects/{project.code}/jobs/{row['id']}")
    return row


def issue_as_shown(project: Project, row: dict[str, Any]) -> dict[str, Any]:
    """An issue's row with an address for each of the files that went out."""
    row["files"] = _files_of(row, f"/api/v1/projects/{project.code}/issues/{row['id']}")
    return row


def _files_of(row: dict[str, Any], owner: str) -> list[dict[str, Any]]:
    """What is told of files: never the path where they lie."""
    told = ("name", "size", "sha256", "content_type")
    return [{**{name: file[name] for name in told}, "url": f"{owner}/files/{quote(file['name'], safe='')}"} for file in row["files"]]


RECORDS: Final = tuple(
    Collection(*told)
    for told in (
        (
            "spaces", Space, shapes.SpaceShape, selectors.space_summaries, ("sort_key", "number"),
            ("number", "name", "storey", "notes"), "Spaces",
        ),
        (
            "elements", Element, shapes.ElementShape, listings.elements, ("code",),
            ("code", "space_number", "element_class", "position", "substrate", "description", "notes"), "Elements",
        ),
        (
            "samples", Sample, shapes.SampleShape, listings.samples, ("number",),
            ("number", "element_code", "space_number", "part", "visit", "location", "purpose", "taken_by", "bag", "mount", "kept_at",
             "notes"),
            "Samples",
        ),
        (
            "layers", Layer, shapes.LayerShape, listings.layers, ("sample_number", "position"),
            ("name", "element_code", "kind", "colour", "munsell", "first_colour", "sheen", "texture", "uv_colour", "pigments", "binder",
             "tests", "notes"), "Layers",
        ),
        (
            "rulings", Ruling, shapes.RulingShape, listings.rulings, ("created_at",),
            ("kind", "first_layer_name", "second_layer_name", "reason"), "Rulings",
        ),
        (
            "generations", Generation, shapes.GenerationShape, listings.generations, ("space_number", "ordinal"),
            ("name", "label", "description", "technique", "phase_label"), "Generations",
        ),
        ("phases", Phase, shapes.PhaseShape, listings.phases, ("ordinal",), ("label", "description"), "Phases"),
        (
            "evidence", Evidence, shapes.EvidenceShape, listings.evidence, ("reference",),
            ("reference", "kind", "source", "statement", "years_as_written", "notes"), "Evidence",
        ),
    )
)  # fmt: skip
INTERPRETATIONS: Final = Collection(
    "interpretations", Interpretation, shapes.InterpretationShape, findings.interpretations, ("-number",),
    ("subject_name", "statement", "discipline", "created_by", "state_reason"), "Interpretations",
    composed=frozenset({"citations"}),
    complete=findings.complete,
    narrowed={
        "cites": (findings.citing, "Only those that cite the record of this id."),
        "concerns": (findings.concerning, "Only those about the record of this id or something in it, or that cite one of these."),
    },
    body=shapes.InterpretationValues,
)  # fmt: skip
MEMBERS: Final = Collection(
    "members", Membership, shapes.MemberShape, listings.members, ("name",), ("name", "username", "role", "discipline"), "Members"
)
INVITATIONS: Final = Collection(
    "invitations", Invitation, accounts.InvitationShape, invitations, ("-created_at",), ("name", "email"), "Invitations"
)  # fmt: skip
COMMENTS: Final = Collection(
    "comments", Comment, shapes.CommentShape, talk.comments, ("-created_at",), ("text", "created_by"), "Comments", "id",
    frozenset({"about_name", "mentions"}), complete=talk.complete_comments,
    also=(Column("mentions", "mentions__person__username", TEXT, False),),
)  # fmt: skip
QUESTIONS: Final = Collection(
    "questions", Question, shapes.QuestionShape, talk.questions, ("-number",), ("text", "answer", "created_by", "to_name", "to_discipline"),
    "Questions", "id", frozenset({"about_name", "answer_records"}), {"answer_records": "answer_records"}, complete=talk.complete_questions,
)  # fmt: skip
SCHEDULES: Final = Collection(
    "schedules", Schedule, schedule_shapes.ScheduleShape, schedules.schedules, ("number",), ("title", "notes"), "Schedules"
)  # fmt: skip
SCHEDULE_ROWS: Final = Collection(
    "schedule-rows", ScheduleRow, schedule_shapes.RowAdditionShape, schedules.rows, ("schedule_number", "element_code"),
    ("element_code", "group", "preparation", "hold_point", "remarks", "finish"), "Schedule rows",
)  # fmt: skip
TRAVERSES: Final = Collection(
    "traverses", Traverse, line_shapes.TraverseShape, lines.traverses, ("sample_number", "number"), ("sample_number", "notes"), "Lines",
    composed=frozenset(
        {"calibrated", "colour_calibrated", "colour_state", "uv_attachment", "layers", "cautions", "trouble", "read_by_older"}
    ),
    # A reading is long, so its row is gone through once: state and refusal follow from that.
    extra={"state": "read_digest", "refusal": "read_digest", "read_digest": "read_digest", "read": "read"},
    complete=lines.complete,
)  # fmt: skip
REGISTRATIONS: Final = Collection(
    "registrations", Registration, line_shapes.RegistrationShape, lines.registrations, ("created_at",), ("method",), "Registrations",
    composed=frozenset({"reliable", "caution"}), complete=lines.complete_registrations,
)  # fmt: skip
MEASUREMENTS: Final = Collection(
    "measurements", Measurement, line_shapes.MeasurementShape, lines.measurements, ("layer_name", "from_px"), ("layer_name",),
    "Measurements", narrowed={"sample": (lines.of_sample, "Only those of layers of the sample of this id.")},
)  # fmt: skip
ISSUES: Final = Collection(
    "issues", ScheduleIssue, schedule_shapes.IssueShape, schedules.issues, ("-created_at",), ("schedule_title", "note"), "Issues",
    finish=issue_as_shown,
)  # fmt: skip
MICROSCOPES: Final = Collection(
    "microscopes", Microscope, picture_shapes.MicroscopeShape, pictures.microscopes, ("name", "magnification"),
    ("name", "magnification", "measured_by", "notes"), "Microscopes",
)  # fmt: skip
ATTACHMENTS: Final = Collection(
    "attachments", Attachment, picture_shapes.AttachmentShape, pictures.attachments, ("-number",),
    ("name", "caption", "taken_by", "magnification", "microscope_name", "created_by"), "Attachments",
    composed=frozenset({"about_name", "colour_state", "colour_residual", "remarks", "pictures", "troubles"}),
    extra={
        "shown": "shown", "correction": "correction", "correction_of_other": "colour_from__correction",
        "microscope_um": "microscope__um_per_pixel", "microscope_width": "microscope__picture_width",
    },
    complete=pictures.complete,
    narrowed={"sample": (pictures.of_sample, "Only those on the sample of this id, or on one of its layers.")},
    body=picture_shapes.AttachmentValues,
)  # fmt: skip
UPLOADS: Final = Collection("uploads", Upload, shapes.UploadShape, listings.uploads, ("-created_at",), ("name",), "Uploads")
JOBS: Final = Collection(
    "jobs", Job, shapes.JobShape, listings.jobs, ("-created_at",), ("kind", "error"), "Jobs", "id",
    frozenset({"progress"}), {f"progress_{name}": name for name in ("done", "total", "now")}, job_as_shown,
)  # fmt: skip
BY_MODEL: Final = {
    collection.model: collection
    for collection in (
        *RECORDS,
        INTERPRETATIONS,
        MEMBERS,
        COMMENTS,
        QUESTIONS,
        SCHEDULES,
        SCHEDULE_ROWS,
        TRAVERSES,
        MICROSCOPES,
        ATTACHMENTS,
    )
}
# What also a contractor sees of a project; only this can be listed, filtered and ordered by.
CARDS: Final = Collection(
    "projects", Project, shapes.ProjectCard, listings.my_projects, ("code",), shapes.CARD, "Projects", tie="code"
)  # fmt: skip
PROJECTS: Final = Collection("project", Project, shapes.ProjectShape, listings.my_projects, ("code",), shapes.CARD, "Projects")
BY_NAME: Final = {
    collection.name: collection
    for collection in (
        *RECORDS,
        INTERPRETATIONS,
        MEMBERS,
        INVITATIONS,
        COMMENTS,
        QUESTIONS,
        SCHEDULES,
        SCHEDULE_ROWS,
        TRAVERSES,
        REGISTRATIONS,
        MEASUREMENTS,
        MICROSCOPES,
        ATTACHMENTS,
        ISSUES,
        UPLOADS,
        JOBS,
        CARDS,
    )
}

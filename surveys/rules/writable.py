"""What a person may set, for each kind of record, and what kind of value some fields are."""

from collections.abc import Mapping
from typing import Any

from django.db import models

from surveys.models import (
    Attachment,
    Comment,
    Element,
    Evidence,
    Generation,
    Interpretation,
    Invitation,
    Layer,
    Membership,
    Microscope,
    Phase,
    Project,
    Question,
    Registration,
    Ruling,
    Sample,
    Schedule,
    ScheduleRow,
    Space,
    Traverse,
)

# What a person may set, for each kind of record. What is not here is derived, or set by the record's own doing.
WRITABLE: Mapping[type[models.Model], frozenset[str]] = {
    Project: frozenset({"code", "name", "place", "summary", "first_year", "last_year", "notes", "element_classes"}),
    Membership: frozenset({"person", "role", "discipline"}),
    Invitation: frozenset({"email", "name", "role", "discipline"}),
    Space: frozenset({"number", "name", "storey", "kind", "sort_key", "notes"}),
    Element: frozenset({"code", "space", "element_class", "position", "substrate", "description", "notes"}),
    Sample: frozenset(
        [
            "number",
            "element",
            "part",
            "visit",
            "location",
            "purpose",
            "height_mm",
            "size_mm",
            "taken_on",
            "taken_by",
            "bag",
            "mount",
            "kept_at",
            "status",
            "base_state",
            "top_state",
            "examined_visible_on",
            "examined_visible_by",
            "examined_uv_on",
            "examined_uv_by",
            "notes",
        ]
    ),
    Layer: frozenset(
        [
            "sample",
            "position",
            "kind",
            "completeness",
            "colour",
            "munsell",
            "munsell_by",
            "lab_l",
            "lab_a",
            "lab_b",
            "first_colour",
            "sheen",
            "texture",
            "uv_colour",
            "uv_strength",
            "pigments",
            "binder",
            "tests",
            "thickness_um",
            "lower_boundary",
            "notes",
            "generation",
        ]
    ),
    Ruling: frozenset({"kind", "first_layer", "second_layer", "generation", "reason"}),
    Generation: frozenset({"space", "ordinal", "label", "description", "technique", "phase"}),
    Phase: frozenset({"ordinal", "label", "earliest", "latest", "description"}),
    Evidence: frozenset(
        [
            "reference",
            "discipline",
            "kind",
            "source",
            "statement",
            "bears_on",
            "phase",
            "space",
            "element",
            "generation",
            "relation",
            "earliest",
            "latest",
            "years_as_written",
            "certainty",
            "notes",
        ]
    ),
    Interpretation: frozenset(
        {"discipline", "subject", "space", "element", "generation", "phase", "layer", "statement", "certainty", "supersedes"}
    ),
    Question: frozenset({"about_type", "about_id", "to_discipline", "text", "needed_by"}),
    Comment: frozenset({"about_type", "about_id", "about_field", "thread", "text"}),
    Schedule: frozenset({"title", "year", "phase", "notes"}),
    Microscope: frozenset({"name", "magnification", "um_per_pixel", "picture_width", "measured_on", "measured_by", "notes"}),
    Attachment: frozenset(
        [
            "about_type",
            "about_id",
            "upload",
            "kind",
            "caption",
            "taken_on",
            "taken_by",
            "magnification",
            "um_per_pixel",
            "scale_line",
            "microscope",
            "colour_target",
            "colour_from",
        ]
    ),
    Registration: frozenset({"fixed", "moving", "points"}),
    Traverse: frozenset({"attachment", "path", "width_px", "boundaries", "notes"}),
    ScheduleRow: frozenset(
        {
            "schedule",
            "element",
            "group",
            "quantity",
            "preparation",
            "hold_point",
            "remarks",
            "finish",
            "munsell",
            "sheen",
            "override_reason",
        }
    ),
}


# Fields by which people name a record: no blanks around them, one line.
NAMES: Mapping[Any, str] = {Space: "number", Element: "code", Sample: "number", Evidence: "reference", Project: "code", Invitation: "name"}


LISTS: Mapping[Any, tuple[str, ...]] = {Layer: ("pigments", "tests"), Sample: ("mount",)}


YEAR_FIELDS = frozenset({"earliest", "latest", "first_year", "last_year", "year"})

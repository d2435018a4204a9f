"""Lines across sections, registrations and measurements as they are listed, and by what it is known that a line must be read again."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final
from uuid import UUID

from django.db.models import Case, CharField, F, Func, JSONField, Q, QuerySet, Value, When
from django.db.models.fields.json import KeyTextTransform
from django.db.models.functions import Coalesce

from analysis.core import versions
from surveys.models import Attachment, Measurement, Project, Registration, Sample, Traverse
from surveys.selectors import unfinished
from surveys.selectors.facts import digest_of
from surveys.selectors.listings import named

STATES: Final = ("waiting", "read", "refused")
VISIBLE, UV = "visible micrograph", "UV micrograph"
# So much of the shorter of two stretches along a line must be common to both for them to be of one layer.
COMMON: Final = 0.5
# Beyond this a face of a layer was moved since it was accepted, in px.
MOVED_PX: Final = 0.05


class WithoutFound(Func):
    """What is kept of a reading, without the profile and all else that was found: a fiftieth of it. The database goes through it once."""

    output_field = JSONField()

    def as_sqlite(self, compiler: Any, connection: Any, **context: Any) -> Any:
        """SQLite's own way."""
        return self.as_sql(compiler, connection, template="JSON_REMOVE(%(expressions)s, '$.found')", **context)

    def as_postgresql(self, compiler: Any, connection: Any, **context: Any) -> Any:
        """PostgreSQL's own way."""
        return self.as_sql(compiler, connection, template="(%(expressions)s - 'found')", **context)


def traverses(project: Project) -> QuerySet[Traverse]:
    """The lines of a project, with whether each was read (to be asked for by; shown, it follows from what was read)."""
    return Traverse.objects.filter(project=project).annotate(
        state=Case(
            When(read_digest="", then=Value("waiting")), When(reading__refusal="", then=Value("read")), default=Value("refused"),
            output_field=CharField(),
        ),
        refusal=Case(
            When(read_digest="", then=Value("")), default=Coalesce(KeyTextTransform("refusal", "reading"), Value("")),
            output_field=CharField(),
        ),
        read=WithoutFound("reading"),
    )  # fmt: skip


def registrations(project: Project) -> QuerySet[Registration]:
    """How pictures of a project lie on each other."""
    return Registration.objects.filter(project=project)


def complete_registrations(project: Project, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Say of each whether it can be relied on, and why not."""
    for row in rows:
        row["caution"] = doubt(Registration(method=row["method"], points=row["points"], matrix=row["matrix"]))
        row["reliable"] = not row["caution"]
    return rows


def measurements(project: Project) -> QuerySet[Measurement]:
    """What was accepted from lines of a project."""
    return Measurement.objects.filter(project=project).annotate(
        layer_name=named("layer__sample__number", "layer__position"), attachment=F("traverse__attachment")
    )


def of_sample(record_id: UUID) -> Q:
    """That a measurement is of a layer of a sample."""
    return Q(layer__sample=record_id)


def complete(project: Project, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Put beside each line its layers as they were read, and in which layers of the stratigraphy they were accepted; two queries more."""
    accepted: dict[Any, list[Measurement]] = {}
    for one in Measurement.objects.filter(traverse__in=[row["id"] for row in rows]).order_by("from_px"):
        accepted.setdefault(one.traverse_id, []).append(one)
    for row in rows:
        read = row["read"] or {}
        row["refusal"] = read.get("refusal", "") if row["read_digest"] else ""
        row["state"] = "waiting" if not row.pop("read_digest") else "refused" if read.get("refusal", "") else "read"
    waiting = [(unfinished.READING, row["id"], row["created_at"]) for row in rows if row["state"] == "waiting"]
    troubles = unfinished.troubles(project, waiting)
    for row in rows:
        row["trouble"] = troubles.get((unfinished.READING, str(row["id"])), "")
        read = row.pop("read") or {}
        layers, told = read.get("layers") or [], read.get("told") or {}
        row["layers"] = with_accepted(layers, accepted.get(row["id"], []))
        row["read_by_older"] = row["state"] == "read" and told.get("version") != versions.MICROGRAPHS
        row["calibrated"] = bool(told.get("calibrated"))
        row["colour_state"] = told.get("colour_state", "")
        row["colour_calibrated"] = row["colour_state"] not in ("", "uncalibrated")
        row["uv_attachment"] = told.get("uv_attachment")
        row["cautions"] = told.get("cautions", [])
    return rows


def with_accepted(layers: Sequence[Mapping[str, Any]], measured: Iterable[Measurement]) -> list[dict[str, Any]]:
    """Proposed layers, each with the layer of the stratigraphy in which it was accepted, and whether it changed since."""
    left = list(measured)
    found = []
    for layer in layers:
        mine = None if layer["end"] else max(left, key=lambda one: _common(layer, one), default=None)
        if mine is not None and _common(layer, mine) < COMMON:
            mine = None
        if mine is not None:
            left.remove(mine)
        found.append({**layer, "accepted": mine and mine.layer_id, "accepted_differs": mine is not None and _differs(layer, mine)})
    return found


def _common(layer: Mapping[str, Any], measured: Measurement) -> float:
    """How much of the longer of two stretches both have."""
    both = min(layer["to_px"], measured.to_px) - max(layer["from_px"], measured.from_px)
    return max(both, 0.0) / max(layer["to_px"] - layer["from_px"], measured.to_px - measured.from_px)


def _differs(layer: Mapping[str, Any], measured: Measurement) -> bool:
    moved = max(abs(layer["from_px"] - measured.from_px), abs(layer["to_px"] - measured.to_px)) > MOVED_PX
    return moved or layer["thickness_um"] != measured.thickness_um


# -- what a line is read from -------------------------------------------------------------------------------------------------


def effective_correction(picture: Attachment) -> dict[str, Any] | None:
    """The correction of a picture's colours: its own, or that of the picture whose target it shares."""
    found = picture.colour_from.correction if picture.colour_from is not None else picture.correction
    return dict(found) if found else None


def colour_state(correction: Mapping[str, Any] | None) -> str:
    """'calibrated', 'white-balanced' (by grey patches only) or 'uncalibrated'."""
    return str(correction["status"]) if correction else "uncalibrated"


def registered_uv(picture: Attachment) -> Registration | None:
    """How a UV micrograph lies on a visible one, the latest if there are several."""
    found = Registration.objects.filter(fixed=picture, moving__kind=UV).exclude(moving__prepared="refused")
    return found.select_related("moving__upload", "moving__colour_from").order_by("-created_at", "pk").first()


def doubt(registration: Registration | None) -> str:
    """Why a registration cannot be relied on, by the kernels' own measure; '' where it can: what is found by itself is kept only then."""
    from analysis.core.micrographs import doubt_of

    by_hand = registration is not None and registration.method == "points"
    return doubt_of(registration.points, registration.matrix) if registration is not None and by_hand else ""


def line_inputs(traverse: Traverse, registration: Registration | None) -> dict[str, Any]:
    """All that the reading of a line follows from, as plain values: the same for the same reading."""
    from analysis.core.micrographs import VERSION

    picture = traverse.attachment
    return {
        "kernel": VERSION,
        "picture": picture.upload.sha256,
        "path": traverse.path,
        "width_px": traverse.width_px,
        "scale": [picture.um_per_pixel, picture.scale_by, picture.scale_line],
        "correction": effective_correction(picture),
        "uv": registration
        and {
            "picture": registration.moving.upload.sha256,
            "matrix": registration.matrix,
            "method": registration.method,
            "correction": effective_correction(registration.moving),
            # Said only where it is so, that what was read from others stays read.
            **({"not_relied_on": True} if doubt(registration) else {}),
        },
    }


def line_digest(traverse: Traverse, registration: Registration | None) -> str:
    """By what it is known that a line was read from what now stands."""
    return digest_of(line_inputs(traverse, registration))


def line(project: Project, traverse_id: Any) -> Traverse | None:
    """One line with its picture at hand."""
    together = ("attachment__upload", "attachment__colour_from", "sample")
    return Traverse.objects.filter(project=project, pk=traverse_id).select_related(*together).first()


def lines_resting_on(pictures: Iterable[Any]) -> list[Traverse]:
    """The lines that are read from any of these pictures: drawn on it, or on one whose colours or UV come from it."""
    ids = list(pictures)
    shared = Attachment.objects.filter(Q(pk__in=ids) | Q(colour_from__in=ids)).values_list("pk", flat=True)
    some = list(shared)
    on = Registration.objects.filter(moving__in=some).values_list("fixed", flat=True)
    return list(Traverse.objects.filter(attachment__in=[*some, *on]).select_related("sample").order_by("pk"))


def sample_of(picture: Attachment) -> Any:
    """The id of the sample that a picture shows: it is about the sample, or about a layer of it; None otherwise."""
    if picture.about_type == "sample":
        return picture.about_id
    if picture.about_type == "layer":
        return Sample.objects.filter(layers=picture.about_id).values_list("pk", flat=True).first()
    return None

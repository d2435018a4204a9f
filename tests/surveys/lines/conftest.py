"""A sample with a visible and a UV micrograph, and readings of lines on it that were made by hand: no picture is opened."""

from dataclasses import fields
from typing import Any

import pytest
from django.core.files.base import ContentFile

from analysis.core.micrographs import Boundary, ColourCorrection, Line, Profile, ProposedLayer, Reading, Scale, uncalibrated
from surveys import records
from surveys.models import Attachment, Traverse, Upload
from surveys.selectors import lines
from tests.surveys.api.conftest import _fresh_throttle, api  # noqa: F401 - fixtures

# From the substrate up: thickness in µm at 0.5 µm a pixel, and colour.
FILMS = ((30.0, (60.0, 0.0, 5.0)), (12.5, (45.0, -12.0, 20.0)), (20.0, (85.0, 1.0, 12.0)))
UM_PER_PIXEL = 0.5
BEGINS = 10.0


def upload_of(cast: Any, project: Any, name: str, content: bytes) -> Upload:
    import hashlib

    kept = Upload(project=project, created_by=cast.conservator, name=name, size=len(content), sha256=hashlib.sha256(content).hexdigest())
    kept.file.save(f"{kept.pk}.bin", ContentFile(content), save=False)
    kept.save(force_insert=True)
    return kept


class Pictures:
    """Makes attachments without their writer, so that nothing is opened."""

    def __init__(self, cast: Any, project: Any) -> None:
        self.cast, self.project = cast, project
        self.many = 0

    def __call__(self, sample: Any, kind: str = "visible micrograph", content: bytes = b"", **values: Any) -> Attachment:
        self.many += 1
        upload = upload_of(self.cast, self.project, f"{self.many}.png", content or f"picture {self.many}".encode())
        told = {"about_type": "sample", "width": 400, "height": 300, "bits": 8, "content_type": "image/png", "prepared": "ready", **values}
        return Attachment.objects.create(
            project=self.project, created_by=self.cast.conservator, number=self.many, about_id=sample.pk,
            upload=upload, kind=kind, **told,
        )  # fmt: skip


def profile_of(films=FILMS) -> Profile:
    """One step a pixel, from the line's beginning to 10 px beyond its last film."""
    along = [films[0][1]] * int(BEGINS)
    for thickness, lab in films:
        along += [lab] * round(thickness / UM_PER_PIXEL)
    along += [films[-1][1]] * 10
    many = len(along)
    told = {
        "start_px": 0.0, "length_px": float(many), "lab": tuple(along), "uv": None, "noise": (0.1,) * many, "uv_noise": None,
        "grain_px": 1.0, "seen": (0.0, float(many - 1)), "tilt_deg": 0.0, "tilt_error_deg": 0.5, "tilted": False,
    }  # fmt: skip
    return Profile(**{field.name: told[field.name] for field in fields(Profile)})


def reading_of(films=FILMS, *, scale: bool = True, calibrated: bool = True, uv: bool = False) -> Reading:
    """What the kernels would answer for films of these thicknesses and colours."""
    per = UM_PER_PIXEL
    at = [BEGINS]
    for thickness, _ in films:
        at.append(at[-1] + thickness / per)
    boundaries = tuple(Boundary(place, 0.3, 2.0, 12.0, None, 0.99) for place in at)
    layers = tuple(
        ProposedLayer(
            number, low, high, (high - low) * per if scale else None, 0.4 if scale else None, (high - low) * per if scale else None,
            lab, 0.8, "5GY 4.5/3.2", 0.7, (40.0, 5.0, -20.0) if uv else None, "blue-white" if uv else "", "weak" if uv else "", "sharp",
            2.0 * per if scale else None, 0.95,
        )
        for number, (low, high, (_, lab)) in enumerate(zip(at, at[1:], films, strict=False), start=1)
    )  # fmt: skip
    profile = profile_of(films)
    line = Line(((100.0, 250.0), (100.0, 250.0 - profile.length_px)), 40.0)
    status = "calibrated" if calibrated else "uncalibrated"
    uv_status = "uncalibrated" if uv else ""
    cautions = ("A proposal: look at it.",)
    known = Scale(per, per * 0.01, "stated") if scale else None
    return Reading(line, known, boundaries, layers, (), profile, status, uv_status, cautions, "1.0")


def correction(status: str = "calibrated") -> dict[str, Any]:
    """A correction as it is kept with a picture."""
    from dataclasses import replace

    from analysis.core.micrographs import plain

    made: ColourCorrection = replace(uncalibrated(), status=status, mean_delta_e=0.8, max_delta_e=1.9, mean_left_out=1.1, max_left_out=2.4)
    return plain(made)


@pytest.fixture
def pictures(cast, project) -> Pictures:
    return Pictures(cast, project)


@pytest.fixture
def visible(pictures, paint) -> Attachment:
    return pictures(paint.first, um_per_pixel=UM_PER_PIXEL, scale_by="stated", correction=correction())


@pytest.fixture
def draw(cast, project, visible):
    """Draws a line and, unless it is to wait, keeps a reading of it."""

    def made(reading: Reading | None = None, picture: Attachment | None = None, **values: Any) -> Traverse:
        told = {"attachment": (picture or visible).pk, "path": [[100, 250], [100, 50]], "width_px": 40, **values}
        line = records.create(cast.conservator, project, Traverse, told)
        return read(cast, project, line, reading) if reading is not None else line

    return made


def read(cast: Any, project: Any, line: Traverse, reading: Any, refusal: str = "") -> Traverse:
    """Keep a reading of a line as it now stands."""
    now = lines.line(project, line.pk)
    assert now is not None
    digest = lines.line_digest(now, lines.registered_uv(now.attachment))
    records.store_reading(cast.conservator, project, line.pk, digest, reading, refusal)
    return Traverse.objects.get(pk=line.pk)

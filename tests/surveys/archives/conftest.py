"""A project with one of everything, its archive, and ways of spoiling it."""

import hashlib
import io
import json
import zipfile
from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone

from surveys import archives, jobs, records
from surveys.models import (
    Attachment,
    Citation,
    Comment,
    Evidence,
    Generation,
    Interpretation,
    Job,
    Layer,
    Measurement,
    Mention,
    Microscope,
    Phase,
    Project,
    Question,
    Registration,
    ReviewRequest,
    Ruling,
    Sample,
    Schedule,
    ScheduleIssue,
    ScheduleRow,
    Space,
    Traverse,
)
from tests.surveys.pictures import made

CORRECTION = {
    "status": "white-balanced", "matrix": [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], "linear": False, "patches": [],
    "mean_delta_e": 1.25, "max_delta_e": 1.25, "mean_left_out": None, "max_left_out": None, "sentence": "By a grey card.",
}  # fmt: skip


def quiet(done: int, total: int, now: str = "") -> None:
    """Progress that nobody watches."""


@pytest.fixture
def full(cast: Any, project: Project, paint: Any) -> Project:
    """A project in which every kind of record occurs, something was removed, and files were brought and made."""
    make = lambda model, **values: records.create(cast.conservator, project, model, values)  # noqa: E731
    first, second = (paint.layers[number] for number in ("101-1", "101-2"))
    phase = make(Phase, label="The merchant's house", earliest=1790, latest=1820)
    older, younger = (make(Generation, space=paint.space.pk, label=label, phase=phase.pk) for label in ("Stone", "Green"))
    make(Ruling, kind="tie", first_layer=first[0].pk, second_layer=second[0].pk, reason="Both on bare wood")
    # Placing a layer by hand makes a hold.
    first[0].refresh_from_db()
    records.change(cast.conservator, project, Layer, first[0].pk, first[0].version, {"generation": older.pk})
    bill = make(
        Evidence, reference="E1", statement="Bill for “green paint”", bears_on="generation", generation=younger.pk, relation="made in",
        earliest=1812, latest=1812, certainty="firm",
    )  # fmt: skip
    gone = make(Sample, number="gone", element=paint.door.pk)
    records.remove(cast.conservator, project, Sample, gone.pk, 1)
    with records.writing(cast.historian, project) as pen:
        told = {"project": pen.project}
        finding = Interpretation(
            number=1, discipline="architectural history", subject="generation", generation=younger, statement="The green of the bill.",
            certainty="likely", **told,
        )  # fmt: skip
        later = Interpretation(
            number=2,
            discipline="paint conservation",
            subject="layer",
            layer=first[1],
            statement="A copper green.",
            supersedes=finding,
            **told,
        )
        pen.create([finding, later])
        pen.create(
            [
                Citation(interpretation=finding, kind="evidence", evidence=bill, **told),
                Citation(interpretation=finding, kind="layer", layer=first[1], **told),
            ]
        )
        pen.create([ReviewRequest(interpretation=finding, person=cast.owner, **told)])
        question = Question(
            number=1, about_type="layer", about_id=first[1].pk, to_person=cast.historian, text="Which year?",
            state="answered", answer="1812", answered_by=cast.historian, answered_at=timezone.now(),
            answer_records=[{"type": "evidence", "id": str(bill.pk)}], **told,
        )  # fmt: skip
        pen.create([question])
        comment = Comment(about_type="project", about_id=project.pk, text="@owner see this", **told)
        answer = Comment(about_type="project", about_id=project.pk, text="Seen", thread=comment, **told)
        pen.create([comment, answer])
        schedule = Schedule(number=1, title="As first painted", phase=phase, **told)
        pen.create([schedule])
        pen.create(
            [
                ScheduleRow(
                    schedule=schedule,
                    element=paint.door,
                    finish="Oil paint",
                    override_reason="Agreed on site",
                    overridden_by=cast.coordinator,
                    **told,
                )
            ]
        )
        kept = jobs.keep_file(Job(project=project), "schedule A.csv", "text/csv", b"Space,Finish\n101,green\n")
        issue = ScheduleIssue(
            schedule=schedule, revision="A", issued_on=timezone.now().date(), purpose="for comment",
            content={"rows": [{"element": str(paint.door.pk)}]},
            basis={"sequence": pen.project.change_sequence, "layer": {str(first[1].pk): 1}}, files=[kept], **told,
        )  # fmt: skip
        pen.create([issue])
    with records.writing(cast.coordinator, project) as pen:
        pen.change(finding, {"state": "agreed", "state_by": cast.coordinator, "state_at": timezone.now()})
    pictures(cast.conservator, project, first[1])
    Mention.objects.create(comment=comment, person=cast.owner)
    jobs.upload(cast.coordinator, project, "survey.xlsx", b"not really a workbook")
    job = jobs.ask(cast.owner, project, "registers", {})
    jobs.run(str(job.pk), "test", lambda job, progress: ({}, [jobs.keep_file(job, "HALL registers.xlsx", "text/plain", b"registers")]))
    project.refresh_from_db()
    return project


def pictures(actor: Any, project: Project, layer: Layer) -> None:
    """Two pictures of a layer's sample, one laid on the other, and a line read on the first."""
    brought = [jobs.upload(actor, project, f"{light}.png", made.png() + light.encode()) for light in ("visible", "UV")]
    with records.writing(actor, project) as pen:
        told = {"project": pen.project}
        scope = Microscope(name="Lab 1", magnification="200×", um_per_pixel=0.46, picture_width=4000, measured_on="2026-05-14", **told)
        pen.create([scope])
        of_it = {
            "about_type": "sample",
            "about_id": layer.sample_id,
            "um_per_pixel": 0.5,
            "content_type": "image/png",
            "width": 400,
            "height": 300,
            "bits": 8,
            **told,
        }
        visible = Attachment(
            number=1, upload=brought[0], kind="visible micrograph", caption="Whole section",
            scale_by="stage micrometer", scale_line={"points": [[10.0, 10.0], [210.0, 10.0]], "length_um": 100.0},
            colour_target={"target": "grey card", "patches": [{"box": [0.0, 0.0, 20.0, 20.0], "lab": [50.0, 0.0, 0.0]}]},
            correction=CORRECTION, prepared="ready", shown={"thumbnail": "pictures/elsewhere.jpg"}, **of_it,
        )  # fmt: skip
        other = Attachment(
            number=2, upload=brought[1], kind="UV micrograph", microscope=scope, scale_by="microscope", colour_from=visible, **of_it
        )
        pen.create([visible, other])
        laid = Registration(
            fixed=visible, moving=other, method="points", matrix=[[1.0, 0.0, 3.5], [0.0, 1.0, -2.0], [0.0, 0.0, 1.0]],
            points=[[[1.0, 2.0], [4.5, 0.0]]], residual_px=0.25, inliers=1, **told,
        )  # fmt: skip
        pen.create([laid])
        line = Traverse(
            attachment=visible, sample=layer.sample, number=1, path=[[20.0, 280.0], [20.0, 20.0]], width_px=30.0, boundaries=[40.0, 90.5],
            reading={"step_px": 1.0, "pictures": [str(visible.pk), str(other.pk)]}, read_digest="0" * 64, read_at=timezone.now(), **told,
        )  # fmt: skip
        pen.create([line])
        read = Measurement(
            traverse=line, layer=layer, from_px=40.0, to_px=90.5, thickness_um=25.25, thickness_error_um=0.5, lab_l=60.0, lab_a=-12.0,
            lab_b=20.0, lab_spread=1.5, colour_calibrated=True, uv_colour="yellow", uv_strength="weak", boundary_um=1.0, confidence=0.9,
            **told,
        )  # fmt: skip
        pen.create([read])


def pack(actor: Any, project: Project, *, outputs: bool = False) -> bytes:
    stream = io.BytesIO()
    archives.write(actor, project, stream, quiet, outputs=outputs)
    return stream.getvalue()


def bring(actor: Any, content: bytes, code: str = "COPY") -> tuple[Project, dict[str, Any]]:
    """A new project, and the archive in it."""
    made = records.create_project(actor, {"code": code, "name": "To be filled"})
    return made, archives.bring(actor, made, "hall.zip", io.BytesIO(content), quiet)


def parts(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def rows(content: bytes, path: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in parts(content)[path].splitlines()]


def repacked(held: dict[str, bytes], manifest: Callable[[dict[str, Any]], None] = lambda told: None) -> bytes:
    """An archive of these parts with a manifest that agrees with them, as somebody would make who means harm."""
    told = json.loads(held["manifest.json"])
    told["parts"] = [
        {"path": path, "bytes": len(body), "sha256": hashlib.sha256(body).hexdigest()}
        for path, body in held.items()
        if path != "manifest.json"
    ]
    manifest(told)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for path, body in {**held, "manifest.json": json.dumps(told).encode()}.items():
            packed.writestr(path, body)
    return out.getvalue()


def altered(content: bytes, path: str, change: Callable[[list[dict[str, Any]]], None]) -> bytes:
    """The archive with some rows changed and the manifest made to agree."""
    held = parts(content)
    found = [json.loads(line) for line in held[path].splitlines()]
    change(found)
    return repacked({**held, path: b"".join(json.dumps(row).encode() + b"\n" for row in found)})


__all__ = ["Space", "altered", "bring", "pack", "parts", "repacked", "rows"]

"""Something at every address of what people bring: a file on its way, a picture that is ready to be shown, a microscope."""

from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from surveys import jobs, records, sendings
from surveys.models import Attachment, Microscope
from tests.surveys.pictures import made


def brought(cast: Any, project: Any, about: Any) -> dict[str, Any]:
    """The picture is on the record given; its one tile and its small picture are any bytes, for here it counts who may fetch them."""
    make = lambda model, **values: records.create(cast.coordinator, project, model, values)  # noqa: E731
    upload = jobs.upload(cast.coordinator, project, "a.png", made.png())
    told = {"about_type": about._meta.model_name, "about_id": about.pk, "upload": upload.pk, "kind": "photograph", "caption": "x"}
    picture = make(Attachment, **told)
    folder = f"pictures/{picture.pk}"
    for name in ("thumbnail", "0/0_0"):
        default_storage.save(f"{folder}/{name}.jpg", ContentFile(b"x"))
    records.pictures.ready(cast.coordinator, project, picture, {"width": 1, "height": 1, "bits": 8, "shown": {"folder": folder}})
    return {
        "sendings": sendings.begin(cast.coordinator, project, "a.tif", 3),
        "microscopes": make(Microscope, name="Lab", magnification="200×", um_per_pixel=0.5),
        "attachments": Attachment.objects.get(pk=picture.pk),
        "brought": told,
    }

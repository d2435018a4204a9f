"""What a job reads: its records by their names, and the digest by which the same job on the same input is known."""

from collections.abc import Mapping
from typing import Any

from django.conf import settings

from analysis.kinds import Kind
from surveys import selectors
from surveys.errors import NotFound
from surveys.models import Attachment, Project, Space, Upload
from surveys.rules import is_id
from surveys.selectors import lines, plates


def input_digest(project: Project, kind: Kind, params: Mapping[str, Any]) -> str:
    """The digest of a job's kind, its version, its parameters and all that it reads."""
    return selectors.digest_of([kind.name, kind.version, dict(params), _reads(project, kind, params)])


def _reads(project: Project, kind: Kind, params: Mapping[str, Any]) -> Any:
    """What a job of the kind reads of the record, in short: the same for the same input."""
    if kind.name == "correlate":
        spaces = [space_named(project, params["space"])] if "space" in params else list(project.spaces.order_by("number"))
        return [[space.number, selectors.correlation_digest(space.pk)] for space in spaces] + [selectors.dating_digest(project)]
    if kind.name == "date":
        return selectors.dating_digest(project)
    if kind.name == "preview":
        space = space_named(project, params["space"])
        return [selectors.correlation_digest(space.pk), selectors.digest_of(selectors.chart(space))]
    if kind.name == "chart":
        return selectors.digest_of(selectors.chart(space_named(project, params["space"])))
    if kind.name == "picture":
        return picture_named(project, params["attachment"]).upload.sha256
    if kind.name == "read-line":
        line = lines.line(project, params["traverse"]) if is_id(params["traverse"]) else None
        if line is None:
            raise NotFound(f"There is no such line in {project.code}.")
        return lines.line_digest(line, lines.registered_uv(line.attachment))
    if kind.name == "picture-colour":
        picture = picture_named(project, params["attachment"])
        return [picture.upload.sha256, picture.colour_target]
    if kind.name == "plate":
        return [project.version, project.change_sequence, plates.plates_digest(project)]
    if kind.name == "chapter":
        return [selectors.whole_record_digest(project, params), settings.SITE_ADDRESS, plates.plates_digest(project)]
    if kind.name in ("archive", "labels", "sampling-plan"):
        return [selectors.whole_record_digest(project, params), settings.SITE_ADDRESS]
    if "upload" in params:
        return [upload_named(project, params["upload"]).sha256, project.change_sequence]
    return [project.version, project.change_sequence]


def space_named(project: Project, name: str) -> Space:
    """A space of the project by its number."""
    found = Space.objects.filter(project=project, number=name).select_related("project").first()
    if found is None:
        raise NotFound(f"There is no space {name} in {project.code}.")
    return found


def picture_named(project: Project, attachment_id: str) -> Attachment:
    """A picture of the project, by its id."""
    query = Attachment.objects.filter(project=project, pk=attachment_id) if is_id(attachment_id) else Attachment.objects.none()
    found = query.select_related("upload").first()
    if found is None:
        raise NotFound(f"There is no such attachment in {project.code}.")
    return found


def upload_named(project: Project, upload_id: str) -> Upload:
    """A file brought to the project, by its id."""
    found = Upload.objects.filter(project=project, pk=upload_id).first() if is_id(upload_id) else None
    if found is None:
        raise NotFound(f"There is no such file in {project.code}. Bring it first.")
    return found

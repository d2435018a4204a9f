"""By what it is known that nothing of a whole project has changed."""

from collections.abc import Mapping
from typing import Any

from surveys.models import Job, Person, Project, Space, Upload
from surveys.selectors.facts import digest_of


def whole_record_digest(project: Project, params: Mapping[str, Any]) -> str:
    """The digest of all that is told of a project: its changes, what was computed and when, who its people are, its files."""
    # As it is now, not as it was when the caller read it.
    now = Project.objects.values_list("version", "change_sequence", "dated_digest", "dated_at").get(pk=project.pk)
    spaces = Space.objects.filter(project=project).order_by("pk").values_list("pk", "correlated_digest", "correlated_by", "correlated_at")
    people = Person.objects.filter(memberships__project=project).order_by("pk").values_list("pk", "username", "name", "is_active")
    found = [
        list(map(str, now)),
        [list(map(str, row)) for row in spaces],
        [list(row) for row in people],
    ]
    if "outputs" in params:
        found.append([list(map(str, query.order_by("pk").values_list("pk", flat=True))) for query in _files(project)])
    return digest_of(found)


def _files(project: Project) -> tuple[Any, Any]:
    return Upload.objects.filter(project=project), Job.objects.filter(project=project, state="done").exclude(kind="archive")

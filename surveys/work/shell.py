"""For whom a command in the shell works: nothing is ever done by nobody."""

from django.core.management.base import CommandError

from surveys import records
from surveys.models import Membership, Person, Project

SHELL = "shell"


def actor_for(project: Project | None, username: str = "") -> Person:
    """The person named, else the project's first coordinator, else a person 'shell' who cannot sign in."""
    if username:
        person = Person.objects.filter(username=username, is_active=True).first()
        if person is None:
            raise CommandError(f"Nobody signs in as '{username}'.")
        return person
    if project is not None:
        first = Membership.objects.filter(project=project, role="coordinator").order_by("created_at").select_related("person").first()
        if first is not None:
            return first.person
    person, fresh = Person.objects.get_or_create(username=SHELL, defaults={"name": "The shell"})
    if fresh:
        person.set_unusable_password()
        person.save()
    return person


def project_for(code: str, *, create: bool = False, username: str = "") -> tuple[Person, Project]:
    """The project of that code and the person for whom to work on it; made first, if asked for and missing."""
    project = Project.objects.filter(code=code).first()
    actor = actor_for(project, username)
    if project is None:
        if not create:
            raise CommandError(f"There is no project {code}. Add --create to make it.")
        project = records.create_project(actor, {"code": code, "name": code})
    return actor, project

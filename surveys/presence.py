"""Who is in which part of a project just now. Nothing of it is kept: it lies in a cache for as long as somebody's page says so."""

from typing import Any, Final

from django.core.cache import caches

from surveys import access
from surveys.models import Membership, Person, Project

# A page says where it is every ten seconds; one that has gone is forgotten after two misses.
SECONDS: Final = 25


def _key(project: Project, person_id: int) -> str:
    return f"presence-{project.pk}-{person_id}"


def say(actor: Person, project: Project, where: str) -> list[dict[str, Any]]:
    """Say where in a project one is; answer who else is in it, by name. Each has an entry of his own, so that none is overwritten."""
    access.require(actor, project, access.SEE)
    cache = caches["presence"]
    cache.set(_key(project, actor.pk), {"name": actor.name, "where": where}, SECONDS)
    ids = Membership.objects.filter(project=project, role__in=access.SEEING_ROLES).exclude(person=actor).values_list("person_id", flat=True)
    found = cache.get_many([_key(project, person_id) for person_id in ids])
    return sorted(found.values(), key=lambda one: (one["name"], one["where"]))

"""What was asked for and does not come: why a picture still waits, its colours are not measured, a line is not read.

A job says itself why it failed, and how often it was tried; here that is told on the record that waits for it. No job is asked anything and
nothing is stored, so that whatever ended it (a full disk, a worker that died, a person) is told alike.
"""

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any, Final

from django.utils import timezone

from surveys.models import Job, Project

PICTURE, COLOURS, READING = "picture", "picture-colour", "read-line"
# Of each kind of job, by which parameter it names its record, and what is to be said.
KINDS: Final[Mapping[str, tuple[str, str]]] = {
    PICTURE: ("attachment", "It is not made ready to be shown"),
    COLOURS: ("attachment", "Its colours are not measured by its target"),
    READING: ("traverse", "It is not read"),
}
UNDER_WAY: Final = ("queued", "running")
# A record that is younger may be told in the very act in which its job is asked for.
YOUNG: Final = dt.timedelta(minutes=1)


def troubles(project: Project, wanted: Iterable[tuple[str, Any, dt.datetime]]) -> dict[tuple[str, str], str]:
    """Of what is waited for (kind of job, id of the record, when that was made): why it does not come. What is under way is not in it.

    One query, also where nothing is waited for, so that a list costs the same whatever stands in it.
    """
    asked = {(kind, str(record_id)): made for kind, record_id, made in wanted}
    now = timezone.now()
    ended: dict[tuple[str, str], str] = {}
    coming = set()
    found = Job.objects.filter(
        project=project, state__in=(*UNDER_WAY, "failed", "cancelled"), created_at__gte=min(asked.values(), default=now)
    )
    for kind, params, state, error in found.filter(kind__in=KINDS).order_by("created_at").values_list("kind", "params", "state", "error"):
        one = (kind, str(params.get(KINDS[kind][0])).lower())
        if state in UNDER_WAY:
            coming.add(one)
        else:
            ended[one] = error
    lost = {one for one, made in asked.items() if one not in coming and (one in ended or made < now - YOUNG)}
    return {one: _sentence(one[0], ended.get(one, "")) for one in lost}


def _sentence(kind: str, error: str) -> str:
    _, words = KINDS[kind]
    return f"{words}. {error}" if error else f"{words}, and nothing is under way. Ask for it again."

"""What is new, once a day by e-mail: to each person who wants it, of the projects that he sees at the moment of writing and no other."""

import datetime as dt
import logging
from collections.abc import Mapping, Sequence
from typing import Any, Final

from django.conf import settings
from django.utils import timezone

from surveys import access, mail, seen
from surveys.models import Person, Project, Seen
from surveys.selectors import news

LINE: Final = 160
log = logging.getLogger(__name__)


def due(now: dt.datetime) -> dt.datetime:
    """When the e-mail of this day became due: the last time that it was the hour for it (UTC)."""
    today = now.replace(hour=settings.DIGEST_HOUR, minute=0, second=0, microsecond=0)
    return today if today <= now else today - dt.timedelta(days=1)


def send_due() -> int:
    """Write to everybody whose e-mail of the day is due; answer how many went out."""
    since = due(timezone.now())
    wanting = Person.objects.filter(is_active=True, daily_digest=True, memberships__role__in=access.SEEING_ROLES).exclude(email="")
    written = Person.objects.filter(seen__digest_at__gte=since)
    return sum(send(person, since) for person in wanting.exclude(pk__in=written).distinct().order_by("pk"))


def send(person: Person, since: dt.datetime) -> bool:
    """Write to one person, unless somebody else does or there is nothing to say; whether an e-mail went out."""
    projects = list(Project.objects.filter(memberships__person=person, memberships__role__in=access.SEEING_ROLES).order_by("code"))
    # Who never looked and was never written to is told from now on, not all that was before he came.
    seen.begin(Seen(person=person, project=one, digest_sequence=one.change_sequence) for one in projects)
    claimed = seen.claim(person, since)
    if claimed is None:
        return False
    try:
        found = _found(person, projects, claimed.before)
        upto = {one.pk: one.change_sequence for one in projects}
        if found and not mail.send(person, subject(found), letter(person, found)):
            seen.release(claimed)
            return False
    except Exception:
        # It is not tried again this day: what fails once would fail every few minutes. Tomorrow's tells of the same.
        log.exception("The daily e-mail to person %s could not be written.", person.pk)
        return False
    seen.told(person, upto)
    return bool(found)


Found = list[tuple[Project, Mapping[str, Any]]]


def _found(person: Person, projects: Sequence[Project], before: dt.datetime | None) -> Found:
    """The projects in which something is new since the last e-mail, each with what it is."""
    read = {one.project_id: max(one.sequence, one.digest_sequence) for one in Seen.objects.filter(person=person)}
    told = [(one, news.of_project(person, one, read[one.pk], one.change_sequence)) for one in projects]
    return [(project, new) for project, new in told if _worth(new, before)]


def _worth(new: Mapping[str, Any], before: dt.datetime | None) -> bool:
    """Whether there is anything to write: what waits is told again only with something new, or when it has become overdue."""
    if any(new[name] for name in ("groups", "mentions", "answers", "answered")):
        return True
    yesterday = timezone.localdate() - dt.timedelta(days=1)
    asked = [*new["questions"], *new["reviews"]]
    late = any(one["needed_by"] == yesterday for one in new["questions"])
    return late or any(before is None or one["created_at"] > before for one in asked)


def subject(found: Found) -> str:
    """What stands over the e-mail."""
    return f"What is new in {found[0][0].name}" if len(found) == 1 else f"What is new in {len(found)} structures"


def letter(person: Person, found: Found) -> str:
    """The e-mail: plain text, one line a thing."""
    parts = [f"Dear {person.name},", *(part for project, new in found for part in _project(project, new))]
    place = f"{settings.SITE_ADDRESS}/me" if settings.SITE_ADDRESS else "'Me' in Undercoat"
    parts.append(f"You have this once a day, when there is something new. To have it no more, switch it off at {place}.")
    return "\n\n".join(parts) + "\n"


def _project(project: Project, new: Mapping[str, Any]) -> list[str]:
    where = f"{settings.SITE_ADDRESS}/projects/{project.code}" if settings.SITE_ADDRESS else ""
    head = f"{_line(project.name)} ({project.code})"
    waits = [_question(one) for one in new["questions"]] + [
        f"review of interpretation {one['number']}, asked by {one['created_by']}: {_line(one['statement'])}" for one in new["reviews"]
    ]
    fresh = [
        *(f"{one['created_by']} called you on {_about(one)}: {_line(one['text'])}" for one in new["mentions"]),
        *(f"{one['created_by']} answered in a thread of yours on {_about(one)}: {_line(one['text'])}" for one in new["answers"]),
        *(f"{one['answered_by']} answered your question {one['number']}: {_line(one['answer'])}" for one in new["answered"]),
        *(_group(one) for one in new["groups"]),
    ]
    told = [("Waits for you", waits), ("New", fresh)]
    lists = ["\n".join([f"{title}:", *(f"  - {one}" for one in some)]) for title, some in told if some]
    return ["\n".join(part for part in (head, where) if part), *lists]


def _question(one: Mapping[str, Any]) -> str:
    by = f", needed by {one['needed_by']:%d %B %Y}" if one["needed_by"] else ""
    late = " (overdue)" if one["overdue"] else ""
    return f"question {one['number']} of {one['created_by']} on {_about(one)}{by}{late}: {_line(one['text'])}"


def _about(one: Mapping[str, Any]) -> str:
    if one["about_type"] == "project":
        return "the project"
    return f"{one['about_type']} {one['about_name']}" if one["about_name"] else f"a {one['about_type']} that was removed"


def _group(one: Mapping[str, Any]) -> str:
    where = f", space {one['space']}" if one["space"] else ""
    many = [f"{one[name]} {word}" for name, word in (("created", "new"), ("changed", "changed"), ("removed", "removed")) if one[name]]
    names = ", ".join(f"{each['type']} {each['name']}" for each in one["records"])
    more = " …" if one["count"] > len(one["records"]) else ""
    return f"{one['discipline']}{where}: {', '.join(many)} ({_line(names)}{more})"


def _line(text: str) -> str:
    """A text on one line, cut where it is long."""
    flat = " ".join(text.split())
    return flat if len(flat) <= LINE else f"{flat[: LINE - 1]}…"

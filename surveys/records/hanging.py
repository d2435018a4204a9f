"""What is said and asked about a record hangs on it: it goes when the record goes, and comes back with it."""

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING, Any, Final

from surveys.errors import Conflict
from surveys.models import Attachment, Comment, Measurement, Person, Question, Registration, Traverse
from surveys.models.findings import TALKED_ABOUT
from surveys.models.pictures import ATTACHED_TO
from surveys.rules.mentions import called
from surveys.selectors import abouts, talk

if TYPE_CHECKING:
    from surveys.records.writing import Pen

BATCH: Final = 500


def take_along(pen: "Pen", records: Sequence[Any]) -> list[Any]:
    """Remove what hangs on records that are about to be removed; answer those that are left to remove, after it."""
    model = type(records[0])
    ids = [record.pk for record in records]
    if model is Comment:
        replies = {one.pk: one for one in _found(Comment, ids, {}, "thread__in")} | {one.pk: one for one in records if one.thread_id}
        heads = [one for one in records if one.thread_id is None]
        if heads:
            pen.remove(list(replies.values()))
            return heads
        return list(replies.values())
    name = str(model._meta.model_name)
    if name in ATTACHED_TO:
        _take_pictures(pen, attached(name, ids))
    if name in TALKED_ABOUT:
        pen.remove(_found(Question, ids, {"about_type": name}, "about_id__in"))
        pen.remove(_found(Comment, ids, {"about_type": name}, "about_id__in"))
    return list(records)


def attached(name: str, ids: Sequence[Any]) -> list[Attachment]:
    """The pictures and documents on records of a kind."""
    return _found(Attachment, ids, {"about_type": name}, "about_id__in") if name in ATTACHED_TO and ids else []


def _take_pictures(pen: "Pen", gone: Sequence[Attachment]) -> None:
    """Pictures go with the lines on them, and with how they lie on others."""
    ids = [one.pk for one in gone]
    if ids:
        pen.remove(_found(Measurement, ids, {}, "traverse__attachment__in"))
        pen.remove(_found(Traverse, ids, {}, "attachment__in"))
        laid = {one.pk: one for side in ("fixed__in", "moving__in") for one in _found(Registration, ids, {}, side)}
        pen.remove(list(laid.values()))
        pen.remove(gone)


def _found(model: Any, ids: Sequence[Any], where: dict[str, Any], lookup: str) -> list[Any]:
    found: list[Any] = []
    for start in range(0, len(ids), BATCH):
        found += model._default_manager.filter(**where, **{lookup: ids[start : start + BATCH]}).select_related("created_by")
    return found


def talked_about(model: Any, ids: Sequence[Any]) -> set[Any]:
    """Those of some records of a kind about which something was said or asked, or on which there are pictures."""
    name = str(model._meta.model_name)
    found: set[Any] = set()
    for hanging in (Comment, Question, Attachment):
        found |= set(hanging._default_manager.filter(about_type=name, about_id__in=ids).values_list("about_id", flat=True))
    return found


def carry_over(pen: "Pen", keep: Any, gone: Any) -> None:
    """What was said and asked of a record that becomes part of another, and its pictures, are of that one now."""
    name = str(type(keep)._meta.model_name)
    for hanging in (Comment, Question, Attachment):
        moving = hanging._default_manager.filter(about_type=name, about_id=gone.pk).select_related("created_by")
        pen.change_many([(one, {"about_id": keep.pk}) for one in moving])


def refuse_orphans(pen: "Pen", records: Sequence[Any], coming: Collection[Any] = ()) -> None:
    """What hangs on something that is gone cannot be brought back by itself; `coming` are the ids of what comes back with it, later."""
    there = abouts.records(pen.project, [(one.about_type, one.about_id) for one in records])
    for one in records:
        if (one.about_type, one.about_id) not in there and one.about_id not in coming:
            raise Conflict(
                f"This {one._meta.verbose_name} cannot be brought back: the {one.about_type} that it is about is gone.", code="cited"
            )


def call(pen: "Pen", comments: Sequence[Comment]) -> None:
    """Note whom comments call: members who see the project, and nobody else."""
    from surveys.models import Mention

    people: dict[str, Person] = talk.people(pen.project)
    made = [Mention(comment=one, person=person) for one in comments for person in called(one.text, people)]
    pen.beside(Mention, {"comment__in": [one.pk for one in comments]}, made)

"""Inviting people: a link that works once, for seven days. Of its secret only the hash is kept.

A used, withdrawn, expired and unknown secret are answered in the same words, so that nothing is learnt by trying.
"""

import datetime as dt
import hashlib
import secrets
from collections.abc import Mapping
from typing import Any, Final

from django.utils import timezone

from surveys import access, rules
from surveys.errors import Conflict, Fault, NotFound
from surveys.models import Invitation, Membership, Person, Project
from surveys.records.writing import opened, refuse, writing

VALID: Final = dt.timedelta(days=7)
DEAD: Final = (
    "This invitation is not valid: it was used or withdrawn, is older than seven days, or the link is not whole. "
    "Ask whoever sent it for a new one."
)


def digest_of(secret: str) -> str:
    """What is kept of a secret. A plain hash is enough: it is 32 random bytes, so nothing can be guessed from it."""
    return hashlib.sha256(secret.encode()).hexdigest()


def invite(actor: Person, project: Project, values: Mapping[str, Any]) -> tuple[Invitation, str]:
    """Offer a place in a project; answer the invitation with its secret, which cannot be had again."""
    with writing(actor, project, access.MANAGE) as pen:
        kept, faults = rules.clean(Invitation, values)
        for name in ("name", "role", "discipline"):
            if name not in values:
                faults.append(Fault(name, "required", "This is needed."))
        refuse(faults)
        secret = secrets.token_urlsafe(32)
        made = Invitation(project=pen.project, digest=digest_of(secret), expires_at=timezone.now() + VALID, **kept)
        pen.create([made])
        return made, secret


def revoke(actor: Person, project: Project, invitation_id: Any, version: int | None) -> None:
    """Withdraw an invitation that nobody has used."""
    with writing(actor, project, access.MANAGE) as pen:
        found = pen.find(Invitation, invitation_id, version)
        if found.accepted_at is not None:
            raise Conflict(f"{found.accepted_by} has used it already. End the membership instead.", code="used")
        if found.revoked_at is None:
            pen.change(found, {"revoked_at": timezone.now()})


def standing(secret: str) -> Invitation:
    """The invitation that a secret stands for, while it can be used."""
    found = Invitation.objects.select_related("project", "created_by").filter(digest=digest_of(secret)).first()
    if found is None or not _alive(found):
        raise NotFound(DEAD)
    return found


def _alive(invitation: Invitation) -> bool:
    return invitation.accepted_at is None and invitation.revoked_at is None and invitation.expires_at > timezone.now()


def accept(actor: Person, secret: str) -> Membership:
    """Become a member by an invitation, which is used up. Of two who try at once, one does."""
    project = standing(secret).project
    with opened(actor, project, reason="Accepted an invitation.") as pen:
        invitation = standing(secret)  # again, now that nobody else writes
        if Membership.objects.filter(project=pen.project, person=actor).exists():
            text = f"You belong to {project.name} already. The invitation stays as it is: pass it on to the person whom it is for."
            raise Conflict(text, code="taken")
        member = Membership(project=pen.project, person=actor, role=invitation.role, discipline=invitation.discipline)
        pen.create([member])
        pen.change(invitation, {"accepted_at": timezone.now(), "accepted_by": actor})
        return member

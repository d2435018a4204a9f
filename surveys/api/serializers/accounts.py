"""Invitations, leaving, passwords: what is sent and answered."""

from typing import Any

from django.db import models
from rest_framework import serializers

from analysis.core import vocabulary
from surveys.api.serializers.common import Body, Shown, shown
from surveys.api.serializers.people import PersonShape
from surveys.api.typed import Id, Text
from surveys.models import Invitation
from surveys.selectors.people import INVITATION_STATES

SECRET = 300
PASSWORD = 4_096
EMAIL = 254
CODE = 64


class InvitationShape(Shown):
    """An invitation, without its secret."""

    accepted_by = serializers.CharField(source="accepted_by.name", allow_null=True)
    state = serializers.ChoiceField(INVITATION_STATES)

    class Meta:
        model = Invitation
        fields = shown(Invitation, "expires_at", "accepted_at", "accepted_by", "revoked_at", "state")


class InvitationMade(InvitationShape):
    """An invitation just made, with the link that is shown this once."""

    link = serializers.CharField(help_text="The address that the invited person opens; what follows '#' is the secret.")
    mailed = serializers.BooleanField(help_text="Whether the link went out by e-mail.")

    class Meta:
        model: type[models.Model] = Invitation
        fields = (*InvitationShape.Meta.fields, "link", "mailed")


class Secret(Body):
    """The secret of a link."""

    secret = Text(SECRET)


class InvitationSeen(serializers.Serializer):
    """What an invitation offers, to who holds its link."""

    project = serializers.CharField(help_text="The name of the project.")
    name = serializers.CharField()
    email = serializers.CharField(allow_blank=True)
    role = serializers.ChoiceField(vocabulary.ROLES)
    discipline = serializers.ChoiceField(vocabulary.DISCIPLINES)
    invited_by = serializers.CharField()
    expires_at = serializers.DateTimeField()


class Acceptance(Body):
    """The secret; and, from who has no account yet, what one is made of."""

    secret = Text(SECRET)
    username = Text(150, required=False)
    name = Text(120, required=False)
    email = Text(EMAIL, required=False)
    password = Text(PASSWORD, required=False)


class Accepted(serializers.Serializer):
    """Who one is, and where one belongs now."""

    person = PersonShape()
    project = serializers.CharField(help_text="The code of the project.")


class HeldQuestion(serializers.Serializer):
    """An open question to somebody who leaves."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    text = serializers.CharField()


class HeldReview(serializers.Serializer):
    """A review asked of somebody who leaves."""

    id = serializers.UUIDField()
    interpretation = serializers.UUIDField()
    number = serializers.IntegerField(help_text="The number of the interpretation.")


class LeavingShape(serializers.Serializer):
    """What a member would leave behind."""

    name = serializers.CharField()
    last_coordinator = serializers.BooleanField(help_text="The last coordinator cannot leave.")
    invitations = serializers.IntegerField(help_text="Open invitations of his, which end when he leaves.")
    questions = HeldQuestion(many=True)
    reviews = HeldReview(many=True)


class Leave(Body):
    """Members (by the ids of their memberships) to whom open questions and reviews go."""

    questions_to = Id(required=False, allow_null=True)
    reviews_to = Id(required=False, allow_null=True)


class HandOver(Body):
    """The member who becomes coordinator, and what one is oneself afterwards."""

    to = Id()
    role = Text()


class PasswordChange(Body):
    """The present password and the new one."""

    password = Text(PASSWORD)
    new_password = Text(PASSWORD)


class EmailChange(Body):
    """The present password, and the address for letters."""

    password = Text(PASSWORD)
    email = Text(EMAIL)


class Forgotten(Body):
    """The address to which a link may go."""

    email = Text(EMAIL)


class Told(serializers.Serializer):
    """A sentence."""

    detail = serializers.CharField()


class NewPassword(Body):
    """The secret of the link, and the new password."""

    secret = Text(SECRET)
    password = Text(PASSWORD)


class SessionShape(serializers.Serializer):
    """Where one is signed in."""

    id = serializers.UUIDField()
    current = serializers.BooleanField(help_text="Whether it is the session that asks.")
    began_at = serializers.DateTimeField(allow_null=True)
    last_used_at = serializers.DateTimeField(allow_null=True, help_text="To the hour.")
    browser = serializers.CharField(allow_blank=True, help_text="What the browser said of itself, in words.")
    network = serializers.CharField(allow_blank=True, help_text="The address from which it was begun; of IPv6 the network.")


class SessionList(serializers.Serializer):
    """Where one is signed in."""

    results = SessionShape(many=True)


class SessionsEnded(serializers.Serializer):
    """How many sessions were ended."""

    ended = serializers.IntegerField()


class SecondFactorShape(serializers.Serializer):
    """How it stands with one's second factor."""

    on = serializers.BooleanField()
    since = serializers.DateTimeField(allow_null=True)
    recovery_codes = serializers.IntegerField(help_text="How many are left.")
    required = serializers.BooleanField(help_text="Whether everybody must have one here.")  # type: ignore[assignment]


class Password(Body):
    """The present password."""

    password = Text(PASSWORD)


class Code(Body):
    """A code of the telephone."""

    code = Text(CODE)


class PasswordAndCode(Body):
    """The present password, and a code of the telephone or a recovery code."""

    password = Text(PASSWORD)
    code = Text(CODE)


class SecondFactorKey(serializers.Serializer):
    """What a telephone must know to show codes (RFC 6238); in this answer and nowhere else."""

    key = serializers.CharField(help_text="Base 32, as it is typed in.")
    address = serializers.CharField(help_text="The same as an otpauth: address.")
    picture = serializers.CharField(help_text="The address as a QR code (SVG).")


class RecoveryCodes(serializers.Serializer):
    """Codes for the day on which the telephone is not at hand, each for one use; in this answer and nowhere else."""

    recovery_codes = serializers.ListField(child=serializers.CharField())


def seen(invitation: Any) -> dict[str, Any]:
    """What an invitation offers."""
    return {
        "project": invitation.project.name,
        "invited_by": invitation.created_by.name,
        **{name: getattr(invitation, name) for name in ("name", "email", "role", "discipline", "expires_at")},
    }

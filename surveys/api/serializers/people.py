"""Persons: members, sign-in, tokens, presence."""

from rest_framework import serializers

from surveys.api.serializers.common import Body, Shown, name_of, shown
from surveys.api.typed import Text, Truth
from surveys.models import Membership, Token


class MemberShape(Shown):
    """Who belongs to a project, in which role."""

    person = serializers.IntegerField(source="person_id")
    username = name_of("person", "username")
    name = name_of("person", "name")

    class Meta:
        model = Membership
        fields = shown(Membership, "person", "username", "name", without=("person",))


class NewMember(Body):
    """Who is let in, as what."""

    username = Text(150)
    role = Text()
    discipline = Text()


class MemberChange(Body):
    """Another role or discipline."""

    role = Text(required=False)
    discipline = Text(required=False)


class PersonShape(serializers.Serializer):
    """Who is signed in."""

    id = serializers.IntegerField()
    username = serializers.CharField()
    name = serializers.CharField()
    email = serializers.CharField(allow_blank=True, help_text="Where letters for you go.")
    daily_digest = serializers.BooleanField(help_text="Whether what is new comes once a day by e-mail.")


class Wishes(Body):
    """What one wants of the program."""

    daily_digest = Truth()


class SignIn(Body):
    """A name and a password; and a code, from who has a second factor."""

    username = Text(150)
    password = Text(4_096)
    code = Text(64, "Of who has a second factor: six digits from his telephone, or a recovery code.", required=False)


class TokenShape(serializers.ModelSerializer):
    """A token, without its secret."""

    class Meta:
        model = Token
        fields = ("id", "label", "created_at", "last_used_at")
        read_only_fields = fields


class TokenMade(serializers.Serializer):
    """A token just made, with the secret that is shown this once."""

    id = serializers.UUIDField()
    label = serializers.CharField()  # type: ignore[assignment]
    created_at = serializers.DateTimeField()
    last_used_at = serializers.DateTimeField(allow_null=True)
    token = serializers.CharField()


class TokenList(serializers.Serializer):
    """One's own tokens."""

    results = TokenShape(many=True)


class TokenLabel(Body):
    """What a token is for."""

    label = Text(80)  # type: ignore[assignment]


class Where(Body):
    """Where in a project one is."""

    where = Text(80)


class Present(serializers.Serializer):
    """Somebody who is here."""

    name = serializers.CharField()
    where = serializers.CharField(allow_blank=True)


class PresentList(serializers.Serializer):
    """Who else is here."""

    present = Present(many=True)

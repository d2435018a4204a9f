"""What is new for a person."""

from rest_framework import serializers

from surveys.api.serializers.common import Body
from surveys.api.typed import Whole


class NewRecord(serializers.Serializer):
    """A record that was touched lately."""

    type = serializers.CharField()
    id = serializers.UUIDField()
    name = serializers.CharField()
    action = serializers.ChoiceField(["created", "changed", "removed", "restored"])
    at = serializers.DateTimeField()
    actor = serializers.CharField()


class NewsGroup(serializers.Serializer):
    """What one discipline wrote in one space."""

    discipline = serializers.CharField(help_text="Of who wrote it; 'computed', or 'no longer a member', where that says more.")
    space = serializers.CharField(allow_blank=True, help_text="Its number; '' for what is of the whole structure, or was removed.")
    count = serializers.IntegerField(help_text="How many records.")
    created = serializers.IntegerField()
    changed = serializers.IntegerField()
    removed = serializers.IntegerField()
    last_at = serializers.DateTimeField()
    records = NewRecord(many=True, help_text="Those touched last, at most eight.")


class About(serializers.Serializer):
    """What hangs on a record."""

    id = serializers.UUIDField()
    created_at = serializers.DateTimeField()
    created_by = serializers.CharField()
    about_type = serializers.CharField()
    about_id = serializers.UUIDField()
    about_name = serializers.CharField(allow_null=True)
    text = serializers.CharField()


class NewComment(About):
    """A comment."""

    about_field = serializers.CharField(allow_blank=True)
    thread = serializers.UUIDField(allow_null=True)


class WaitingQuestion(About):
    """A question."""

    number = serializers.IntegerField()
    needed_by = serializers.DateField(allow_null=True)
    overdue = serializers.BooleanField()
    to_name = serializers.CharField(allow_null=True)
    to_discipline = serializers.CharField(allow_blank=True)
    answer = serializers.CharField(allow_blank=True)
    answered_by = serializers.CharField(allow_null=True)


class WaitingReview(serializers.Serializer):
    """A review that one is asked for."""

    interpretation = serializers.UUIDField()
    number = serializers.IntegerField()
    statement = serializers.CharField()
    created_by = serializers.CharField()
    created_at = serializers.DateTimeField()


class NewsShape(serializers.Serializer):
    """What others wrote since one looked, and what waits for one. At most a hundred of a kind are told."""

    since = serializers.IntegerField(help_text="The number of the change up to which one had read.")
    seen_at = serializers.DateTimeField(allow_null=True)
    sequence = serializers.IntegerField(help_text="The number of the last change that is told; say 'seen' with it.")
    groups = NewsGroup(many=True)
    comments = serializers.IntegerField(help_text="How many comments are new.")
    mentions = NewComment(many=True, help_text="New comments that call one.")
    answers = NewComment(many=True, help_text="New answers in threads in which one wrote.")
    questions = WaitingQuestion(many=True, help_text="Open questions to one, or to one's discipline.")
    answered = WaitingQuestion(many=True, help_text="One's own questions that were answered.")
    reviews = WaitingReview(many=True)


class SeenUpTo(Body):
    """The change up to which one has read."""

    sequence = Whole(0, 2**53)


class SeenShape(serializers.Serializer):
    """How far one has read."""

    sequence = serializers.IntegerField()
    seen_at = serializers.DateTimeField()


class NewsCounts(serializers.Serializer):
    """How much is new in a project, and how much waits for one there."""

    code = serializers.CharField()
    changes = serializers.IntegerField()
    comments = serializers.IntegerField()
    mentions = serializers.IntegerField()
    answers = serializers.IntegerField()
    questions = serializers.IntegerField()
    overdue = serializers.IntegerField()
    answered = serializers.IntegerField()
    reviews = serializers.IntegerField()


class NewsList(serializers.Serializer):
    """One's projects, as far as one sees them."""

    results = NewsCounts(many=True)

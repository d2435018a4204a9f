"""Comments, threads and questions."""

from typing import Any

from rest_framework import serializers

from analysis.core.vocabulary import QUESTION_STATES
from surveys.api.serializers.common import Body, Shown, name_of, shown, values_of
from surveys.api.typed import ID, Day, Text, Typed
from surveys.models import Comment, Question
from surveys.models.findings import TALKED_ABOUT


class Called(serializers.Serializer):
    """A member whom a comment calls."""

    username = serializers.CharField()
    name = serializers.CharField()


class CommentShape(Shown):
    """A comment: on a record, or on one column of it. Answers name the first comment of their thread."""

    author = name_of("created_by", "username")
    about_type = serializers.ChoiceField(TALKED_ABOUT)
    about_name = serializers.CharField(allow_null=True, help_text="What people call the record; null where it is gone.")
    resolved = serializers.BooleanField(help_text="Whether the thread is.")
    resolved_by = serializers.CharField(source="resolved_by.name", allow_null=True)
    mentions = Called(many=True)

    class Meta:
        model = Comment
        fields = shown(Comment, "author", "about_name", "edited_at", "resolved", "resolved_at", "resolved_by", "mentions")


CommentValues = values_of(Comment, "Comment")


class CommentText(Body):
    """One's own comment, put otherwise."""

    text = Text(20_000)


class CalledCandidate(serializers.Serializer):
    """Somebody who can be called or asked."""

    username = serializers.CharField()
    name = serializers.CharField()
    role = serializers.CharField()
    discipline = serializers.CharField()


class CandidateList(serializers.Serializer):
    """Who can be called or asked: members who see the project."""

    results = CalledCandidate(many=True)


class ThreadCount(serializers.Serializer):
    """How many threads there are on a record, or on one column of it."""

    about_type = serializers.ChoiceField(TALKED_ABOUT)
    about_id = serializers.UUIDField()
    about_field = serializers.CharField(allow_blank=True)
    open = serializers.IntegerField()
    resolved = serializers.IntegerField()


class ThreadCountList(serializers.Serializer):
    """Every record and column that is spoken of."""

    results = ThreadCount(many=True)


class RestsOn(serializers.Serializer):
    """A record that an answer rests on."""

    type = serializers.ChoiceField(TALKED_ABOUT)
    id = serializers.UUIDField()
    name = serializers.CharField(allow_null=True, help_text="Null where the record is gone.")


class QuestionShape(Shown):
    """A question: to a person or to a discipline, about a record; and its answer."""

    author = name_of("created_by", "username")
    about_type = serializers.ChoiceField(TALKED_ABOUT)
    about_name = serializers.CharField(allow_null=True, help_text="What people call the record; null where it is gone.")
    to_person = serializers.CharField(source="to_person.username", allow_null=True)
    to_name = serializers.CharField(source="to_person.name", allow_null=True)
    state = serializers.ChoiceField(QUESTION_STATES)
    overdue = serializers.BooleanField(help_text="Whether it is open after the day by which the answer was needed.")
    answered_by = serializers.CharField(source="answered_by.name", allow_null=True)
    answer_records = RestsOn(many=True)

    class Meta:
        model = Question
        fields = shown(
            Question, "author", "number", "about_name", "to_person", "to_name", "state", "overdue", "answer", "answered_by", "answered_at",
            "answer_records",
        )  # fmt: skip


class QuestionValues(values_of(Question, "Question")):  # type: ignore[misc]
    """What is asked, about which record, and whom: a person by the name that he signs in with, or a discipline."""

    to_person = Text(150, allow_null=True, required=False)


class QuestionWords(Body):
    """An open question, put otherwise or to somebody else."""

    text = Text(20_000, required=False)
    to_person = Text(150, allow_null=True, required=False)
    to_discipline = Text(allow_null=True, required=False)
    needed_by = Day(allow_null=True, required=False)


def _records(**options: Any) -> Typed:
    """Records by type and id."""

    def fits(value: Any) -> bool:
        return isinstance(value, list) and all(
            isinstance(one, dict) and set(one) == {"type", "id"} and one["type"] in TALKED_ABOUT and isinstance(one["id"], str)
            and ID.fullmatch(one["id"]) is not None
            for one in value
        )  # fmt: skip

    parts = {"type": {"type": "string", "enum": list(TALKED_ABOUT)}, "id": {"type": "string", "format": "uuid"}}
    item = {"type": "object", "properties": parts, "required": ["type", "id"], "additionalProperties": False}
    needs = 'This must be a list of records, each as {"type": "evidence", "id": "…"}.'
    return Typed({"type": "array", "items": item, "maxItems": 50}, fits, needs, **options)


class AnswerRequest(Body):
    """An answer, and the records that it rests on."""

    answer = Text(20_000)
    records = _records(required=False)

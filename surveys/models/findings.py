"""What people conclude, who agrees, and what they ask of each other."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from analysis.core.vocabulary import CERTAINTIES, DISCIPLINES, QUESTION_STATES, REVIEW_STATES
from surveys.models.base import Record, choices, one_of, text, word

# What an interpretation may be about, what it may cite, and what a comment or a question may hang on (model names).
SUBJECTS = ("space", "element", "generation", "phase", "layer")
CITABLE = ("sample", "layer", "evidence", "interpretation")
TALKED_ABOUT = (
    "project", "space", "element", "sample", "layer", "ruling", "generation", "phase", "evidence", "interpretation", "question",
    "schedule", "scheduleissue", "attachment", "traverse",
)  # fmt: skip


def exactly_one(word_field: str, words: tuple[str, ...], name: str, fields: dict[str, str] | None = None) -> models.CheckConstraint:
    """A database constraint: of several references the one is set that a word names, and no other."""
    fields = fields or {}
    condition = Q()
    for chosen in words:
        row = Q(**{word_field: chosen})
        for one in words:
            row &= Q(**{f"{fields.get(one, one)}__isnull": one != chosen})
        condition |= row
    return models.CheckConstraint(condition=condition, name=name)


class Interpretation(Record):
    """A finding somebody puts their name to, citing samples, layers, evidence and other interpretations; it is reviewed."""

    number = models.PositiveIntegerField()
    discipline = models.CharField(max_length=40, choices=choices(DISCIPLINES))
    subject = models.CharField(max_length=20, choices=choices(SUBJECTS))
    space = models.ForeignKey("surveys.Space", null=True, blank=True, on_delete=models.PROTECT, related_name="interpretations")
    element = models.ForeignKey("surveys.Element", null=True, blank=True, on_delete=models.PROTECT, related_name="interpretations")
    generation = models.ForeignKey("surveys.Generation", null=True, blank=True, on_delete=models.PROTECT, related_name="interpretations")
    phase = models.ForeignKey("surveys.Phase", null=True, blank=True, on_delete=models.PROTECT, related_name="interpretations")
    layer = models.ForeignKey("surveys.Layer", null=True, blank=True, on_delete=models.PROTECT, related_name="interpretations")
    statement = models.TextField(max_length=20_000)
    certainty = word(CERTAINTIES)
    supersedes = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="superseded_by")
    # Moved by `surveys.records.states` only: the state, who put it there, when, and why.
    state = models.CharField(max_length=20, choices=choices(REVIEW_STATES), default="working")
    state_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    state_at = models.DateTimeField(null=True, blank=True)
    state_reason = text(2_000)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "number"], name="interpretation_number_unique"),
            one_of("discipline", DISCIPLINES, name="interpretation_discipline_known", blank=False),
            one_of("certainty", CERTAINTIES, name="interpretation_certainty_known"),
            one_of("state", REVIEW_STATES, name="interpretation_state_known", blank=False),
            exactly_one("subject", SUBJECTS, "interpretation_one_subject"),
        ]

    def __str__(self) -> str:
        return f"interpretation {self.number}"


class Citation(Record):
    """That an interpretation rests on a record."""

    interpretation = models.ForeignKey(Interpretation, on_delete=models.PROTECT, related_name="citations")
    kind = models.CharField(max_length=20, choices=choices(CITABLE))
    sample = models.ForeignKey("surveys.Sample", null=True, blank=True, on_delete=models.PROTECT, related_name="citations")
    layer = models.ForeignKey("surveys.Layer", null=True, blank=True, on_delete=models.PROTECT, related_name="citations")
    evidence = models.ForeignKey("surveys.Evidence", null=True, blank=True, on_delete=models.PROTECT, related_name="citations")
    cited = models.ForeignKey(Interpretation, null=True, blank=True, on_delete=models.PROTECT, related_name="cited_by")
    note = text(400)

    class Meta:
        constraints: ClassVar = [
            exactly_one("kind", CITABLE, "citation_one_record", {"interpretation": "cited"}),
            models.UniqueConstraint(fields=["interpretation", "sample"], condition=Q(sample__isnull=False), name="citation_sample_once"),
            models.UniqueConstraint(fields=["interpretation", "layer"], condition=Q(layer__isnull=False), name="citation_layer_once"),
            models.UniqueConstraint(
                fields=["interpretation", "evidence"], condition=Q(evidence__isnull=False), name="citation_evidence_once"
            ),
            models.UniqueConstraint(fields=["interpretation", "cited"], condition=Q(cited__isnull=False), name="citation_cited_once"),
            models.CheckConstraint(condition=~Q(interpretation=models.F("cited")), name="citation_not_of_itself"),
        ]

    def __str__(self) -> str:
        return f"citation by interpretation {self.interpretation.number}"


class ReviewRequest(Record):
    """That a person was asked to review an interpretation; answered by moving it, or by saying that one has looked."""

    interpretation = models.ForeignKey(Interpretation, on_delete=models.PROTECT, related_name="review_requests")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["interpretation", "person"], name="review_asked_once")]

    def __str__(self) -> str:
        return f"review of interpretation {self.interpretation.number} by {self.person}"


class About(Record):
    """Something that hangs on another record of the project, named by type and id: `surveys.selectors.abouts` gives its human name."""

    about_type = models.CharField(max_length=20, choices=choices(TALKED_ABOUT))
    about_id = models.UUIDField()

    class Meta:
        abstract = True


class Question(About):
    """Something one discipline needs from another: to a person or to a discipline, addressed and answered."""

    number = models.PositiveIntegerField()
    to_person = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    to_discipline = word(DISCIPLINES)
    text = models.TextField(max_length=20_000)
    needed_by = models.DateField(null=True, blank=True)
    state = models.CharField(max_length=20, choices=choices(QUESTION_STATES), default="open")
    answer = models.TextField(blank=True, default="", max_length=20_000)
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    answered_at = models.DateTimeField(null=True, blank=True)
    # The records that the answer rests on: [{"type": "evidence", "id": "…"}].
    answer_records = models.JSONField(default=list, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "number"], name="question_number_unique"),
            one_of("to_discipline", DISCIPLINES, name="question_discipline_known"),
            one_of("state", QUESTION_STATES, name="question_state_known", blank=False),
            one_of("about_type", TALKED_ABOUT, name="question_about_known", blank=False),
            models.CheckConstraint(
                condition=(Q(to_person__isnull=False) & Q(to_discipline="")) | (Q(to_person__isnull=True) & ~Q(to_discipline="")),
                name="question_to_one",
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["project", "about_type", "about_id"])]

    def __str__(self) -> str:
        return f"question {self.number}"


class Comment(About):
    """What somebody says about a record, or about one column of it; answers hang on the first of the thread."""

    # The column of a grid cell that is spoken of; '' means the whole record.
    about_field = text(40)
    thread = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replies")
    text = models.TextField(max_length=20_000)
    edited_at = models.DateTimeField(null=True, blank=True)
    # Of the first comment of a thread only.
    resolved_at = models.DateTimeField(null=True, blank=True)
    resolved_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [one_of("about_type", TALKED_ABOUT, name="comment_about_known", blank=False)]
        indexes: ClassVar = [models.Index(fields=["project", "about_type", "about_id"])]

    def __str__(self) -> str:
        return f"comment by {self.created_by}"


class Mention(models.Model):
    """That a comment calls a member by name; follows from its text."""

    comment = models.ForeignKey(Comment, on_delete=models.CASCADE, related_name="mentions")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="mentions")

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["comment", "person"], name="mentioned_once")]

    def __str__(self) -> str:
        return f"{self.person} in {self.comment}"

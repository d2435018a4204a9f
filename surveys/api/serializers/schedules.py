"""Finish schedules: the schedule, its rows as they follow from the record, what people add, and issues."""

from rest_framework import serializers

from analysis.core.schedules import MARKS
from analysis.core.vocabulary import ISSUE_PURPOSES, REVIEW_STATES
from surveys.api.serializers.common import Body, Shown, name_of, number_of, shown
from surveys.api.serializers.work import OutputFile
from surveys.api.typed import Id, Text
from surveys.models import Schedule, ScheduleIssue, ScheduleRow


class ScheduleShape(Shown):
    """A finish schedule: as of a year or a phase, and how often it went out."""

    phase_ordinal = number_of("phase", null=True)
    state = serializers.ChoiceField(REVIEW_STATES)
    issue_count = serializers.IntegerField()

    class Meta:
        model = Schedule
        fields = shown(Schedule, "number", "phase_ordinal", "state", "state_at", "state_reason", "issue_count")


class RowAdditionShape(Shown):
    """What people added to the row of one element, and set in place of what was computed."""

    element_code = name_of("element", "code")
    schedule_number = serializers.IntegerField(source="schedule.number")
    overridden_by = serializers.CharField(source="overridden_by.name", allow_null=True)

    class Meta:
        model = ScheduleRow
        fields = shown(ScheduleRow, "element_code", "schedule_number", "overridden_by")


class AdditionsShape(serializers.Serializer):
    """What a person added to a row; an empty text adds nothing."""

    group = serializers.CharField(allow_blank=True)
    quantity = serializers.CharField(allow_blank=True)
    preparation = serializers.CharField(allow_blank=True)
    hold_point = serializers.CharField(allow_blank=True)
    remarks = serializers.CharField(allow_blank=True)
    finish = serializers.CharField(allow_blank=True)
    munsell = serializers.CharField(allow_blank=True)
    sheen = serializers.CharField(allow_blank=True)
    reason = serializers.CharField(allow_blank=True)
    by = serializers.CharField(allow_blank=True)


class FinishRow(serializers.Serializer):
    """A row of a schedule: what the evidence says of one element, with what a person added or set in its place."""

    space = serializers.CharField()
    space_name = serializers.CharField(allow_blank=True)
    element = serializers.CharField()
    element_id = serializers.UUIDField()
    element_class = serializers.CharField()
    position = serializers.CharField(allow_blank=True)
    substrate = serializers.CharField(allow_blank=True)
    state = serializers.ChoiceField(("found", "no evidence"))
    generation = serializers.IntegerField(allow_null=True)
    generation_id = serializers.UUIDField(allow_null=True)
    finish = serializers.CharField(allow_blank=True)
    leaf = serializers.CharField(allow_blank=True)
    munsell = serializers.CharField(allow_blank=True)
    munsell_is_nearest = serializers.BooleanField()
    lab = serializers.ListField(child=serializers.FloatField(), allow_null=True, help_text="CIE L*a*b*, D65, 2° observer.")
    srgb = serializers.CharField(allow_blank=True)
    in_gamut = serializers.BooleanField()
    spread = serializers.FloatField(allow_null=True, help_text="ΔE00 from the colour to the reading furthest from it.")
    readings = serializers.IntegerField()
    colour_word = serializers.CharField(allow_blank=True)
    sheen = serializers.CharField(allow_blank=True)
    gloss = serializers.CharField(allow_blank=True, help_text="The range that the word stands for, in gloss units.")
    samples = serializers.ListField(child=serializers.CharField())
    layers = serializers.ListField(child=serializers.CharField())
    probability = serializers.FloatField(allow_null=True)
    certainty = serializers.CharField(allow_blank=True)
    placed = serializers.FloatField(allow_null=True, help_text="Mean probability that the layers belong to the campaign.")
    alternatives = serializers.ListField(child=serializers.CharField())
    review = serializers.CharField(allow_blank=True, help_text="State of the interpretations that bear on it.")
    marks = serializers.ListField(child=serializers.ChoiceField(tuple(MARKS)))
    doubts = serializers.ListField(child=serializers.CharField())
    additions = AdditionsShape()
    computed_finish = serializers.CharField(allow_blank=True)
    computed_munsell = serializers.CharField(allow_blank=True)
    computed_sheen = serializers.CharField(allow_blank=True)
    row_id = serializers.UUIDField(allow_null=True, help_text="Of what people added; null while nobody has.")
    row_version = serializers.IntegerField()
    interpretations = serializers.ListField(child=serializers.IntegerField())
    sentence = serializers.CharField()


class ScheduleProject(serializers.Serializer):
    """Whose schedule it is."""

    code = serializers.CharField()
    name = serializers.CharField()
    place = serializers.CharField(allow_blank=True)


class ScheduleInterpretation(serializers.Serializer):
    """An interpretation that a row rests on."""

    number = serializers.IntegerField()
    state = serializers.ChoiceField(REVIEW_STATES)
    discipline = serializers.CharField()
    statement = serializers.CharField()
    certainty = serializers.CharField(allow_blank=True)
    by = serializers.CharField()


class ScheduleContent(serializers.Serializer):
    """A schedule with its rows."""

    schedule = serializers.IntegerField()
    title = serializers.CharField()
    project = ScheduleProject()
    as_of = serializers.CharField()
    notes = serializers.CharField(allow_blank=True)
    state = serializers.ChoiceField(REVIEW_STATES)
    rows = FinishRow(many=True)
    marks = serializers.DictField(child=serializers.CharField(), help_text="What each mark on a row means.")
    interpretations = ScheduleInterpretation(many=True)
    cautions = serializers.ListField(child=serializers.CharField())


class ScheduleDifference(serializers.Serializer):
    """What changed in a row since the issue before."""

    space = serializers.CharField()
    element = serializers.CharField()
    what = serializers.CharField()
    before = serializers.CharField(allow_blank=True)
    after = serializers.CharField(allow_blank=True)


class DraftShape(ScheduleContent):
    """A schedule as it is now, and what changed since it last went out."""

    changes = ScheduleDifference(many=True)
    next_revision = serializers.CharField()


class IssueShape(Shown):
    """An issue, as lists show it."""

    schedule_number = serializers.IntegerField(source="schedule.number")
    schedule_title = serializers.CharField(help_text="As it was when the schedule went out.")
    purpose = serializers.ChoiceField(ISSUE_PURPOSES)
    files = OutputFile(many=True)

    class Meta:
        model = ScheduleIssue
        fields = (
            "id", "version", "created_at", "created_by", "schedule", "schedule_number", "schedule_title", "revision", "issued_on",
            "purpose", "note", "files",
        )  # fmt: skip


class WholeIssue(serializers.Serializer):
    """An issue as it went out."""

    issue = IssueShape()
    content = ScheduleContent()
    changes = ScheduleDifference(many=True)


class ChangedRecord(serializers.Serializer):
    """A record that a row rests on, and what became of it since."""

    record_type = serializers.CharField()
    record = serializers.CharField()
    action = serializers.CharField()
    fields = serializers.ListField(child=serializers.CharField())  # type: ignore[assignment]
    by = serializers.CharField()
    at = serializers.DateTimeField()


class ChangedRow(serializers.Serializer):
    """A row whose ground has changed since the issue."""

    element = serializers.CharField()
    changes = ChangedRecord(many=True)


class ChangedSince(serializers.Serializer):
    """The rows of an issue whose ground has changed since."""

    rows = ChangedRow(many=True)


class IssueRemark(serializers.Serializer):
    """A comment on an issue, as all see it to whom the issue went out."""

    id = serializers.UUIDField()
    thread = serializers.UUIDField(allow_null=True, help_text="The first comment of the thread that it answers in; null for a first one.")
    text = serializers.CharField()
    created_by = serializers.CharField()
    created_at = serializers.DateTimeField()
    resolved = serializers.BooleanField()


class IssueRemarkList(serializers.Serializer):
    """All that is said about an issue."""

    results = IssueRemark(many=True)


class RemarkRequest(Body):
    """Something to say about an issue."""

    text = Text(20_000)
    thread = Id(required=False)

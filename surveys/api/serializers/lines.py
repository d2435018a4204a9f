"""Lines across sections, what was read along them, and how pictures lie on each other."""

from typing import Any, Final

from rest_framework import serializers

from analysis.core.vocabulary import LAYER_KINDS, REGISTRATION_METHODS, UV_STRENGTHS
from surveys.api.serializers.common import Body, Shown, name_of, shown
from surveys.api.serializers.registers import LayerShape
from surveys.api.typed import ID, Id, Text, Typed, Whole
from surveys.models import Measurement, Registration, Traverse
from surveys.records.accepting import DEEDS, FIELDS
from surveys.selectors.lines import STATES

COLOUR_STATES: Final = ("uncalibrated", "white-balanced", "calibrated")
ENDS: Final = ("substrate", "resin")
HIGHEST: Final = 2_147_483_647
MOST_ROWS: Final = 500


def _numbers(text: str = "", **options: Any) -> serializers.ListField:
    return serializers.ListField(child=serializers.FloatField(), help_text=text, **options)


def _points(text: str) -> serializers.ListField:
    return serializers.ListField(child=serializers.ListField(child=serializers.FloatField()), help_text=text)


class ReadLayer(serializers.Serializer):
    """A layer as it was read along a line, or an end of the line that was taken for substrate or resin: a proposal."""

    index = serializers.IntegerField(help_text="1 next to the substrate; 0 and one more than there are layers for the ends.")
    end = serializers.ChoiceField(ENDS, allow_blank=True)
    from_px = serializers.FloatField(help_text="Along the path.")
    to_px = serializers.FloatField()
    thickness_um = serializers.FloatField(allow_null=True, help_text="Normal to the layers; null where the picture has no scale.")
    thickness_error_um = serializers.FloatField(allow_null=True, help_text="Standard error.")
    lab = _numbers("L*a*b*, D65, 2° observer; see colour_state of the line.")
    hex = serializers.CharField()
    lab_spread = serializers.FloatField(allow_null=True, help_text="Median ΔE00 within the layer.")
    munsell = serializers.CharField(allow_blank=True)
    munsell_difference = serializers.FloatField(allow_null=True, help_text="ΔE00.")
    uv_colour = serializers.CharField(allow_blank=True)
    uv_strength = serializers.ChoiceField(UV_STRENGTHS, allow_blank=True)
    uv_hex = serializers.CharField(allow_null=True)
    boundary_um = serializers.FloatField(allow_null=True, help_text="Breadth of the lower boundary, 10 to 90 % of the change.")
    boundary = serializers.CharField(allow_blank=True, help_text="A hint for the lower boundary; the eye decides.")
    confidence = serializers.FloatField(allow_null=True)
    accepted = serializers.UUIDField(allow_null=True, help_text="The layer of the stratigraphy in which it was accepted.")
    accepted_differs = serializers.BooleanField(help_text="Whether it was moved or read otherwise since.")


class TraverseShape(Shown):
    """A line across a section, from the substrate to the surface, and what was read along it."""

    attachment_number = serializers.IntegerField(source="attachment.number")
    sample_number = name_of("sample", "number")
    path = _points("[x, y] in px of the picture, from the substrate on.")
    boundaries = _numbers("Where a person put them, px along the path; null where they stand as they were found.", allow_null=True)
    state = serializers.ChoiceField(STATES)
    refusal = serializers.CharField(allow_blank=True, help_text="Why it could not be read.")
    trouble = serializers.CharField(
        allow_blank=True, help_text="Why it waits and nothing is under way. Ask for the job 'read-line' with its id as 'traverse' again."
    )
    read_by_older = serializers.BooleanField(
        help_text="Whether another version of the reading read it. Ask for the job 'read-line': boundaries that a person placed stay."
    )
    calibrated = serializers.BooleanField(help_text="Whether the picture has a scale.")
    colour_calibrated = serializers.BooleanField(help_text="Whether its colours were corrected by a target.")
    colour_state = serializers.ChoiceField(COLOUR_STATES, allow_blank=True, help_text="'white-balanced' by grey patches only.")
    uv_attachment = serializers.IntegerField(allow_null=True, help_text="Number of the UV picture that was read along with it.")
    layers = ReadLayer(many=True)
    cautions = serializers.ListField(child=serializers.CharField())

    class Meta:
        model = Traverse
        fields = shown(
            Traverse, "attachment_number", "sample", "sample_number", "number", "read_at", "state", "refusal", "trouble", "read_by_older",
            "calibrated", "colour_calibrated", "colour_state", "uv_attachment", "layers", "cautions",
        )  # fmt: skip


class ProfileBoundary(serializers.Serializer):
    """A boundary of a line, as it now stands."""

    at_px = serializers.FloatField()
    confidence = serializers.FloatField()
    by_hand = serializers.BooleanField()


class ProfileShape(serializers.Serializer):
    """The colours along a line, at most 2,000 steps; nothing while it is not read."""

    start_px = serializers.FloatField(help_text="Place of the first step; below 0, for what lies before the path is looked at too.")
    step_px = serializers.FloatField()
    length_px = serializers.FloatField(help_text="Of the path itself.")
    lab = _points("L*a*b* of each step.")
    uv = serializers.ListField(child=serializers.ListField(child=serializers.FloatField()), allow_null=True)
    boundaries = ProfileBoundary(many=True)
    found = _numbers("Where they were found.")


class RegistrationShape(Shown):
    """How one picture of a section (moving) lies on another (fixed)."""

    fixed_number = serializers.IntegerField(source="fixed.number")
    moving_number = serializers.IntegerField(source="moving.number")
    method = serializers.ChoiceField(REGISTRATION_METHODS)
    matrix = _points("Three by three, from (x, y, 1) in px of the moving picture to px of the fixed one.")
    points = serializers.ListField(
        child=serializers.ListField(child=serializers.ListField(child=serializers.FloatField())),
        help_text="Pairs that a person named: [x, y] of the moving picture, [x, y] of the fixed one.",
    )
    reliable = serializers.BooleanField(help_text="Whether lines are read by it. Places that a person named may lay pictures otherwise.")
    caution = serializers.CharField(allow_blank=True, help_text="Why it is not reliable, and what to do.")

    class Meta:
        model = Registration
        fields = shown(Registration, "fixed_number", "moving_number", "method", "matrix", "residual_px", "inliers", "reliable", "caution")


class MeasurementShape(Shown):
    """What a line read of one layer of the stratigraphy, as it was accepted."""

    traverse_number = serializers.IntegerField(source="traverse.number")
    layer_name = serializers.CharField()
    attachment = serializers.UUIDField()
    attachment_number = serializers.IntegerField(source="traverse.attachment.number")
    colour_calibrated = serializers.BooleanField(help_text="false: the colour is uncalibrated.")
    uv_strength = serializers.ChoiceField(UV_STRENGTHS, allow_blank=True)

    class Meta:
        model = Measurement
        fields = (
            "id", "version", "created_at", "created_by", "traverse", "traverse_number", "layer", "layer_name", "attachment",
            "attachment_number", "from_px", "to_px", "thickness_um", "thickness_error_um", "lab_l", "lab_a", "lab_b", "lab_spread",
            "colour_calibrated", "uv_colour", "uv_strength", "boundary_um", "confidence",
        )  # fmt: skip


class ThicknessRange(serializers.Serializer):
    """What the lines say of a thickness, in µm."""

    median = serializers.FloatField()
    least = serializers.FloatField()
    most = serializers.FloatField()


class Difference(serializers.Serializer):
    """Where a reading says something else than the standing layer, or something where that says nothing."""

    field = serializers.CharField()
    standing = serializers.JSONField()
    read = serializers.JSONField()


class StackLayer(serializers.Serializer):
    """A layer of the section as its lines show it together, beside the standing layer that it most likely is."""

    index = serializers.IntegerField()
    by_traverse = serializers.DictField(child=serializers.IntegerField(allow_null=True), help_text="Index on each line, by the line's id.")
    thickness_um = ThicknessRange(allow_null=True)
    lab = _numbers("L*a*b*, D65, 2° observer.")
    hex = serializers.CharField()
    lab_spread = serializers.FloatField()
    colour_calibrated = serializers.BooleanField()
    uv_colour = serializers.CharField(allow_blank=True)
    uv_strength = serializers.ChoiceField(UV_STRENGTHS, allow_blank=True)
    agreement = serializers.FloatField(help_text="Share of the lines that show it, 0 to 1.")
    sentence = serializers.CharField(allow_blank=True)
    standing = serializers.UUIDField(allow_null=True)
    differences = Difference(many=True)


class StackShape(serializers.Serializer):
    """All lines of a sample as one stack."""

    traverses = serializers.ListField(child=serializers.UUIDField())
    layers = StackLayer(many=True)
    sentence = serializers.CharField()
    cautions = serializers.ListField(child=serializers.CharField())


MOST_STANDING: Final = 10_000
_ID: Final = {"type": "string", "format": "uuid"}
ROW: Final[dict[str, Any]] = {
    "index": {"type": "integer", "minimum": 1, "maximum": MOST_ROWS},
    "deed": {"type": "string", "enum": list(DEEDS)},
    "position": {"type": "integer", "minimum": 1, "maximum": 100_000},
    "layer": _ID,
    "layer_version": {"type": "integer", "minimum": 1, "maximum": HIGHEST},
    "fields": {"type": "array", "items": {"type": "string", "enum": list(FIELDS)}, "maxItems": len(FIELDS), "uniqueItems": True},
    "kind": {"type": "string", "enum": list(LAYER_KINDS)},
}


def _fits(row: Any) -> bool:
    """Whether a row is of the form that the schema tells."""
    if not isinstance(row, dict) or not {"index", "deed"} <= set(row) <= set(ROW):
        return False
    for name, value in row.items():
        told = ROW[name]
        if told["type"] == "integer":
            if isinstance(value, bool) or not isinstance(value, int) or not told["minimum"] <= value <= told["maximum"]:
                return False
        elif told["type"] == "array":
            if not isinstance(value, list) or len(set(map(str, value))) < len(value) or not all(one in FIELDS for one in value):
                return False
        elif "enum" in told:
            if value not in told["enum"]:
                return False
        elif not (isinstance(value, str) and ID.fullmatch(value)):
            return False
    return True


def _rows() -> Typed:
    item = {"type": "object", "properties": ROW, "required": ["index", "deed"], "additionalProperties": False}
    return Typed(
        {"type": "array", "items": item, "minItems": 1, "maxItems": MOST_ROWS},
        lambda value: isinstance(value, list) and 0 < len(value) <= MOST_ROWS and all(_fits(row) for row in value),
        "Each row names the index of a layer of the line and its deed (new, beside, replace), and perhaps position, layer, layer_version, "
        f"kind, and fields of {', '.join(FIELDS)}.",
    )


class AcceptRequest(Body):
    """A line at the version that was seen, and what becomes of each of its layers; `kind` is that of new layers.

    `standing`, if given, is the stack as it was seen: where another stands by now nothing is done (409, code `layers-changed`).
    """

    traverse = Id()
    version = Whole(1, HIGHEST)
    rows = _rows()
    kind = Text(description=f"One of: {', '.join(LAYER_KINDS)}. Without it new layers are of unknown kind.", required=False)
    standing = Typed(
        {"type": "array", "items": _ID, "maxItems": MOST_STANDING},
        lambda value: (
            isinstance(value, list) and len(value) <= MOST_STANDING and all(isinstance(one, str) and ID.fullmatch(one) for one in value)
        ),
        "It is a list of ids: the layers of the sample as they were seen, from the substrate up.",
        required=False,
    )


class TakenOverShape(serializers.Serializer):
    """The layers as they now stand, and what was measured of each, from the substrate up."""

    layers = LayerShape(many=True)
    measurements = MeasurementShape(many=True)


class TargetPatchShape(serializers.Serializer):
    """A patch of a colour target."""

    name = serializers.CharField()
    lab = _numbers("L*a*b*, D65, 2° observer.")


class TargetShape(serializers.Serializer):
    """A colour target."""

    name = serializers.CharField()
    title = serializers.CharField()
    patches = TargetPatchShape(many=True)
    source = serializers.CharField()  # type: ignore[assignment]


class TargetList(serializers.Serializer):
    """All colour targets whose patches are known."""

    results = TargetShape(many=True)

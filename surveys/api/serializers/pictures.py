"""Pictures and documents, the microscopes by which they are scaled, and large files on their way."""

from typing import Any

from rest_framework import serializers

from analysis.core.vocabulary import PICTURE_KINDS, SCALE_SOURCES
from surveys import rules
from surveys.api.serializers.common import Body, Shown, shown
from surveys.api.serializers.work import UploadShape
from surveys.api.typed import Typed, Whole, field_for
from surveys.models import Attachment, Microscope, Sending
from surveys.models.pictures import ATTACHED_TO, PREPARED
from surveys.selectors import unfinished


class MicroscopeShape(Shown):
    """One of the project's own microscopes at one magnification, with its measured scale."""

    class Meta:
        model = Microscope
        fields = shown(Microscope)


class ScaleLine(serializers.Serializer):
    """A line of known length drawn on a picture."""

    points = serializers.ListField(child=serializers.ListField(child=serializers.FloatField()))
    length_um = serializers.FloatField()


class ColourPatch(serializers.Serializer):
    """A patch of a colour target in a picture: its box (x, y, width, height in px), perhaps its name and its colour."""

    box = serializers.ListField(child=serializers.FloatField())
    name = serializers.CharField(required=False)
    lab = serializers.ListField(child=serializers.FloatField(), required=False)


class ColourTarget(serializers.Serializer):
    """A colour target in a picture."""

    target = serializers.CharField()
    patches = ColourPatch(many=True)


class PictureAddresses(serializers.Serializer):
    """Where the sizes of a picture are to be had; null while they are being made, or where there are none.

    Each says its version, so that what is to be had there may be kept for ever.
    """

    thumbnail = serializers.CharField(allow_null=True)
    tiles = serializers.CharField(allow_null=True)


class Trouble(serializers.Serializer):
    """Something that should have been made of a picture and was not, while nothing is under way."""

    kind = serializers.ChoiceField(
        (unfinished.PICTURE, unfinished.COLOURS), help_text="The job to ask for again, with the picture's id as 'attachment'."
    )
    sentence = serializers.CharField()


class AttachmentShape(Shown):
    """A picture or a document on a record."""

    about_type = serializers.ChoiceField(ATTACHED_TO)
    about_name = serializers.CharField(allow_null=True, help_text="What people call the record; null where it is gone.")
    kind = serializers.ChoiceField(PICTURE_KINDS)
    name = serializers.CharField(source="upload.name", help_text="The name that the file came with.")
    size = serializers.IntegerField(source="upload.size", help_text="Bytes of the file as it came.")
    sha256 = serializers.CharField(source="upload.sha256")
    scale_by = serializers.ChoiceField(SCALE_SOURCES, allow_blank=True)
    scale_line = ScaleLine(allow_null=True)
    microscope_name = serializers.CharField(allow_null=True)
    colour_target = ColourTarget(allow_null=True)
    colour_state = serializers.CharField(allow_blank=True, help_text="Whether colours read on it are corrected by a target.")
    colour_residual = serializers.DictField(allow_null=True, help_text="CIEDE2000 that the correction leaves on the target's patches.")
    prepared = serializers.ChoiceField(PREPARED)
    remarks = serializers.ListField(child=serializers.CharField(), help_text="What is to be known of how it is shown.")
    pictures = PictureAddresses()
    troubles = Trouble(many=True, help_text="Why it still waits, or its colours are not measured; empty where all is well or under way.")

    class Meta:
        model = Attachment
        fields = (
            *shown(Attachment, without=("scale_line", "colour_target", "colour_from", "microscope", "um_per_pixel")),
            "number", "about_name", "name", "size", "sha256", "content_type", "um_per_pixel", "scale_by", "scale_line", "microscope",
            "microscope_name", "colour_target", "colour_from", "colour_state", "colour_residual", "width", "height", "bits", "prepared",
            "refusal", "remarks", "pictures", "troubles",
        )  # fmt: skip


# How a scale is known is not among them: it follows from what was drawn or named.
_SET = [field.name for field in Attachment._meta.concrete_fields if field.name in rules.WRITABLE[Attachment]]
AttachmentValues: Any = type(
    "AttachmentValues",
    (Body,),
    {**{name: field_for(Attachment, name) for name in _SET}, "__doc__": "The fields of an attachment that may be set."},
)


class TileLevel(serializers.Serializer):
    """One size of a picture."""

    level = serializers.IntegerField()
    width = serializers.IntegerField()
    height = serializers.IntegerField()
    columns = serializers.IntegerField()
    rows = serializers.IntegerField()


class TilesShape(serializers.Serializer):
    """A picture in halving sizes, each cut into square tiles."""

    width = serializers.IntegerField()
    height = serializers.IntegerField()
    tile_size = serializers.IntegerField()
    overlap = serializers.IntegerField()
    format = serializers.CharField()
    version = serializers.CharField(help_text="Another one wherever the tiles are others.")
    tile = serializers.CharField(help_text="The address of one tile, which may be kept for ever: put in {level}, {column} and {row}.")
    levels = TileLevel(many=True)


class SendingShape(serializers.ModelSerializer):
    """A large file on its way: how much is here, how large a part may be, and the file once it is whole."""

    part_size = serializers.IntegerField()
    upload = UploadShape(allow_null=True)

    class Meta:
        model = Sending
        fields = ("id", "created_at", "name", "size", "sha256", "received", "part_size", "upload")
        read_only_fields = fields


SHA256 = r"^[0-9a-fA-F]{64}$"


class SendingRequest(Body):
    """A file that is to come in parts."""

    name = Typed({"type": "string", "minLength": 1, "maxLength": 1_000}, lambda value: isinstance(value, str), "This must be text.")
    size = Whole(1, 2**40)
    sha256 = Typed(
        {"type": "string", "pattern": SHA256, "description": "What the whole file must have."},
        lambda value: isinstance(value, str),
        "This must be text.",
        required=False,
    )

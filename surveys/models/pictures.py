"""Pictures of samples and of the building, what they were measured with, and what was read from them."""

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from analysis.core.vocabulary import PICTURE_KINDS, REGISTRATION_METHODS, SCALE_SOURCES, UV_STRENGTHS
from surveys.models.base import Record, choices, one_of, text, word

# What a picture or a document may be attached to (model names).
ATTACHED_TO = (
    "project", "space", "element", "sample", "layer", "ruling", "generation", "phase", "evidence", "interpretation", "question", "schedule",
)  # fmt: skip
# Waiting to be looked into; ready to be shown; refused, with the reason.
PREPARED = ("waiting", "ready", "refused")


class Sending(models.Model):
    """A large file on its way, part by part, so that a broken connection costs one part only; whole, it is an upload."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    project = models.ForeignKey("surveys.Project", on_delete=models.CASCADE, related_name="sendings")
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=200)
    size = models.PositiveBigIntegerField()
    # As the sender says, if he does: what arrives must have it.
    sha256 = models.CharField(max_length=64, blank=True, default="")
    received = models.PositiveBigIntegerField(default=0)
    heard_at = models.DateTimeField(auto_now_add=True)
    upload = models.OneToOneField("surveys.Upload", null=True, blank=True, on_delete=models.CASCADE, related_name="sending")

    class Meta:
        constraints: ClassVar = [models.CheckConstraint(condition=Q(received__lte=F("size")), name="sending_not_more_than_its_size")]
        indexes: ClassVar = [models.Index(fields=["heard_at"])]

    def __str__(self) -> str:
        return self.name


class SendingPart(models.Model):
    """One part of a file on its way, from a byte on."""

    sending = models.ForeignKey(Sending, on_delete=models.CASCADE, related_name="parts")
    start = models.PositiveBigIntegerField()
    size = models.PositiveBigIntegerField()
    path = models.CharField(max_length=200)

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["sending", "start"], name="sending_part_once")]

    def __str__(self) -> str:
        return f"{self.sending.name} from {self.start}"


class Microscope(Record):
    """One of the project's own microscopes at one magnification, with the scale that was measured for it."""

    name = models.CharField(max_length=120)
    magnification = models.CharField(max_length=60)
    um_per_pixel = models.FloatField()
    # The width of the pictures (px) for which the scale holds: a camera that makes smaller ones has a coarser scale.
    picture_width = models.PositiveIntegerField(null=True, blank=True)
    measured_on = models.DateField(null=True, blank=True)
    measured_by = text(120)
    notes = text()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "name", "magnification"], name="microscope_once"),
            models.CheckConstraint(condition=Q(um_per_pixel__gt=0), name="microscope_scale_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.magnification}"


class Attachment(Record):
    """A picture or a document on a record. The file is kept as it came; what is shown is made from it."""

    number = models.PositiveIntegerField()
    about_type = models.CharField(max_length=20, choices=choices(ATTACHED_TO))
    about_id = models.UUIDField()
    upload = models.ForeignKey("surveys.Upload", on_delete=models.PROTECT, related_name="attachments")
    kind = models.CharField(max_length=20, choices=choices(PICTURE_KINDS))
    caption = text(400)
    taken_on = models.DateField(null=True, blank=True)
    taken_by = text(120)
    magnification = text(60)
    # The scale, and how it is known: {"points": [[x, y], [x, y]], "length_um": …} for a line on a stage micrometer.
    um_per_pixel = models.FloatField(null=True, blank=True)
    scale_by = word(SCALE_SOURCES)
    scale_line = models.JSONField(null=True, blank=True)
    microscope = models.ForeignKey(Microscope, null=True, blank=True, on_delete=models.PROTECT, related_name="attachments")
    # The colour target in the picture: {"target": …, "patches": [{"box": [x, y, width, height], "lab": [L, a, b]}]}; none is uncalibrated.
    colour_target = models.JSONField(null=True, blank=True)
    # Another picture on which the target of this one's colours was photographed under the same light and exposure.
    colour_from = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="colours_of")
    # Bookkeeping, made from the file: what it is, its size in pixels, the correction found, and where the sizes to be shown lie.
    content_type = text(80)
    width = models.PositiveIntegerField(null=True, blank=True)
    height = models.PositiveIntegerField(null=True, blank=True)
    bits = models.PositiveSmallIntegerField(null=True, blank=True)
    prepared = models.CharField(max_length=10, choices=choices(PREPARED), default="waiting")
    refusal = text(400)
    shown = models.JSONField(default=dict, blank=True)
    correction = models.JSONField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "number"], name="attachment_number_unique"),
            one_of("about_type", ATTACHED_TO, name="attachment_about_known", blank=False),
            one_of("kind", PICTURE_KINDS, name="attachment_kind_known", blank=False),
            one_of("scale_by", SCALE_SOURCES, name="attachment_scale_source_known"),
            one_of("prepared", PREPARED, name="attachment_prepared_known", blank=False),
            models.CheckConstraint(condition=Q(um_per_pixel__isnull=True) | Q(um_per_pixel__gt=0), name="attachment_scale_positive"),
            models.CheckConstraint(
                condition=Q(um_per_pixel__isnull=True, scale_by="") | Q(um_per_pixel__isnull=False) & ~Q(scale_by=""),
                name="attachment_scale_has_source",
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["project", "about_type", "about_id"])]

    def __str__(self) -> str:
        return f"attachment {self.number}"


class Registration(Record):
    """How one picture of a section lies on another of it, taken in other light."""

    fixed = models.ForeignKey(Attachment, on_delete=models.PROTECT, related_name="registrations")
    moving = models.ForeignKey(Attachment, on_delete=models.PROTECT, related_name="registered_on")
    method = models.CharField(max_length=20, choices=choices(REGISTRATION_METHODS))
    # Three by three, from px of the moving picture to px of the fixed one; [[x, y] of moving, [x, y] of fixed] that a person named.
    matrix = models.JSONField()
    points = models.JSONField(default=list, blank=True)
    residual_px = models.FloatField()
    inliers = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["fixed", "moving"], name="registration_once"),
            one_of("method", REGISTRATION_METHODS, name="registration_method_known", blank=False),
            models.CheckConstraint(condition=~Q(fixed=F("moving")), name="registration_of_two"),
            models.CheckConstraint(condition=Q(residual_px__gte=0), name="registration_residual_not_negative"),
        ]

    def __str__(self) -> str:
        return f"registration of {self.moving} on {self.fixed}"


class Traverse(Record):
    """A line across a section, from the substrate to the surface, along which its layers are read."""

    attachment = models.ForeignKey(Attachment, on_delete=models.PROTECT, related_name="traverses")
    sample = models.ForeignKey("surveys.Sample", on_delete=models.PROTECT, related_name="traverses")
    number = models.PositiveIntegerField()
    # [[x, y], …] in px of the picture, and how broad a strip is read.
    path = models.JSONField()
    width_px = models.FloatField()
    # Where a person put the boundaries, in px along the path; null where they stand as they were found.
    boundaries = models.JSONField(null=True, blank=True)
    notes = text()
    # Bookkeeping: what was read along it, from which pictures and settings, with which version, and when.
    reading = models.JSONField(null=True, blank=True)
    read_digest = text(64)
    read_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["sample", "number"], name="traverse_number_unique"),
            models.CheckConstraint(condition=Q(width_px__gt=0), name="traverse_width_positive"),
        ]

    def __str__(self) -> str:
        return f"line {self.number} of {self.sample.number}"


class Measurement(Record):
    """What a line read of one layer of the stratigraphy: it stands beside what a person entered, and never in its place unasked."""

    traverse = models.ForeignKey(Traverse, on_delete=models.PROTECT, related_name="measurements")
    layer = models.ForeignKey("surveys.Layer", on_delete=models.PROTECT, related_name="measurements")
    # Along the path.
    from_px = models.FloatField()
    to_px = models.FloatField()
    thickness_um = models.FloatField(null=True, blank=True)
    thickness_error_um = models.FloatField(null=True, blank=True)
    lab_l = models.FloatField(null=True, blank=True)
    lab_a = models.FloatField(null=True, blank=True)
    lab_b = models.FloatField(null=True, blank=True)
    # The spread of the colour within the layer, as a CIEDE2000 difference; whether the colour was corrected by a target.
    lab_spread = models.FloatField(null=True, blank=True)
    colour_calibrated = models.BooleanField(default=False)
    uv_colour = text(60)
    uv_strength = word(UV_STRENGTHS)
    # The breadth of its lower boundary, from 10 to 90 % of the change.
    boundary_um = models.FloatField(null=True, blank=True)
    confidence = models.FloatField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["traverse", "layer"], name="measurement_once"),
            one_of("uv_strength", UV_STRENGTHS, name="measurement_uv_strength_known"),
            models.CheckConstraint(condition=Q(to_px__gt=F("from_px")), name="measurement_upwards"),
            models.CheckConstraint(
                condition=Q(confidence__isnull=True) | Q(confidence__gte=0, confidence__lte=1), name="measurement_confidence_is_probability"
            ),
        ]

    def __str__(self) -> str:
        return f"measurement of {self.layer} by {self.traverse}"

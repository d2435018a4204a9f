"""What was seen: samples and their layers, and the rulings that people gave on layers."""

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from analysis.core.vocabulary import (
    BASE_STATES,
    COMPLETENESS,
    LAYER_KINDS,
    LOWER_BOUNDARIES,
    MUNSELL_BASES,
    RULING_KINDS,
    SAMPLE_STATUSES,
    TOP_STATES,
    UV_STRENGTHS,
)
from surveys.models.base import Record, choices, one_of, text, word

PLACED_BY = ("computed", "by hand")


class Sample(Record):
    """A chip of paint, lifted from an element, cast in resin and cut to show its edge."""

    number = models.CharField(max_length=60)
    element = models.ForeignKey("surveys.Element", on_delete=models.PROTECT, related_name="samples")
    part = text(120)
    visit = text(60)
    location = text(400)
    purpose = text(400)
    height_mm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(-100_000), MaxValueValidator(1_000_000)])
    size_mm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(1_000)])
    taken_on = models.DateField(null=True, blank=True)
    taken_by = text(120)
    bag = text(120)
    mount = text(200)
    kept_at = text(200)
    status = word(SAMPLE_STATUSES)
    base_state = word(BASE_STATES)
    top_state = word(TOP_STATES)
    examined_visible_on = models.DateField(null=True, blank=True)
    examined_visible_by = text(120)
    examined_uv_on = models.DateField(null=True, blank=True)
    examined_uv_by = text(120)
    notes = text()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "number"], name="sample_number_unique"),
            one_of("status", SAMPLE_STATUSES, name="sample_status_known"),
            one_of("base_state", BASE_STATES, name="sample_base_state_known"),
            one_of("top_state", TOP_STATES, name="sample_top_state_known"),
            models.CheckConstraint(condition=Q(size_mm__isnull=True) | Q(size_mm__gt=0), name="sample_size_positive"),
        ]

    def __str__(self) -> str:
        return self.number


class Layer(Record):
    """One film in a cross-section. Position 1 lies next to the substrate."""

    # Without an index of its own: that of the positions begins with the sample.
    sample = models.ForeignKey(Sample, on_delete=models.PROTECT, related_name="layers", db_index=False)
    position = models.PositiveIntegerField()
    kind = models.CharField(max_length=20, choices=choices(LAYER_KINDS))
    completeness = word(COMPLETENESS)
    colour = text(120)
    munsell = text(30)
    munsell_by = word(MUNSELL_BASES)
    # L*a*b* under D65 for the 2 degree observer.
    lab_l = models.FloatField(null=True, blank=True)
    lab_a = models.FloatField(null=True, blank=True)
    lab_b = models.FloatField(null=True, blank=True)
    first_colour = text(200)
    sheen = text(60)
    texture = text(400)
    uv_colour = text(60)
    uv_strength = word(UV_STRENGTHS)
    # Lists in the workbook's notation, separated by '; '.
    pigments = text(800)
    binder = text(200)
    tests = text(800)
    thickness_um = models.FloatField(null=True, blank=True)
    lower_boundary = word(LOWER_BOUNDARIES)
    notes = text()
    # Inferred, never observed: which generation, how it got there, how surely, and which it would be otherwise.
    generation = models.ForeignKey("surveys.Generation", null=True, blank=True, on_delete=models.PROTECT, related_name="layers")
    placed_by = word(PLACED_BY)
    confidence = models.FloatField(null=True, blank=True)
    runner_up = models.ForeignKey("surveys.Generation", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    runner_up_confidence = models.FloatField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["sample", "position"], name="layer_position_unique"),
            models.CheckConstraint(condition=Q(position__gte=1), name="layer_position_from_one"),
            one_of("kind", LAYER_KINDS, name="layer_kind_known", blank=False),
            one_of("completeness", COMPLETENESS, name="layer_completeness_known"),
            one_of("munsell_by", MUNSELL_BASES, name="layer_munsell_by_known"),
            one_of("uv_strength", UV_STRENGTHS, name="layer_uv_strength_known"),
            one_of("lower_boundary", LOWER_BOUNDARIES, name="layer_lower_boundary_known"),
            one_of("placed_by", PLACED_BY, name="layer_placed_by_known"),
            models.CheckConstraint(condition=Q(thickness_um__isnull=True) | Q(thickness_um__gt=0), name="layer_thickness_positive"),
            models.CheckConstraint(
                condition=Q(confidence__isnull=True) | Q(confidence__gte=0, confidence__lte=1), name="layer_confidence_is_probability"
            ),
            models.CheckConstraint(
                condition=Q(lab_l__isnull=True, lab_a__isnull=True, lab_b__isnull=True)
                | Q(lab_l__gte=0, lab_l__lte=100, lab_a__isnull=False, lab_b__isnull=False),
                name="layer_lab_whole",
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["project", "kind"])]

    def __str__(self) -> str:
        return f"{self.sample.number}/{self.position}"


class Ruling(Record):
    """A person's word on layers: a tie (one campaign), a bar (not one), a hold (belongs to that generation)."""

    kind = models.CharField(max_length=10, choices=choices(RULING_KINDS))
    first_layer = models.ForeignKey(Layer, on_delete=models.PROTECT, related_name="rulings_as_first")
    second_layer = models.ForeignKey(Layer, null=True, blank=True, on_delete=models.PROTECT, related_name="rulings_as_second")
    generation = models.ForeignKey("surveys.Generation", null=True, blank=True, on_delete=models.PROTECT, related_name="rulings")
    reason = text()

    class Meta:
        constraints: ClassVar = [
            one_of("kind", RULING_KINDS, name="ruling_kind_known", blank=False),
            models.CheckConstraint(
                condition=Q(kind="hold", second_layer__isnull=True, generation__isnull=False)
                | Q(kind__in=["tie", "bar"], second_layer__isnull=False, generation__isnull=True),
                name="ruling_names_what_it_needs",
            ),
            models.CheckConstraint(condition=~Q(first_layer=F("second_layer")), name="ruling_of_two_layers"),
            models.UniqueConstraint(fields=["first_layer"], condition=Q(kind="hold"), name="one_hold_a_layer"),
            models.UniqueConstraint(fields=["first_layer", "second_layer"], condition=Q(kind__in=["tie", "bar"]), name="one_ruling_a_pair"),
        ]

    def __str__(self) -> str:
        if self.kind == "hold":
            return f"hold {self.first_layer} in {self.generation}"
        return f"{self.kind} {self.first_layer} – {self.second_layer}"

"""The reference table of materials, and the cautions that belong with what a sheet shows."""

from collections.abc import Iterable
from functools import cache
from pathlib import Path

from django.conf import settings

from analysis.core import materials
from analysis.core.cautions import cautions
from surveys.models import Layer

TABLE = Path(settings.BASE_DIR) / "fixtures" / "reference" / "pigments.csv"


@cache
def material_table() -> tuple[materials.Material, ...]:
    """The years in which materials came to market, each with its source."""
    return materials.load_materials(TABLE)


def cautions_for(layers: Iterable[Layer]) -> list[str]:
    """The cautions that go with a sheet that shows these layers, their colours and UV responses."""
    cells = {cell for layer in layers for cell in (layer.pigments, layer.binder) if cell}
    hazards = materials.hazards_of(cells, material_table())
    # Nobody's microscope has tested for lead: old paint counts as untested.
    return list(cautions(hazards, untested_old_paint=True, shows_colour=True, shows_uv=True))

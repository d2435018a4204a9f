"""What several tests of the record share."""

import pytest

from surveys import records
from surveys.models import Evidence, Generation, Layer
from tests.conftest import Paint


@pytest.fixture
def dated(cast, project, paint) -> Paint:
    """The paint placed by holds: grey primer and green paint in generation 1, of 1800; cream in generation 2, of 1900; each by a bill."""
    make = lambda model, **values: records.create(cast.conservator, project, model, values)  # noqa: E731
    first, second = (make(Generation, space=paint.space.pk) for _ in range(2))
    for number in ("101-1", "101-2"):
        for layer, generation in zip(paint.layers[number], (first, first, second), strict=True):
            layer.refresh_from_db()
            records.change(cast.conservator, project, Layer, layer.pk, layer.version, {"generation": generation.pk})
    for generation, year in ((first, 1800), (second, 1900)):
        make(
            Evidence, reference=f"E-{year}", statement="A bill.", kind="document", bears_on="generation", generation=generation.pk,
            relation="made in", earliest=year, latest=year, certainty="firm",
        )  # fmt: skip
    return paint

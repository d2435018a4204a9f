"""Drawing the generation chart of a space."""

from typing import Any

import orjson

from surveys import access, selectors
from surveys.models import Person, Project, Space

CONTENT_TYPES = {"json": "application/json", "svg": "image/svg+xml", "pdf": "application/pdf", "png": "image/png"}


def chart(actor: Person, project: Project, space: Space, form: str, paper: str = "A3") -> tuple[str, str, bytes]:
    """The chart of a space as (file name, content type, bytes)."""
    access.require(actor, project, access.SEE)
    content = draw(selectors.chart(space), form, paper)
    return f"{project.code} generations {space.number}.{form}", CONTENT_TYPES[form], content


def draw(chart: dict[str, Any], form: str, paper: str = "A3") -> bytes:
    """A chart's JSON in one of the forms."""
    from analysis import drawing

    if form == "json":
        return orjson.dumps(chart, option=orjson.OPT_INDENT_2)
    if form == "svg":
        return drawing.chart_svg(chart).encode()
    if form == "pdf":
        return drawing.chart_pdf(chart, paper=paper)
    return drawing.chart_png(chart)

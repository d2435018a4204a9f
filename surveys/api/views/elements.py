"""What follows for single elements: their readings, and what they showed as of a year or a phase."""

import re
from collections.abc import Mapping
from typing import Any, ClassVar, Final

from rest_framework.request import Request
from rest_framework.response import Response

from analysis.core.dating import ORDERED_UNIFORM, UNIFORM_SPAN
from surveys import jobs
from surveys.api import bodies
from surveys.api.problems import unknown_parameter
from surveys.api.serializers.elements import AsOfShape, ReadingsShape
from surveys.api.views.base import View
from surveys.models import Phase, Project, Space

FURTHEST: Final = 99_999
HIGHEST: Final = 100_000
PRIORS: Final = {"ordered": ORDERED_UNIFORM, "span": UNIFORM_SPAN}
SPACE: Final = ({"type": "string"}, "The number of a space; without it all spaces.")


class ElementResult(View):
    """A result told element by element."""

    def space(self, project: Project) -> Space | None:
        """The space asked for by its number, if any."""
        return jobs.space_named(project, self.given["space"]) if "space" in self.given else None


class Readings(ElementResult):
    """Readings of elements."""

    takes = {"GET": ("space", "element_class")}
    answers = {"GET": {200: ReadingsShape}}
    described: ClassVar[Mapping[str, Any]] = {"space": SPACE, "element_class": ({"type": "string"}, "Only elements of this class.")}

    def get(self, request: Request, code: str) -> Response:
        """Which generations each element carries of those that it could, what is missing, and what follows."""
        from surveys.work import readings

        project = self.project(code)
        return Response(readings.answer(project, self.space(project), self.given.get("element_class", "")))


class AsOf(ElementResult):
    """What elements showed at the end of a year, or of a phase."""

    takes = {"GET": ("year", "phase", "space", "tentative", "prior")}
    answers = {"GET": {200: AsOfShape}}
    described: ClassVar[Mapping[str, Any]] = {
        "space": SPACE,
        "year": ({"type": "integer", "minimum": -FURTHEST, "maximum": FURTHEST}, "The year, negative for BCE; this or a phase is needed."),
        "phase": ({"type": "integer", "minimum": 1, "maximum": HIGHEST}, "The number of a phase: what was shown at its end."),
        "prior": ({"type": "string", "enum": list(PRIORS)}, "Every ordered set of years equally likely, or every span."),
    }

    def get(self, request: Request, code: str) -> Response:
        """Of each element the generation in force with its probability, its finish, the alternatives; or that there is no evidence."""
        from surveys.work import as_of

        project = self.project(code)
        prior = self.given.get("prior", "ordered")
        if prior not in PRIORS:
            raise unknown_parameter("prior", f"'prior' is one of: {', '.join(PRIORS)}.")
        tentative = bodies.truth(self.given.get("tentative", "false"), "tentative")
        when = self._when(project)
        return Response(as_of.answer(project, when, self.space(project), prior=PRIORS[prior], include_tentative=tentative))

    def _when(self, project: Project) -> int | Phase:
        if ("year" in self.given) == ("phase" in self.given):
            raise unknown_parameter("year", "Say as of when: either a year, or a phase.", "needed")
        if "year" in self.given:
            text = self.given["year"]
            if not re.fullmatch(r"-?[0-9]{1,5}", text, re.ASCII):
                raise unknown_parameter("year", "'year' is a whole number, negative for BCE, as in 1838 or -120.")
            return int(text)
        ordinal = bodies.whole(self.given["phase"], 1, HIGHEST, "phase")
        found = Phase.objects.filter(project=project, ordinal=ordinal).first()
        if found is None:
            raise unknown_parameter("phase", f"There is no phase {ordinal} in {project.code}.")
        return found

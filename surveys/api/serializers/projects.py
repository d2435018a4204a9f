"""Projects."""

from rest_framework import serializers

from analysis.core import vocabulary
from surveys.api.serializers.common import Shown, shown, values_of
from surveys.models import Project


class ProjectShape(Shown):
    """A project and one's own place in it. Who is contractor sees code, name, place and role of it only."""

    role = serializers.ChoiceField(vocabulary.ROLES)
    discipline = serializers.ChoiceField(vocabulary.DISCIPLINES)
    cursor = serializers.IntegerField(source="change_sequence", help_text="The number of the last change; follow the changes from here.")

    class Meta:
        model = Project
        fields = shown(Project, "role", "discipline", "cursor", "dated_at")


CARD = ("code", "name", "place", "role")


class ProjectCard(serializers.ModelSerializer):
    """What every member sees of a project, a contractor too."""

    role = serializers.ChoiceField(vocabulary.ROLES, read_only=True)

    class Meta:
        model = Project
        fields = CARD
        read_only_fields = CARD


ProjectValues = values_of(Project, "Project")

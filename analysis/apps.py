"""Django's view of the computation: an application without models."""

from django.apps import AppConfig


class AnalysisConfig(AppConfig):
    """Holds the Celery task."""

    name = "analysis"

"""Registers the system checks of `config.checks`."""

from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """The settings' own application: it holds no models, only checks."""

    name = "config"

    def ready(self) -> None:
        """Let Django find the checks."""
        from config import checks  # noqa: F401  (registers itself)

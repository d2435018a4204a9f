"""Sessions, kept as Django keeps them, with whose each is beside: its documented way of extending the database engine (SESSION_ENGINE)."""

from typing import Any

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models


class Session(AbstractBaseSession):
    """Where somebody is signed in. `person` is written beside what the session holds, so that one person's are found by an index."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.CASCADE, related_name="+")

    @classmethod
    def get_session_store_class(cls) -> type["SessionStore"]:
        """What reads and writes it."""
        return SessionStore


class SessionStore(DatabaseStore):
    """Django's sessions in the database, with whose each is."""

    @classmethod
    def get_model_class(cls) -> type[Session]:
        """Where they are kept."""
        return Session

    def create_model_instance(self, data: dict[str, Any]) -> Session:
        """A row of what a session holds."""
        made = super().create_model_instance(data)
        assert isinstance(made, Session)
        made.person_id = int(data[SESSION_KEY]) if SESSION_KEY in data else None
        return made

"""The interface's addresses."""

urlpatterns: list = []

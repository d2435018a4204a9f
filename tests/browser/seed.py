"""Fill an empty data folder with the cast of all tests and a space with paint. `python -m tests.browser.seed`, with UNDERCOAT_DATA set."""

import os

import django

PASSWORD = "not-a-real-secret"


def main() -> None:
    """Make the database, the people and the project HALL."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    from django.core.management import call_command

    from tests.conftest import Cast, Paint

    call_command("migrate", verbosity=0, interactive=False)
    cast = Cast()
    Paint(cast, cast.project)


if __name__ == "__main__":
    main()

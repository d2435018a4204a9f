#!/usr/bin/env python3
"""Django's command line for Undercoat; see README.md."""

import os
import sys

from config.sqlite import use_current_sqlite


def main() -> None:
    """Run the command named on the command line."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    use_current_sqlite()
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()

#!/usr/bin/env python3
"""Django's command line for this project; `python3 start.py manage ...` runs it in the project's environment."""

import os
import sys


def main() -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.project.settings")
    if sys.argv[1:2] == ["demo"] or os.environ.get("SHIMSHELF_DEMO", "").lower() in {"1", "yes", "true", "on"}:
        # The demo brings its own key and database, which the settings read when Django starts.
        from inventory.project.demo_environment import prepare

        prepare()
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:
        print(f"The settings are not complete: {error}", file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())

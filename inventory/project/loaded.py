"""What a worker loads before it takes a request, so that none waits for it: addresses with all that stands behind them,
and the templates of every page."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import django.forms
from django.apps import apps
from django.template.loader import get_template
from django.urls import get_resolver

from inventory.project import handlers

APPS = ("inventory", "compat")


def load() -> None:
    """Imports every address and what answers where there is none, and reads every template."""
    resolver = get_resolver()
    resolver.reverse_dict  # noqa: B018  # walks all addresses, which imports them
    for code in (400, 403, 404, 500):
        resolver.resolve_error_handler(code)
    for room in (handlers.PROBLEMS, handlers.PAGES):
        import_module(room)
    for name in _templates():
        get_template(name)


def _templates() -> Iterator[str]:
    """The names of the templates of both packages, and of the fields of forms."""
    for folder in (*(Path(apps.get_app_config(app).path) for app in APPS), Path(django.forms.__file__).parent):
        top = folder / "templates"
        yield from sorted(path.relative_to(top).as_posix() for path in top.rglob("*.html"))

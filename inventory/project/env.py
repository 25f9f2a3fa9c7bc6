"""Reading settings from the environment, with an error that names the cure."""

from __future__ import annotations

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


def text(name: str, default: str | None = None) -> str:
    """The variable's text; without one, the default; without that, an error that says what to set."""
    value = os.environ.get(name, default)
    if value is None:
        raise ImproperlyConfigured(f"Set the environment variable {name} (see docs/reference/settings.md).")
    return value


def whole(name: str, default: int, *, least: int = 1) -> int:
    """A whole number of at least `least`."""
    value = os.environ.get(name, str(default))
    if not value.isascii() or not value.isdigit() or int(value) < least:
        raise ImproperlyConfigured(f"{name} is a whole number of at least {least}, not {value!r}.")
    return int(value)


def yes(name: str) -> bool:
    """True for 1, yes, true or on; false when unset or 0, no, false, off or empty."""
    value = os.environ.get(name, "").strip().lower()
    if value in {"1", "yes", "true", "on"}:
        return True
    if value in {"", "0", "no", "false", "off"}:
        return False
    raise ImproperlyConfigured(f"{name} is yes or no, not {value!r}.")


def one_of(name: str, known: tuple[str, ...]) -> str:
    """One of some words; the first of them when unset."""
    value = os.environ.get(name, known[0])
    if value not in known:
        raise ImproperlyConfigured(f"{name} is one of {', '.join(known)}, not {value!r}.")
    return value


def words(name: str, default: str) -> list[str]:
    """A comma-separated list without empty entries."""
    return [word.strip() for word in os.environ.get(name, default).split(",") if word.strip()]


def folder(name: str, default: Path) -> Path:
    """A folder, made for its user alone if it is not there."""
    path = Path(os.environ.get(name, str(default)))
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    return path

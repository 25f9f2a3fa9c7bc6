"""The settings for mypy's Django plugin, which imports them outside any prepared environment and opens no database."""

import os
import secrets

os.environ.setdefault("SHIMSHELF_SECRET_KEY", secrets.token_urlsafe(50))
os.environ.setdefault("DATABASE_URL", "sqlite:///:memory:")

from inventory.project.settings import *  # noqa: F403  the variables above come first

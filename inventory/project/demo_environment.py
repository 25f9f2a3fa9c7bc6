"""What the demo brings along: a random key kept in an ignored file, and a database of its own on this machine."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
FOLDER = ROOT / "var" / "demo"


def prepare() -> None:
    """Fills the environment for the demo where the caller has not; never overrides what is set."""
    FOLDER.mkdir(mode=0o700, parents=True, exist_ok=True)
    key = FOLDER / "secret_key"
    if not key.exists() or not key.read_text():
        key.touch(mode=0o600)
        key.write_text(secrets.token_urlsafe(50))
    os.environ.setdefault("SHIMSHELF_SECRET_KEY", key.read_text())
    os.environ.setdefault("DATABASE_URL", f"sqlite:///{FOLDER / 'shelf.sqlite3'}")
    os.environ["SHIMSHELF_DEMO"] = "yes"

"""The browser of the machine, never one that is downloaded: Debian's `chromium-headless-shell`, or what CHROMIUM names.

The shell is Chromium's pages without its windows: a page opens in half the time that the whole program needs.
"""

from __future__ import annotations

import os
import shutil
from typing import Any

NAMES = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
# It talks to the server under test and to nobody else.
SWITCHES = (
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-gpu",
    "--disable-quic",
    "--disable-sync",
    "--no-first-run",
)


def executable() -> str:
    """Where the browser is. Raises RuntimeError with the cure when there is none: no test is ever skipped for it."""
    found = os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)
    if not found:
        raise RuntimeError("No Chromium on this machine; `python3 start.py test` installs Debian's, or set CHROMIUM.")
    return found


def launch_options() -> dict[str, Any]:
    """What Playwright starts the browser with."""
    # Its sandbox does not work as root; the pages it opens are ours.
    as_root = ["--no-sandbox"] if os.geteuid() == 0 else []
    return {"executable_path": executable(), "args": [*SWITCHES, *as_root]}

"""Opening shelves between checking and loading: files in the data folder, each for the session that sent it.

A table would keep them for ever and in every backup; a session is too small. A file goes when it is used, or a day
later when it is not.
"""

from __future__ import annotations

import hashlib
import os
import re
import secrets
from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest

from inventory.common import clock

KEPT = timedelta(days=1)
DIGEST = re.compile(r"[0-9a-f]{64}")


def keep(request: HttpRequest, content: bytes) -> str:
    """Keeps a file for this session; gives the digest by which it is asked for again."""
    _forget_old()
    digest = hashlib.sha256(content).hexdigest()
    path = _path(request, digest)
    # Written beside and renamed: nobody reads half a file.
    beside = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    with open(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(content)
    now = clock.now().timestamp()
    os.utime(beside, (now, now))
    beside.replace(path)
    return digest


def kept(request: HttpRequest, digest: str) -> bytes | None:
    """The file that this session keeps under the digest; None when there is none, or it is too old."""
    if not DIGEST.fullmatch(digest):
        return None
    path = _path(request, digest)
    try:
        return path.read_bytes() if not _is_old(path) else None
    except FileNotFoundError:
        return None


def forget(request: HttpRequest, digest: str) -> None:
    """Removes a file that was used, or is not wanted any more."""
    if DIGEST.fullmatch(digest):
        _path(request, digest).unlink(missing_ok=True)


def _folder() -> Path:
    path: Path = settings.DATA / "opening"
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    return path


def _path(request: HttpRequest, digest: str) -> Path:
    """The name tells neither the session nor the person, and nobody else's request leads to it."""
    whose = hashlib.sha256(f"{request.session.session_key}:{request.user.pk}".encode()).hexdigest()
    return _folder() / f"{digest}-{whose[:32]}.csv"


def _is_old(path: Path) -> bool:
    return path.stat().st_mtime < (clock.now() - KEPT).timestamp()


def _forget_old() -> None:
    for path in _folder().iterdir():
        try:
            if _is_old(path):
                path.unlink()
        except FileNotFoundError:
            # Another request was faster.
            continue

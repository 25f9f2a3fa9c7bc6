"""A mark of the answer that a page shows, sent along with what goes on from it: whether it is still the same."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

FIELD = "shown"
# What stands beside an answer only where it was asked for.
BESIDE = "alternatives"


def mark_of(document: Mapping[str, object]) -> str:
    """The same for two answers that say the same, whatever was asked for beside them."""
    said = {name: value for name, value in document.items() if name != BESIDE}
    return hashlib.sha256(json.dumps(said, sort_keys=True, default=str).encode()).hexdigest()[:32]


def has_changed(sent: Mapping[str, str], document: Mapping[str, object]) -> bool:
    """Whether a form was sent from under another answer than this one; False where it was sent from under none."""
    return sent.get(FIELD, "") not in ("", mark_of(document))

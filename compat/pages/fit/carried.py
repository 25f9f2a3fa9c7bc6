"""What stands in a form because it was taken and not read: carried in the form itself, field by field."""

from __future__ import annotations

import json
import re

# {field name: (the text that was put there, from where)}
Carried = dict[str, tuple[str, str]]
MOST_CHARACTERS = 40_000
# The section of the ring in a gland; elsewhere the ring's own stands beside a section as read, and is called new.
RING = re.compile(r"(?P<ring>.{0,40}(?:ring|energiser))_(?:size|id_mm|new_section_mm)|ring_section_mm")


def read_carried(text: str) -> Carried:
    """What the form brought back; nothing where it is not in the form's own writing."""
    if not text or len(text) > MOST_CHARACTERS:
        return {}
    try:
        found = json.loads(text)
        return {str(name): (str(typed), str(source)) for name, (typed, source) in found.items()}
    except (ValueError, TypeError, AttributeError):
        return {}


def write_carried(carried: Carried) -> str:
    """The same as text for a hidden field."""
    return json.dumps(carried, ensure_ascii=False, separators=(",", ":")) if carried else ""


def same(sent: str, text: str) -> bool:
    """Whether what was sent is still what was put there; browsers send other line ends."""
    return sent.split() == text.split() and bool(text.strip())


def unit_of(name: str) -> str:
    """What is filled as one: a row of a list, a ring by its size or its lengths, else the field alone: no washer stands
    under another's name, and no ring has lengths of two."""
    if found := RING.fullmatch(name):
        return found["ring"] or "ring"
    found = re.match(r"[a-z_]{1,40}?_\d++_", name)
    return found[0] if found else name

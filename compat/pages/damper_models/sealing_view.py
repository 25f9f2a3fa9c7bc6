"""What a damper model tells of seals and wear as its page shows it: each size with its unit, each limit with its
source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from compat.asking.blanks import Blank
from compat.dampers.sealing_requests import limit_of
from compat.pages.damper_models.sealing_blanks import BAND, LIMIT_WORDS, OIL, SEAL_HEAD, SHAFT, SIZES
from compat.pages.document_paths import told_at
from compat.pages.measured import said_length, write_number
from inventory.dampers.document import DamperDocument
from inventory.dampers.document_sealing import Ring
from inventory.documents.typed import tells

Rows = list[tuple[str, str]]
RINGS = ("band.energiser", "rod_gland.ring")
COLUMNS = ((BAND, SHAFT), (SEAL_HEAD, OIL))
UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class LimitRow:
    """A limit as it is shown: its value with its unit."""

    label: str
    value: str
    source: str
    on: str


def sealing_of(document: DamperDocument) -> list[list[tuple[str, Rows]]]:
    """Columns of (title, rows of what and its size) of band, shaft, seal head and oil; what is wholly unknown is left
    out."""
    found = [
        [(group, _rows(SIZES[group], document)) for group in column if _is_known(SIZES[group], document)]
        for column in COLUMNS
    ]
    return [column for column in found if column]


def limits_of(document: DamperDocument) -> list[LimitRow]:
    """The limits that the model has."""
    told = {name: limit_of(document, name) for name in LIMIT_WORDS}
    return [
        LimitRow(words.label, f"{write_number(one.value)} {words.unit}", one.source, one.on)
        for name, words in LIMIT_WORDS.items()
        if (one := told[name]) is not None
    ]


def _is_known(blanks: tuple[Blank, ...], document: DamperDocument) -> bool:
    return any(told_at(document, blank.path) is not None for blank in blanks)


def _rows(blanks: tuple[Blank, ...], document: DamperDocument) -> Rows:
    return [
        (blank.label, _said(blank, told_at(document, blank.path))) for blank in blanks if not _is_other(blank, document)
    ]


def _is_other(blank: Blank, document: DamperDocument) -> bool:
    """Whether it is the way of naming a ring that was not taken: a size stands for both lengths, they for a size."""
    path, _, last = blank.path.rpartition(".")
    if path not in RINGS:
        return False
    ring: Ring | None = told_at(document, path)
    by_size = ring is None or bool(ring.size) or not tells(ring)
    return by_size is not (last == "size")


def _said(blank: Blank, value: Any) -> str:
    if value is None:
        return UNKNOWN
    if blank.kind == "word":
        return dict(blank.choices)[value]
    if blank.kind == "reading":
        return f"{write_number(value)} {blank.unit}"
    return f"AS568-{value}" if isinstance(value, str) else said_length(value)

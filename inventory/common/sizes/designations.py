"""Thread designations in a typed text: only that they are ones, and their plain numbers; what they mean says the
engine."""

from __future__ import annotations

import re
from dataclasses import dataclass

from inventory.common.sizes.numbers import MM_PER_INCH, fraction, number

_METRIC = re.compile(r"m\s?(\d{1,2}(?:[.,]\d)?)(?:\s*+[x*-]\s*+(\d?[.,]\d{1,3}|\d)|\s++(\d?[.,]\d{1,3}))?")
_UNIFIED = re.compile(r"(\d{1,2}/\d{1,2}|1)\s*+(?:\"|in(?:ch)?)?\s*+(?:-\s*+(\d{1,2}))?(?:\s*+-?\s*+(un(?:ef|c|f)?))?")


@dataclass(frozen=True, slots=True)
class Designation:
    """A thread as it was written. `pitch_mm` is None where no number says it; `name` is its usual spelling."""

    text: str
    name: str
    nominal_mm: float
    pitch_mm: float | None = None
    series: str = ""

    @property
    def is_whole(self) -> bool:
        """Whether it names one thread; a metric diameter alone leaves the pitch open."""
        return self.pitch_mm is not None or bool(self.series)

    @property
    def is_metric(self) -> bool:
        return self.name.startswith("M")


def metric(text: str) -> Designation:
    """`m12 x 1,25` as M12x1.25; the text matches already."""
    found = _METRIC.match(text)
    if found is None:
        raise ValueError(f"no metric thread: {text}")
    nominal, said = number(found[1]), found[2] or found[3]
    pitch = number(said) if said else None
    name = f"M{nominal:g}" + (f"x{pitch:g}" if pitch else "")
    return Designation(_as_written(text), name, nominal, pitch)


def unified(text: str) -> Designation:
    """`1/2 - 20 unf` as 1/2-20 UNF; the text matches already."""
    found = _UNIFIED.match(text)
    if found is None:
        raise ValueError(f"no unified thread: {text}")
    inches = fraction(found[1]) if "/" in found[1] else float(found[1])
    series = (found[3] or "").upper()
    count = int(found[2]) if found[2] else 0
    name = found[1] + (f"-{count}" if count else "") + (f" {series}" if series else "")
    pitch = MM_PER_INCH / count if count else None
    return Designation(_as_written(text), name, (inches or 0) * MM_PER_INCH, pitch, series)


def _as_written(text: str) -> str:
    return text.upper().replace("X", "x")

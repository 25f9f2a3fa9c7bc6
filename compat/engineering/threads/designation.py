"""Reads thread designations as people write them, and refuses what could mean two threads."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import Any

from compat.engineering.refused import Refused
from compat.engineering.threads import tables
from compat.engineering.units import MM_PER_INCH

LONGEST = 40  # characters; no designation needs more


class ThreadError(Refused):
    """A designation that is not understood or could mean two threads; `code` and `data` make the text."""

    def __init__(self, code: str, **data: Any) -> None:
        super().__init__(code, **data)


class Form(StrEnum):
    """Thread form: both are 60 degree profiles, which is why one can be mistaken for the other."""

    METRIC = "metric"
    UNIFIED = "unified"


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread as designated. `nominal_mm` and `pitch_mm` in millimetres; `size` as written for a unified thread.

    `hand` is None where nothing is written: a shelf label that omits LH proves nothing. `coarse_taken` marks a
    metric thread written without its pitch, which by ISO 261 means the coarse pitch.
    """

    form: Form
    nominal_mm: float
    pitch_mm: float
    starts: int = 1
    size: str = ""
    threads_per_inch: int = 0
    tolerance_class: str | None = None
    hand: str | None = None
    coarse_taken: bool = False

    @property
    def name(self) -> str:
        """The thread alone, pitch always explicit: `M12x1.25`, `1/2-20 UNF`."""
        if self.form is Form.UNIFIED:
            return f"{self.size}-{self.threads_per_inch} {self.series}"
        if self.starts > 1:
            return f"M{self.nominal_mm:g}xPh{self.pitch_mm * self.starts:g}P{self.pitch_mm:g}"
        return f"M{self.nominal_mm:g}x{self.pitch_mm:g}"

    @property
    def series(self) -> str:
        """`UNC`, `UNF` or `UNEF`; empty for a metric thread."""
        _, series = tables.UNIFIED.get(self.size, (0.0, {}))
        return next((name for name, count in series.items() if count == self.threads_per_inch), "")


_HAND = re.compile(
    r"[\s,;-]{0,40}+(?<![A-Z])(?:(L\.?H\.?|LEFT(?:[ -]HAND(?:ED)?)?)|(R\.?H\.?|RIGHT(?:[ -]HAND(?:ED)?)?))\s{0,40}+$",
    re.IGNORECASE,
)
_METRIC_CLASS = re.compile(r"(?:(?<=\d)-|[\s-]{1,40}+)((?:[3-9][A-Za-z]){1,2}(?:/(?:[3-9][A-Za-z]){1,2})?)\s{0,40}+$")
_UNIFIED_CLASS = re.compile(r"[\s-]{1,40}+([1-3][AB])\s{0,40}+$", re.IGNORECASE)
_ANY = r"(?:\d*+\.\d++|\d++)"
_METRIC = re.compile(
    rf"M\s*+(\d++(?:\.\d++)?)(?:\s*+[x*-]\s*+({_ANY})|\s++(\d*+\.\d++))?(\s++coarse|\s++fine)?", re.IGNORECASE
)
_STARTS = re.compile(rf"M\s*+(\d++(?:\.\d++)?)\s*+x\s*+Ph\s*+({_ANY})\s*+-?P\s*+({_ANY})", re.IGNORECASE)
_UNIFIED = re.compile(
    r"(1|\d{1,2}/\d{1,2}|\d?\.\d++|1\.0++)(?:\s*+(?:\"|in))?(?:(?:\s*+[-x]|\s)\s*+(\d{1,2}))?(?:[\s-]*+(UNC|UNF|UNEF|UN))?\s*+",
    re.IGNORECASE,
)
_OTHER_FORM = re.compile(r"(?:MJ|Tr|G|R|Rc|Rp|W|BS[WFP]|NPT|BA|Pg)\s*+\d|.{0,40}\b(?:BS[WFP]|NPT|BA)\b", re.IGNORECASE)


@lru_cache(maxsize=1024)
def parse(text: str) -> Thread:
    """Reads one designation: metric M3 to M36 by ISO 261, unified 1/4 to 1 inch by ASME B1.1 (UNC, UNF, UNEF).

    Takes `M12x1.25`, `M12 x 1,25`, `M12-1.25 LH`, `M12x1.25-6g`, `M12` (coarse), `M16xPh3P1.5` (two starts),
    `1/2-20 UNF-2B`. Raises ThreadError: `thread_not_understood`, `thread_form_missing`, `thread_form_unknown`,
    `diameter_not_standard`, `pitch_not_standard`, `pitch_ambiguous`, `pitch_is_per_inch`, `class_is_a_pair`,
    `series_missing`, `series_contradicts_pitch`, `metric_series_contradicts`.
    """
    written = unicodedata.normalize("NFKC", text).replace("×", "x").replace("–", "-").replace("⁄", "/").strip()
    written = re.sub(r"(?<=\d),(?=\d)", ".", written)
    if not written or len(written) > LONGEST:
        raise ThreadError("thread_not_understood", text=text[:LONGEST])
    body, hand = _take_hand(written)
    if re.match(r"M\s*+\d", body, re.IGNORECASE):
        return _metric(body, hand, text)
    if _OTHER_FORM.match(body):
        raise ThreadError("thread_form_unknown", text=text)
    if re.match(r"(\d++(\.\d++)?)\s*+[x*]\s*+\d", body, re.IGNORECASE):
        raise ThreadError("thread_form_missing", text=text)
    return _unified(body, hand, text)


def _take_hand(body: str) -> tuple[str, str | None]:
    if (found := _HAND.search(body)) is None:
        return body, None
    return body[: found.start()], "left" if found[1] else "right"


def _metric(body: str, hand: str | None, text: str) -> Thread:
    tolerance_class = None
    if found := _METRIC_CLASS.search(body):
        tolerance_class, body = found[1], body[: found.start()]
        if "/" in tolerance_class:
            raise ThreadError("class_is_a_pair", text=text)
        if hand is None:
            body, hand = _take_hand(body)
    starts, coarse_taken = 1, False
    if several := _STARTS.fullmatch(body):
        nominal, lead, pitch = (float(part) for part in several.groups())
        starts = round(lead / pitch) if pitch else 0
        if starts < 1 or abs(lead - starts * pitch) > 1e-9:
            raise ThreadError("thread_not_understood", text=text)
    elif found := _METRIC.fullmatch(body):
        nominal = float(found[1])
        coarse, usual = tables.COARSE_PITCH.get(nominal), pitches_of(nominal)
        if not usual:
            raise ThreadError("diameter_not_standard", text=text, nominal=nominal)
        said = found[2] or found[3]
        if said is None:
            if coarse is None or (found[4] or "").strip().lower() == "fine":
                raise ThreadError("pitch_ambiguous", text=text, usual=", ".join(f"{p:g}" for p in usual if p != coarse))
            pitch, coarse_taken = coarse, True
        else:
            pitch = float(said)
            series = (found[4] or "").strip().lower()
            if series and (pitch == coarse) is not (series == "coarse"):
                raise ThreadError("metric_series_contradicts", text=text, series=series)
    else:
        raise ThreadError("thread_not_understood", text=text)
    usual = pitches_of(nominal)
    if not usual:
        raise ThreadError("diameter_not_standard", text=text, nominal=nominal)
    if pitch not in usual:
        code = "pitch_is_per_inch" if pitch >= 7 else "pitch_not_standard"
        raise ThreadError(code, text=text, pitch=pitch, usual=", ".join(f"{p:g}" for p in usual))
    return Thread(
        Form.METRIC, nominal, pitch, starts, tolerance_class=tolerance_class, hand=hand, coarse_taken=coarse_taken
    )


def _unified(body: str, hand: str | None, text: str) -> Thread:
    tolerance_class = None
    if found := _UNIFIED_CLASS.search(body):
        tolerance_class, body = found[1].upper(), body[: found.start()]
        if hand is None:
            body, hand = _take_hand(body)
    if (found := _UNIFIED.fullmatch(body)) is None:
        raise ThreadError("thread_not_understood", text=text)
    size, series = _size(found[1]), (found[3] or "").upper()
    if size is None:
        raise ThreadError("diameter_not_standard", text=text, nominal=found[1])
    counts = tables.UNIFIED[size][1]
    if found[2] is None:
        if series not in counts:
            raise ThreadError("series_missing", text=text)
        count = counts[series]
    else:
        count = int(found[2])
    if count not in counts.values():
        raise ThreadError("pitch_not_standard", text=text, pitch=count, usual=", ".join(map(str, counts.values())))
    if series and series != "UN" and count != counts[series]:
        raise ThreadError("series_contradicts_pitch", text=text, series=series)
    if not series and (size, count) in tables.WHITWORTH_TWINS:
        raise ThreadError("series_missing", text=text)
    return unified(size, count, tolerance_class=tolerance_class, hand=hand)


def unified(size: str, count: int, *, tolerance_class: str | None = None, hand: str | None = None) -> Thread:
    """The unified thread of a basic `size` (a key of `tables.UNIFIED`) and `count` threads per inch."""
    inch = tables.UNIFIED[size][0]
    return Thread(Form.UNIFIED, inch * MM_PER_INCH, MM_PER_INCH / count, 1, size, count, tolerance_class, hand)


def _size(written: str) -> str | None:
    if written in tables.UNIFIED:
        return written
    top, _, bottom = written.partition("/")
    if bottom and not float(bottom):
        return None
    inch = float(top) / float(bottom or 1)
    return next((size for size, row in tables.UNIFIED.items() if row[0] == inch), None)


def pitches_of(nominal: float) -> tuple[float, ...]:
    """Pitches of ISO 261 for a nominal diameter, mm, coarse first; empty where the diameter is not tabulated."""
    coarse = tables.COARSE_PITCH.get(nominal)
    return ((coarse,) if coarse else ()) + tables.FINE_PITCHES.get(nominal, ())


@lru_cache(maxsize=1)
def known_threads() -> tuple[Thread, ...]:
    """Every thread with limits here, metric and unified: what a reading can be matched against."""
    nominals = sorted({*tables.COARSE_PITCH, *tables.FINE_PITCHES})
    metric = [Thread(Form.METRIC, nominal, pitch) for nominal in nominals for pitch in pitches_of(nominal)]
    inch = [unified(size, count) for size, (_, series) in tables.UNIFIED.items() for count in series.values()]
    return (*metric, *inch)

"""How far an O-ring may be squeezed, stretched and crushed, and how full its groove may be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from compat.engineering.answers import Finding, ask, stop, warn
from compat.engineering.units import Range

MOTIONS = ("static", "dynamic")
# (gland face?, motion) -> least and most squeeze, percent; a static seal under HARD_LEAST does not seal at all.
SQUEEZE: dict[tuple[bool, str], tuple[float, float]] = {
    (False, "static"): (10.0, 30.0),
    (False, "dynamic"): (8.0, 20.0),
    (True, "static"): (10.0, 35.0),
}
HARD_LEAST = 5.0
STRETCH_USUAL, STRETCH_MOST = 5.0, 8.0
FILL_MOST, FILL_USUAL = 85.0, 70.0
# Of the outer diameter in a rod's or a face's groove. From memory of ISO 3601-2.
CRUSH_USUAL, CRUSH_MOST = 3.0, 5.0


@dataclass(frozen=True, slots=True)
class Judged:
    """What decides, and how far the worst corner is from its limit: 1 in the middle, 0 at a limit, below 0 past it."""

    findings: list[Finding]
    margin: float


def judge(kind: str, motion: str | None, stretch: Range, squeeze: Range, fill: Range | None, crush: Range) -> Judged:
    """Compares a ring in a gland with the limits, at every corner. All in percent.

    kind: of the gland; motion: static or dynamic, None where not known; fill None where the width is not. Source:
    ISO 3601-2 and seal makers' handbooks, which agree within a few percent; the crush from memory.
    """
    findings: list[Finding] = []
    margins: list[float] = []
    for one, margin in _all(kind, motion, stretch, squeeze, fill, crush):
        margins.append(margin)
        if one is not None:
            findings.append(one)
    return Judged(findings, min(margins))


def _all(
    kind: str, motion: str | None, stretch: Range, squeeze: Range, fill: Range | None, crush: Range
) -> Iterator[tuple[Finding | None, float]]:
    span = SQUEEZE.get((kind == "face", motion or "static"))
    if span is not None:
        least, most = span
        half = (most - least) / 2
        yield _too_little(squeeze, least, motion, kind), (squeeze.low - least) / half
        yield _over("squeeze", squeeze, most), (most - squeeze.high) / half
    if kind == "piston":
        yield _loose(stretch), stretch.low / (STRETCH_USUAL / 2)
    yield _beyond("stretch", stretch, STRETCH_USUAL, STRETCH_MOST), (STRETCH_USUAL - stretch.high) / (STRETCH_USUAL / 2)
    if kind != "piston":
        yield _beyond("crush", crush, CRUSH_USUAL, CRUSH_MOST), (CRUSH_USUAL - crush.high) / CRUSH_USUAL
    if fill is not None:
        yield _over("fill", fill, FILL_MOST), (FILL_MOST - fill.high) / (FILL_MOST - FILL_USUAL)


def _too_little(squeeze: Range, least: float, motion: str | None, kind: str) -> Finding | None:
    data = {"low": squeeze.low, "high": squeeze.high, "least": least}
    hard = HARD_LEAST if motion == "static" and kind != "face" else least
    if squeeze.high < hard:
        return stop("squeeze_too_little", "iso_3601_2", **data)
    if squeeze.low < hard:
        return ask("squeeze_may_be_little", "iso_3601_2", **data)
    return warn("squeeze_below_usual", "iso_3601_2", **data) if squeeze.low < least else None


def _over(what: str, span: Range, most: float) -> Finding | None:
    data = {"low": span.low, "high": span.high, "most": most}
    if span.low > most:
        return stop(f"{what}_too_much", "iso_3601_2", **data)
    return ask(f"{what}_may_be_much", "iso_3601_2", **data) if span.high > most else None


def _beyond(what: str, span: Range, usual: float, most: float) -> Finding | None:
    data = {"low": span.low, "high": span.high, "usual": usual, "most": most}
    if span.low > most:
        return stop(f"{what}_too_much", "iso_3601_2", **data)
    if span.high > most:
        return ask(f"{what}_may_be_much", "iso_3601_2", **data)
    return warn(f"{what}_over_usual", "iso_3601_2", **data) if span.high > usual else None


def _loose(stretch: Range) -> Finding | None:
    if stretch.high < 0:
        return stop("ring_loose", "iso_3601_2", least=-stretch.high, most=-stretch.low)
    data = {"low": stretch.low, "high": stretch.high}
    return ask("ring_may_be_loose", "iso_3601_2", **data) if stretch.low < 0 else None


def judge_stretch(stretch: Range) -> list[Finding]:
    """A ring on the bottom of a groove: neither loose nor stretched too far. In percent of its inner diameter."""
    found = (_loose(stretch), _beyond("stretch", stretch, STRETCH_USUAL, STRETCH_MOST))
    return [one for one in found if one is not None]


def judge_most_squeeze(squeeze: Range, most: float) -> list[Finding]:
    """A squeeze that is, or may be, past the most that is allowed. In percent of the section."""
    found = _over("squeeze", squeeze, most)
    return [] if found is None else [found]

"""How far an O-ring may be squeezed, stretched and crushed, and how full its groove may be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from compat.engineering.answers import Finding, ask, stop, warn
from compat.engineering.corners import judged
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
class Seat:
    """What a gland does to a ring, percent: fill None where the width is not known, `cold` the squeeze at the coldest,
    None where that is not known. `squeeze` and `cold` are those of parts on one axis, `aside` and `cold_aside` also
    of parts that lie to one side."""

    stretch: Range
    squeeze: Range
    aside: Range
    fill: Range | None
    crush: Range
    cold: Range | None = None
    cold_aside: Range | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """What decides, and how far the worst corner is from its limit: 1 in the middle, 0 at a limit, below 0 past it."""

    findings: list[Finding]
    margin: float


@dataclass(frozen=True, slots=True)
class Squeezed:
    """Limits of squeeze, percent: the usual least, the least that seals, and the most. Ranges, as they depend on a
    motion that may not be known."""

    usual: float
    least: Range
    most: Range


@cache
def squeeze_limits(kind: str, motion: str | None) -> Squeezed | None:
    """The limits for a gland of that kind; those of either motion where it is None; None for a motion it never has."""
    face = kind == "face"
    moves = [one for of_face, one in SQUEEZE if of_face is face and motion in (None, one)]
    if not moves:
        return None
    hard = [HARD_LEAST if one == "static" and not face else SQUEEZE[face, one][0] for one in moves]
    most = [SQUEEZE[face, one][1] for one in moves]
    usual = max(SQUEEZE[face, one][0] for one in moves)
    return Squeezed(usual, Range.between(min(hard), max(hard)), Range.between(min(most), max(most)))


def judge(kind: str, motion: str | None, seat: Seat) -> Judged:
    """Compares a ring in a gland with the limits, at every corner.

    kind: of the gland; motion: static or dynamic, None where not known. Source: ISO 3601-2 and seal makers' handbooks,
    which agree within a few percent; the crush from memory.
    """
    findings: list[Finding] = []
    margins: list[float] = []
    for found, margin in _all(kind, motion, seat):
        margins.append(margin)
        findings += found
    return Judged(findings, min(margins))


# A rule that holds is passed over before anything is written down: a search judges thousands of rings.
def _all(kind: str, motion: str | None, seat: Seat) -> Iterator[tuple[list[Finding], float]]:
    stretch, crush = seat.stretch, seat.crush
    limits = squeeze_limits(kind, motion)
    if limits is not None:
        half = (limits.most.low - limits.usual) / 2
        little = _too_little(seat.squeeze, seat.aside, limits)
        yield little, (seat.aside.low - limits.usual) / half
        warm = not any(one.code != "squeeze_below_usual" for one in little)
        if seat.cold is not None and seat.cold_aside is not None and warm:
            least = limits.least
            yield (
                _short("cold_squeeze", seat.cold, seat.cold_aside, least, least.high),
                (seat.cold_aside.low - least.high) / half,
            )
        yield _squeezed_over(seat.squeeze, seat.aside, limits.most), (limits.most.low - seat.aside.high) / half
    if kind == "piston":
        yield _loose(stretch), stretch.low / (STRETCH_USUAL / 2)
    yield _beyond("stretch", stretch, STRETCH_USUAL, STRETCH_MOST), (STRETCH_USUAL - stretch.high) / (STRETCH_USUAL / 2)
    if kind != "piston":
        yield _beyond("crush", crush, CRUSH_USUAL, CRUSH_MOST), (CRUSH_USUAL - crush.high) / CRUSH_USUAL
    if seat.fill is not None:
        filled = _over("fill", seat.fill, Range.exact(FILL_MOST))
        yield filled, (FILL_MOST - seat.fill.high) / (FILL_MOST - FILL_USUAL)


def _too_little(squeeze: Range, aside: Range, limits: Squeezed) -> list[Finding]:
    if aside.low >= max(limits.usual, limits.least.high):
        return []
    data = {"low": aside.low, "high": squeeze.high, "least": limits.usual}
    below = [warn("squeeze_below_usual", "iso_3601_2", **data)] if aside.low < limits.usual else []
    return _short("squeeze", squeeze, aside, limits.least, limits.usual) or below


def _short(what: str, squeeze: Range, aside: Range, least: Range, said: float) -> list[Finding]:
    """A squeeze that is, or may be, under the least. Parts may lie on one axis or to one side: only what is too little
    on one axis already is surely too little."""
    if aside.low >= least.high:
        return []
    data = {"low": aside.low, "high": squeeze.high, "least": said}
    found = judged(
        squeeze - least,
        never=stop(f"{what}_too_little", "iso_3601_2", **data),
        perhaps=ask(f"{what}_may_be_little", "iso_3601_2", **data),
    )
    off = ask(f"off_centre_{what}_may_be_little", "iso_3601_2", **data, central=squeeze.low)
    return found or judged(aside - least, never=off, perhaps=off)


def _squeezed_over(squeeze: Range, aside: Range, most: Range) -> list[Finding]:
    if aside.high <= most.low:
        return []
    data = {"high": aside.high, "central": squeeze.high, "most": most.low}
    off = ask("off_centre_squeeze_may_be_much", "iso_3601_2", **data)
    return _over("squeeze", squeeze, most) or judged(most - aside, never=off, perhaps=off)


def _over(what: str, span: Range, most: Range) -> list[Finding]:
    if span.high <= most.low:
        return []
    data = {"low": span.low, "high": span.high, "most": most.low}
    return judged(
        most - span,
        never=stop(f"{what}_too_much", "iso_3601_2", **data),
        perhaps=ask(f"{what}_may_be_much", "iso_3601_2", **data),
    )


def _beyond(what: str, span: Range, usual: float, most: float) -> list[Finding]:
    if span.high <= usual:
        return []
    data = {"low": span.low, "high": span.high, "usual": usual, "most": most}
    over = warn(f"{what}_over_usual", "iso_3601_2", **data)
    return _over(what, span, Range.exact(most)) or ([over] if span.high > usual else [])


def _loose(stretch: Range) -> list[Finding]:
    if stretch.low >= 0:
        return []
    return judged(
        stretch,
        never=stop("ring_loose", "iso_3601_2", least=-stretch.high, most=-stretch.low),
        perhaps=ask("ring_may_be_loose", "iso_3601_2", low=stretch.low, high=stretch.high),
    )


def judge_stretch(stretch: Range) -> list[Finding]:
    """A ring on the bottom of a groove: neither loose nor stretched too far. In percent of its inner diameter."""
    return [*_loose(stretch), *_beyond("stretch", stretch, STRETCH_USUAL, STRETCH_MOST)]


def judge_most_squeeze(squeeze: Range, most: float) -> list[Finding]:
    """A squeeze that is, or may be, past the most that is allowed. In percent of the section."""
    return _over("squeeze", squeeze, Range.exact(most))

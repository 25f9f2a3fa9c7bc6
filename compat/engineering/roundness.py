"""Diameters read at several depths and angles: how large, how oval and how tapered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from compat.engineering.answers import Finding, ask
from compat.engineering.corners import Standing, judged, over_corners, standing
from compat.engineering.ellipse import LEAST_DIRECTIONS, LEAST_TURN_DEG, Ellipse, ellipses_of
from compat.engineering.units import MM_PER_INCH, Range

LEAST_DEPTHS = 3
LEAST_APART_MM = 5.0  # between two depths that count as two
# Wear is a hump about as long as the stroke that the damper makes most, and reaches its end within a band's width:
# nobody sees it between two depths that are further apart. Common practice, no published source.
STEP_MM, END_MM = 50.0, 10.0  # between two depths; from the end of the travel to the first and the last of them
LIMIT_NEAR_MM = 0.5  # from the nominal diameter; no limit of wear lies further off
FORM_MM = 0.1  # ovality or taper that is asked about where no limit is told
GROWN_MM = 0.1  # by which a bore can be under its nominal diameter, or a shaft over it, and still be that part
SMALL_MM = 5.0  # at most: under it a diameter may look like inches beside one that it is near to
PLAUSIBLE_MM = 2.0  # from the nominal diameter; a reading further off is asked about


@dataclass(frozen=True, slots=True)
class DiameterReading:
    """A two-point reading: how deep, mm; at which angle, degrees; the diameter, mm. Half a turn is the same."""

    depth_mm: float
    angle_deg: float
    diameter_mm: Range


@dataclass(frozen=True, slots=True)
class Travel:
    """From which depth to which the seal runs, mm, in the depths of the readings; None where not told."""

    from_mm: Range | None = None
    to_mm: Range | None = None


@dataclass(frozen=True, slots=True)
class Shape:
    """What the readings say, mm: the largest and smallest diameter that an ellipse through them may have, ovality (the
    largest difference between its diameters at one depth) and taper (the largest difference between the means of the
    depths). None where no depth was read in enough directions, or fewer than LEAST_DEPTHS of them were.
    `read_largest` and `read_smallest` are of the readings themselves; `whole_depths` were read in enough directions."""

    largest: Range
    smallest: Range
    ovality: Range | None
    taper: Range | None
    read_largest: Range
    read_smallest: Range
    whole_depths: tuple[float, ...] = field(default=())

    @property
    def whole(self) -> Range:
        """From the smallest to the largest diameter, mm; the largest is the nominal one."""
        return Range(self.smallest.low, self.largest.high, self.largest.nominal)


def shape_of(readings: Sequence[DiameterReading]) -> Shape | None:
    """The shape that these readings show; None without readings.

    The limits hold every combination of the readings' own limits, and every ellipse through them at the depths that
    were read in enough directions. A two-point gauge sees no shape of three lobes.
    """
    if not readings:
        return None
    levels = _by_depth(readings)
    told = [([one.angle_deg for one in level], [one.diameter_mm for one in level]) for level in levels.values()]
    seen: dict[float, Ellipse] = {
        depth: one for depth, one in zip(levels, ellipses_of(told), strict=True) if one is not None
    }
    diameters = [one.diameter_mm for one in readings]
    large, small = _largest(diameters), _smallest(diameters)
    return Shape(
        largest=_largest([large, *(one.largest for one in seen.values())]),
        smallest=_smallest([small, *(one.smallest for one in seen.values())]),
        ovality=_largest([one.ovality for one in seen.values()]) if seen else None,
        taper=_difference([one.mean for one in seen.values()]) if _apart(seen) >= LEAST_DEPTHS else None,
        read_largest=large,
        read_smallest=small,
        whole_depths=tuple(sorted(seen)),
    )


def reading_findings(
    readings: Sequence[DiameterReading], shape: Shape | None, nominal: Range | None, travel: Travel
) -> list[Finding]:
    """What the readings leave open: too few directions or depths, a part of the travel that was not read, or a diameter
    that may be far from the nominal one. `shape` is that of the readings."""
    if shape is None:
        return [ask("diameters_missing", "trade", least=LEAST_DIRECTIONS), *_travelled((), travel)]
    found = []
    depths = shape.whole_depths
    enough = _apart(depths)
    poor = sorted({one.depth_mm for one in readings} - set(depths))
    if enough < LEAST_DEPTHS and poor:
        data = {"depth_mm": poor[0], "least": LEAST_DIRECTIONS, "turn_deg": LEAST_TURN_DEG}
        found.append(ask("too_few_directions", "trade", **data))
    if _apart({*depths, *poor}) < LEAST_DEPTHS:
        data = {"depths": _apart({*depths, *poor}), "least": LEAST_DEPTHS, "apart_mm": LEAST_APART_MM}
        found.append(ask("too_few_depths", "trade", **data))
    found += _travelled(depths, travel)
    return found if nominal is None else [*found, *_doubts(readings, nominal)]


def _travelled(depths: Sequence[float], travel: Travel) -> list[Finding]:
    """Whether the depths that were read in enough directions cover the length over which the seal runs."""
    if travel.from_mm is None or travel.to_mm is None:
        return [ask("travel_missing", "trade")]
    if not depths:
        return []
    data = {"from_mm": travel.from_mm.low, "to_mm": travel.to_mm.high, "end_mm": END_MM, "step_mm": STEP_MM}
    unread = ask("travel_not_read", "trade", **data)
    at_ends = [travel.from_mm + Range.exact(END_MM - depths[0]), Range.exact(depths[-1] + END_MM) - travel.to_mm]
    steps = [
        Range.exact(STEP_MM - (after - before))
        for before, after in pairwise(depths)
        if after > travel.from_mm.low and before < travel.to_mm.high
    ]
    for margin in (*at_ends, *steps):
        if standing(margin) is not Standing.GOOD:
            return [unread]
    return []


def _doubts(readings: Sequence[DiameterReading], nominal: Range) -> list[Finding]:
    """The first reading that may be in inches, or may lie far from the nominal diameter."""
    ends = (min(one.diameter_mm.low for one in readings), max(one.diameter_mm.high for one in readings))
    if ends[0] >= nominal.high - PLAUSIBLE_MM and ends[1] <= nominal.low + PLAUSIBLE_MM and nominal.low > SMALL_MM:
        return []
    for one in readings:
        size = one.diameter_mm
        data = {"diameter_mm": size.nominal, "nominal_mm": nominal.nominal}
        if _near(size.times(MM_PER_INCH), nominal) or _near(size, nominal.times(MM_PER_INCH)):
            return [ask("reading_looks_like_inches", "", **data)]
        far = ask("diameter_far_off", "trade", **data, depth_mm=one.depth_mm)
        if found := judged(Range.exact(PLAUSIBLE_MM) - distance(size, nominal), never=far, perhaps=far):
            return found
    return []


def _near(size: Range, other: Range) -> bool:
    return size.low < other.high + PLAUSIBLE_MM and size.high > other.low - PLAUSIBLE_MM


def distance(one: Range, other: Range) -> Range:
    """How far two lengths are apart, mm, whichever is the larger."""
    between = over_corners(lambda a, b: abs(a - b), one, other)
    return Range(0.0, between.high, between.nominal) if one.touches(other) else between


def are_plausible(findings: Iterable[Finding]) -> bool:
    """Whether none of the findings doubts a reading itself."""
    return not any(one.code in ("reading_looks_like_inches", "diameter_far_off") for one in findings)


def _by_depth(readings: Sequence[DiameterReading]) -> dict[float, list[DiameterReading]]:
    found: dict[float, list[DiameterReading]] = {}
    for one in readings:
        found.setdefault(one.depth_mm, []).append(one)
    return found


def _apart(depths: Iterable[float]) -> int:
    """How many of the depths lie LEAST_APART_MM or more from each other."""
    count, last = 0, float("-inf")
    for depth in sorted(depths):
        if depth - last >= LEAST_APART_MM:
            count, last = count + 1, depth
    return count


def limit_findings(limit: Range, nominal: Range | None) -> list[Finding]:
    """A limit of wear, mm, that may be so far from the nominal diameter that it is in inches or a slip."""
    if nominal is None:
        return []
    doubt = ask("wear_limit_far_off", "", limit_mm=limit.nominal, nominal_mm=nominal.nominal)
    return judged(Range.exact(LIMIT_NEAR_MM) - distance(limit, nominal), never=doubt, perhaps=doubt)


def form_findings(shape: Shape, allowed: Range) -> list[Finding]:
    """An ovality or a taper, mm, that may be larger than the wear that is allowed: no limit on the diameter covers
    it."""
    forms = [size for size in (shape.ovality, shape.taper) if size is not None]
    if not forms:
        return []
    worst = max(forms, key=lambda size: size.high)
    far = ask("form_far_off", "trade", low_mm=worst.low, high_mm=worst.high, allowed_mm=allowed.low)
    return judged(allowed - worst, never=far, perhaps=far)


def _largest(spans: Sequence[Range]) -> Range:
    return Range(*(max(getattr(one, end) for one in spans) for end in ("low", "high", "nominal")))


def _smallest(spans: Sequence[Range]) -> Range:
    return Range(*(min(getattr(one, end) for one in spans) for end in ("low", "high", "nominal")))


def _difference(spans: Sequence[Range]) -> Range:
    """Between the largest and the smallest of some quantities that are known only between limits."""
    nominal = [one.nominal for one in spans]
    least = max(one.low for one in spans) - min(one.high for one in spans)
    highest, lowest = sorted(spans, key=lambda one: -one.high)[:2], sorted(spans, key=lambda one: one.low)[:2]
    most = max((high.high - low.low for high in highest for low in lowest if high is not low), default=0.0)
    return Range(max(least, 0.0), max(most, 0.0), max(nominal) - min(nominal))

"""Diameters read at several depths and angles: how large, how oval and how tapered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from compat.engineering.answers import Finding, ask
from compat.engineering.units import MM_PER_INCH, Range

LEAST_DEPTHS, LEAST_DIRECTIONS = 3, 2
LEAST_TURN_DEG = 30.0  # between two readings that count as two directions
LEAST_APART_MM = 5.0  # between two depths that count as two
LIMIT_NEAR_MM = 0.5  # from the nominal diameter; no limit of wear lies further off
FORM_MM = 0.1  # ovality or taper that is asked about where no limit is told
GROWN_MM = 0.1  # by which a bore can be under its nominal diameter, or a shaft over it, and still be that part
PLAUSIBLE_MM = 2.0  # from the nominal diameter; a reading further off is asked about


@dataclass(frozen=True, slots=True)
class DiameterReading:
    """A two-point reading: how deep, mm; at which angle, degrees; the diameter, mm. Half a turn is the same."""

    depth_mm: float
    angle_deg: float
    diameter_mm: Range


@dataclass(frozen=True, slots=True)
class Shape:
    """What the readings say, mm: the largest and smallest diameter, ovality (the largest difference between
    directions at one depth) and taper (the largest difference between the means of the depths). None where no depth
    was read in two directions, or fewer than LEAST_DEPTHS depths were read."""

    largest: Range
    smallest: Range
    ovality: Range | None
    taper: Range | None

    @property
    def whole(self) -> Range:
        """From the smallest to the largest diameter, mm; the largest is the nominal one."""
        return Range(self.smallest.low, self.largest.high, self.largest.nominal)


def shape_of(readings: Sequence[DiameterReading]) -> Shape | None:
    """The shape that these readings show; None without readings.

    The limits hold every combination of the readings' own limits. A two-point gauge sees no shape of three lobes.
    """
    if not readings:
        return None
    diameters = [one.diameter_mm for one in readings]
    depths = _by_depth(readings)
    ovality = [_difference([one.diameter_mm for one in level]) for level in depths.values() if _turned(level)]
    means = [_mean([one.diameter_mm for one in level]) for level in depths.values()]
    return Shape(
        largest=_largest(diameters),
        smallest=_largest([one.times(-1) for one in diameters]).times(-1),
        ovality=_largest(ovality) if ovality else None,
        taper=_difference(means) if _apart(depths) >= LEAST_DEPTHS else None,
    )


def reading_findings(readings: Sequence[DiameterReading], nominal: Range | None) -> list[Finding]:
    """What the readings leave open: too few depths or directions, or a diameter far from the nominal one."""
    if not readings:
        return [ask("diameters_missing", "trade")]
    found = []
    depths = _by_depth(readings)
    apart = _apart(depths)
    if apart < LEAST_DEPTHS:
        found.append(ask("too_few_depths", "trade", depths=apart, least=LEAST_DEPTHS, apart_mm=LEAST_APART_MM))
    poor = sorted(depth for depth, level in depths.items() if not _turned(level))
    if poor:
        found.append(ask("too_few_directions", "trade", depth_mm=poor[0], least=LEAST_DIRECTIONS))
    if nominal is None:
        return found
    for one in readings:
        size = one.diameter_mm.nominal
        if (
            abs(size * MM_PER_INCH - nominal.nominal) < PLAUSIBLE_MM
            or abs(size / MM_PER_INCH - nominal.nominal) < PLAUSIBLE_MM / MM_PER_INCH
        ):
            data = {"diameter_mm": size, "nominal_mm": nominal.nominal}
            return [*found, ask("reading_looks_like_inches", "", **data)]
        if abs(size - nominal.nominal) > PLAUSIBLE_MM:
            data = {"diameter_mm": size, "nominal_mm": nominal.nominal, "depth_mm": one.depth_mm}
            return [*found, ask("diameter_far_off", "trade", **data)]
    return found


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
    """A limit of wear, mm, so far from the nominal diameter that it is in inches or a slip."""
    if nominal is None or abs(limit.nominal - nominal.nominal) <= LIMIT_NEAR_MM:
        return []
    return [ask("wear_limit_far_off", "", limit_mm=limit.nominal, nominal_mm=nominal.nominal)]


def form_findings(shape: Shape, allowed_mm: float) -> list[Finding]:
    """An ovality or a taper, mm, larger than the wear that is allowed: no limit on the diameter covers it."""
    forms = [size for size in (shape.ovality, shape.taper) if size is not None]
    worst = max(forms, key=lambda size: size.nominal, default=None)
    if worst is None or worst.nominal <= allowed_mm:
        return []
    return [ask("form_far_off", "trade", form_mm=worst.nominal, allowed_mm=allowed_mm)]


def _turned(level: Iterable[DiameterReading]) -> bool:
    """Whether two of the diameters lie at least LEAST_TURN_DEG apart; one at 10 and one at 190 degrees are the same."""
    turns = {round(one.angle_deg, 1) % 180 for one in level}
    return any(LEAST_TURN_DEG <= abs(one - other) <= 180 - LEAST_TURN_DEG for one, other in combinations(turns, 2))


def _largest(spans: Sequence[Range]) -> Range:
    return Range(*(max(getattr(one, end) for one in spans) for end in ("low", "high", "nominal")))


def _mean(spans: Sequence[Range]) -> Range:
    return Range(*(sum(getattr(one, end) for one in spans) / len(spans) for end in ("low", "high", "nominal")))


def _difference(spans: Sequence[Range]) -> Range:
    """Between the largest and the smallest of some quantities that are known only between limits."""
    nominal = [one.nominal for one in spans]
    least = max(one.low for one in spans) - min(one.high for one in spans)
    highest, lowest = sorted(spans, key=lambda one: -one.high)[:2], sorted(spans, key=lambda one: one.low)[:2]
    most = max((high.high - low.low for high in highest for low in lowest if high is not low), default=0.0)
    return Range(max(least, 0.0), max(most, 0.0), max(nominal) - min(nominal))

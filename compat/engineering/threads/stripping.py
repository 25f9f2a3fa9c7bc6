"""What strips the threads of shaft and nut, and what each of them must carry.

A thread must outlast the strongest shaft of its class where it is to carry as much as the shaft does: VDI 2230 (5.5)
takes the greatest tensile strength for that, commonly 1.2 times the least (both from memory). A shaft that is stronger
by so much has a thread that is stronger by as much, so the factor falls on the nut's thread alone; against the shaft's
own, the stripping area over the net section decides whatever the steel.
"""

from __future__ import annotations

from dataclasses import dataclass

from compat.engineering import joints
from compat.engineering.answers import Finding, ask, note
from compat.engineering.corners import judged
from compat.engineering.threads.limits import ExternalLimits, InternalLimits
from compat.engineering.units import Range

MOST_OVER_LEAST = 1.2  # Rm,max / Rm,min of shafts of one property class (VDI 2230, from memory)


def strip_areas(outer: ExternalLimits, inner: InternalLimits, pitch: float) -> tuple[Range, Range]:
    """Shear areas of (shaft, nut) per mm of engagement, mm2/mm, over the limits of both threads (FED-STD-H28/2B)."""
    bore, flank, crest, nut_flank = inner.minor, outer.pitch, outer.major, inner.pitch
    shaft = Range(
        joints.shaft_strip_area(pitch, bore.high, flank.low),
        joints.shaft_strip_area(pitch, bore.low, flank.high),
        joints.shaft_strip_area(pitch, bore.nominal, flank.nominal),
    )
    nut = Range(
        joints.nut_strip_area(pitch, crest.low, nut_flank.high),
        joints.nut_strip_area(pitch, crest.high, nut_flank.low),
        joints.nut_strip_area(pitch, crest.nominal, nut_flank.nominal),
    )
    return shaft, nut


@dataclass(frozen=True, slots=True)
class Stripping:
    """What strips the thread of the shaft and that of the nut, N per mm of engagement, over the limits of both, at
    their least tensile strengths: a thread shears at half of it (FED-STD-H28/2B)."""

    shaft: Range
    nut: Range

    @property
    def weaker(self) -> Range:
        """Of the two threads, the one that strips first at each corner, N per mm."""
        return least_of(self.shaft, self.nut)

    def full_mm(self, own: Range) -> float | None:
        """Engagement, mm, at which neither thread strips before the shaft breaks, whatever the limits; `own` is what
        breaks the shaft at its least strength, N. None where the threads may not overlap."""
        return self._length(_most(own))

    def needed_mm(self, preload: Range, factor: float, own: Range) -> float | None:
        """Engagement, mm, at which neither thread strips before `factor` times the preload, N, or the shaft breaks."""
        return self._length(_most(own), factor * preload.high)

    def margin(self, engaged: Range, own: Range, *, preload: Range | None = None, factor: float = 1.0) -> Range:
        """What the threads carry over the engaged mm beyond what they must, N, at the worse of the two: the preload by
        the factor, and never more than breaks the shaft, since a thread that outlasts its shaft cannot strip."""
        left = []
        for per_mm, demand in zip((self.shaft, self.nut), _most(own), strict=True):
            needed = demand if preload is None else least_of(demand, preload.times(factor))
            left.append(carried_n(engaged, per_mm) - needed)
        return least_of(*left)

    def _length(self, demands: tuple[Range, Range], at_most: float = float("inf")) -> float | None:
        if self.weaker.low <= 0:
            return None
        sides = zip((self.shaft, self.nut), demands, strict=True)
        return round(max(min(demand.high, at_most) / per_mm.low for per_mm, demand in sides), 3)


def stripping(areas: tuple[Range, Range], shaft_class: str, nut_class: str, nominal: float) -> Stripping:
    """Both threads of a pair with these shear areas, mm2/mm, property classes and nominal diameter, mm."""
    shaft_mpa, nut_mpa = joints.bolt_tensile_mpa(shaft_class, nominal), joints.nut_tensile_mpa(nut_class, nominal)
    return Stripping(areas[0].times(shaft_mpa / 2), areas[1].times(nut_mpa / 2))


def carried_n(engaged: Range, per_mm: Range) -> Range:
    """What strips the engaged thread, N: its length, mm, by the load per mm."""
    length = Range(*(max(0.0, part) for part in _ends(engaged)))
    return Range(*(one * other for one, other in zip(_ends(length), _ends(per_mm), strict=True)))


def least_of(one: Range, other: Range) -> Range:
    """The smaller of two at each corner, any unit."""
    return Range(*(min(parts) for parts in zip(_ends(one), _ends(other), strict=True)))


def own_strength_findings(spare: Range, engaged: Range, full_mm: float) -> list[Finding]:
    """Without a load the threads must carry whatever the shaft itself does; `spare` is the margin to that, N. What
    falls short needs the load told."""
    data = {"available_mm": round(max(0.0, engaged.low), 2), "full_mm": round(full_mm, 2)}
    short = ask("engagement_under_full_strength", "vdi_2230", **data, factor=MOST_OVER_LEAST)
    return [note("needed_engagement_open", "trade"), *judged(spare, never=short, perhaps=short)]


def _most(own: Range) -> tuple[Range, Range]:
    """What breaks the shaft, N, as its own thread and as the nut's thread meet it."""
    return own, Range(own.low, MOST_OVER_LEAST * own.high, own.nominal)


def _ends(value: Range) -> tuple[float, float, float]:
    return value.low, value.high, value.nominal

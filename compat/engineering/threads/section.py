"""The least section of a threaded, hollow shaft: under the thread, or in the relief groove before it."""

from __future__ import annotations

from dataclasses import dataclass

from compat.engineering import joints
from compat.engineering.answers import Finding, ask, warn
from compat.engineering.corners import DUST, Standing, judged, standing
from compat.engineering.refused import Refused
from compat.engineering.threads.designation import Thread
from compat.engineering.units import Range

# The wall of a hollow shaft, as a part of the diameter over it, below which it is a thin tube: a hole of over two
# thirds. The flanks push inward with tan 30 of the load, and by Lame the stress round the bore is 2/(1 - k^2) times
# that push, k = hole/root: 2 near a solid shaft, 3.6 at two thirds, 6.4 at five sixths. The stripping formulas know
# nothing of it. In a groove no flank pushes, but a tube so thin is bent and dented. The bound is this shop's rule:
# common practice, no published source.
THIN_WALL = 1 / 6
# What a wall is found to be: none, too thin to judge, a thin tube without a load, a thin tube under its load.
_UNDER_ROOT = ("hole_leaves_no_wall", "wall_too_thin_to_judge", "thin_wall_load_unknown", "thin_wall")
_IN_GROOVE = (
    *("hole_leaves_no_wall_in_groove", "groove_wall_too_thin_to_judge"),
    *("groove_thin_wall_load_unknown", "groove_thin_wall"),
)


@dataclass(frozen=True, slots=True)
class Relief:
    """Whether a relief groove lies before the full thread (None: nobody looked), and the diameter left in it, mm (None:
    not measured). What nobody denies may be there; a diameter that is told is counted."""

    there: bool | None
    diameter: Range | None

    @property
    def unknown(self) -> bool:
        """Whether a groove may lie there of which nobody knows how deep it is."""
        return self.there is not False and self.diameter is None

    def findings(self) -> list[Finding]:
        """What is to be looked at or measured of it."""
        if not self.unknown:
            return []
        return [ask("relief_diameter_unknown" if self.there else "thread_relief_unknown", "trade")]


def checked_relief(there: bool | None, diameter: object, field: str) -> None:
    """Raises Refused `groove_of_none` for the diameter of a groove that is said not to be there."""
    if there is False and diameter is not None:
        raise Refused("groove_of_none", field)


def net_area(thread: Thread, hole: Range, relief: Relief) -> Range | None:
    """The least section, mm2, over its readings in mm: the stress area less the hole, or the groove less the hole,
    pi/4 (dg^2 - hole^2), where that is smaller. A groove that nobody measured may leave any part of it, down to none.
    None where the widest hole may leave no wall under the root or in the groove."""
    area = thread_area(thread, hole)
    if area is None:
        return None
    if relief.unknown:
        return Range(0.0, area.high, area.nominal)
    if (groove := relief.diameter) is None:
        return area
    if hole.high >= groove.low - DUST:
        return None
    ends = ((groove.low, hole.high), (groove.high, hole.low), (groove.nominal, hole.nominal))
    rings = (joints.ring_mm2(outer, inner) for outer, inner in ends)
    return Range(*(min(parts) for parts in zip(_parts(area), rings, strict=True)))


def thread_area(thread: Thread, hole: Range) -> Range | None:
    """Stress area less the hole, mm2, over its readings in mm; None where the widest leaves no wall under the root."""
    if hole.high >= joints.root_mm(thread.nominal_mm, thread.pitch_mm) - DUST:
        return None
    holes = (hole.high, hole.low, hole.nominal)
    return Range(*(joints.stress_area_mm2(thread.nominal_mm, thread.pitch_mm, one) for one in holes))


def wall_findings(thread: Thread, hole: Range, relief: Relief, *, load_known: bool) -> list[Finding]:
    """What the wall leaves open, under the root and in the groove. A thin tube needs its load, and is judged by its net
    section; thinner than a pitch too, nothing here says what it carries."""
    root = Range.exact(joints.root_mm(thread.nominal_mm, thread.pitch_mm))
    found = _wall(thread, root, hole, _UNDER_ROOT, load_known=load_known)
    if relief.diameter is None:
        return found
    return found + _wall(thread, relief.diameter, hole, _IN_GROOVE, load_known=load_known)


def percent_of(load: Range, strength: Range) -> Range:
    """A load as a part of a strength above zero, percent, over the limits of both."""
    sides = zip(_parts(load), (strength.high, strength.low, strength.nominal), strict=True)
    return Range(*(100 * one / other for one, other in sides))


def _wall(
    thread: Thread, outer: Range, hole: Range, codes: tuple[str, str, str, str], *, load_known: bool
) -> list[Finding]:
    none, unjudged, without_load, under_load = codes
    pairs = ((outer.low, hole.high), (outer.high, hole.low), (outer.nominal, hole.nominal))
    wall = Range(*((over - inside) / 2 for over, inside in pairs))
    # Both margins rise with the outside and fall with the hole, so the ends are at the same corners.
    to_thin = Range(*((over - inside) / 2 - THIN_WALL * over for over, inside in pairs))
    to_least = Range(
        *(max(parts) for parts in zip(_parts(wall - Range.exact(thread.pitch_mm)), _parts(to_thin), strict=True))
    )
    thin = THIN_WALL * outer.low
    data = {"wall_mm": round(wall.low, 2), "hole_mm": hole.high, "thread": thread.name}
    if wall.low < DUST:
        return [ask(none, hole_mm=hole.high, thread=thread.name)]
    data |= {"least_mm": round(min(thread.pitch_mm, thin), 2), "thin_mm": round(thin, 2)}
    too_thin = ask(unjudged, "trade", **data)
    if found := judged(to_least, never=too_thin, perhaps=too_thin):
        return found
    if standing(to_thin) is Standing.GOOD:
        return []
    return [warn(under_load, "trade", **data) if load_known else ask(without_load, "trade", **data)]


def _parts(value: Range) -> tuple[float, float, float]:
    return value.low, value.high, value.nominal

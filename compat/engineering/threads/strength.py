"""Whether the engaged thread and the hollow shaft carry a load, at every corner of what is read."""

from __future__ import annotations

from compat.engineering import joints
from compat.engineering.answers import Finding, ask, note, stop, warn
from compat.engineering.corners import DUST, Standing, judged, standing
from compat.engineering.threads.designation import Thread
from compat.engineering.threads.limits import ExternalLimits, InternalLimits
from compat.engineering.units import Range

PAIR = {"8.8": 8, "10.9": 10, "12.9": 12}  # ISO 898-2: the nut class that goes with a bolt class
NUT_CLASSES = tuple(str(pair) for pair in PAIR.values())
# The wall under the root of a hollow shaft, as a part of the root diameter, below which it is a thin tube: a hole of
# over two thirds of the root. The flanks push inward with tan 30 of the load, and by Lame the stress round the bore is
# 2/(1 - k^2) times that push, k = hole/root: 2 near a solid shaft, 3.6 at two thirds, 6.4 at five sixths. The
# stripping formulas know nothing of it. The bound is this shop's rule: common practice, no published source.
THIN_WALL = 1 / 6


def class_findings(shaft_class: str | None, nut_class: str | None) -> list[Finding]:
    """What is open of the two property classes, and whether they pair (ISO 898-1 and -2)."""
    findings = []
    if shaft_class not in PAIR:
        findings.append(ask("shaft_strength_unknown", "iso_898_1", known=", ".join(PAIR)))
    if nut_class not in NUT_CLASSES:
        findings.append(ask("nut_strength_unknown", "iso_898_2", known=", ".join(NUT_CLASSES)))
    if shaft_class in PAIR and nut_class in NUT_CLASSES and int(nut_class) < PAIR[shaft_class]:
        findings.append(warn("classes_do_not_pair", "iso_898_2", nut_class=nut_class, shaft_class=shaft_class))
    return findings


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


def strip_per_mm(areas: tuple[Range, Range], shaft_class: str, nut_class: str, nominal: float) -> Range:
    """What strips the weaker thread, N per mm of engagement, over the limits of both."""
    shaft_mpa, nut_mpa = joints.bolt_tensile_mpa(shaft_class, nominal), joints.nut_tensile_mpa(nut_class, nominal)
    sides = zip(_parts(areas[0]), _parts(areas[1]), strict=True)
    return Range(
        *(
            joints.strip_load_per_mm(shaft_area=shaft, shaft_mpa=shaft_mpa, nut_area=nut, nut_mpa=nut_mpa)
            for shaft, nut in sides
        )
    )


def net_area(thread: Thread, hole: Range) -> Range | None:
    """Stress area less the hole, mm2, over its readings in mm; None where the widest leaves no wall under the root."""
    if hole.high >= joints.root_mm(thread.nominal_mm, thread.pitch_mm) - DUST:
        return None
    holes = (hole.high, hole.low, hole.nominal)
    return Range(*(joints.stress_area_mm2(thread.nominal_mm, thread.pitch_mm, one) for one in holes))


def percent_of(load: Range, strength: Range) -> Range:
    """A load as a part of a strength above zero, percent, over the limits of both."""
    sides = zip(_parts(load), (strength.high, strength.low, strength.nominal), strict=True)
    return Range(*(100 * one / other for one, other in sides))


def wall_findings(thread: Thread, hole: Range, *, load_known: bool) -> list[Finding]:
    """What the wall under the root leaves open. A thin tube needs its load, and is judged by its net section; thinner
    than a pitch too, nothing here says what its thread carries."""
    root = joints.root_mm(thread.nominal_mm, thread.pitch_mm)
    wall = (Range.exact(root) - hole).times(0.5)
    data = {"wall_mm": round(wall.low, 2), "hole_mm": hole.high, "thread": thread.name}
    if wall.low < DUST:
        return [ask("hole_leaves_no_wall", hole_mm=hole.high, thread=thread.name)]
    thin = THIN_WALL * root
    least = min(thread.pitch_mm, thin)
    data |= {"least_mm": round(least, 2), "thin_mm": round(thin, 2)}
    too_thin = ask("wall_too_thin_to_judge", "trade", **data)
    if found := judged(wall - Range.exact(least), never=too_thin, perhaps=too_thin):
        return found
    if standing(wall - Range.exact(thin)) is Standing.GOOD:
        return []
    return [warn("thin_wall", "trade", **data) if load_known else ask("thin_wall_load_unknown", "trade", **data)]


def carried_n(engaged: Range, per_mm: Range) -> Range:
    """What strips the engaged thread, N: its length, mm, by the load per mm."""
    length = Range(*(max(0.0, part) for part in (engaged.low, engaged.high, engaged.nominal)))
    return Range(length.low * per_mm.low, length.high * per_mm.high, length.nominal * per_mm.nominal)


def needed_n(preload: Range, factor: float, own: Range) -> Range:
    """What the engaged thread must carry, N: the preload by the shop's factor, and never more than breaks the shaft,
    since a thread that outlasts its shaft cannot strip."""
    sides = zip(_parts(preload), _parts(own), strict=True)
    return Range(*(min(factor * load, strength) for load, strength in sides))


def turn_findings(engaged: Range, pitch: float) -> list[Finding]:
    """Less than one full turn is no joint, whatever the load. Lengths in mm; common practice, no published source."""
    if standing(engaged, strict=True) is Standing.BAD:
        return [stop("no_engagement")]
    data = {"least_mm": round(max(0.0, engaged.low), 2), "pitch_mm": round(pitch, 3)}
    return judged(
        engaged - Range.exact(pitch),
        never=stop("engagement_under_a_turn", "trade", **data),
        perhaps=ask("engagement_may_be_under_a_turn", "trade", **data),
    )


def own_strength_findings(carried: Range, own: Range, engaged: Range, full_mm: float) -> list[Finding]:
    """Without a load the thread must carry whatever the shaft itself does; what falls short needs the load told."""
    data = {"available_mm": round(max(0.0, engaged.low), 2), "full_mm": round(full_mm, 2)}
    short = ask("engagement_under_full_strength", "fed_std_h28_2b", **data)
    return [note("needed_engagement_open", "trade"), *judged(carried - own, never=short, perhaps=short)]


def _parts(value: Range) -> tuple[float, float, float]:
    return value.low, value.high, value.nominal

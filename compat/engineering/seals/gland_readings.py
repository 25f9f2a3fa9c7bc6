"""What the readings of a gland lack, and where they contradict each other."""

from __future__ import annotations

from dataclasses import replace

from compat.engineering.answers import Finding, ask, note, stop
from compat.engineering.corners import judged, over_corners
from compat.engineering.seals.gland import KINDS, NEEDED, Gland
from compat.engineering.seals.limits import MOTIONS
from compat.engineering.seals.ring import Ring
from compat.engineering.units import MM_PER_INCH, Range

OFF_WALL_PERCENT = 3.0  # of a face's ring; from memory, as much as the ring may be crushed
SAME_PERCENT = 12.0  # two sizes that agree so well once one is taken for inches
WIDTH_APART_MM = 0.1  # by which two readings of a face groove's width may differ


def check(gland: Gland, motion: str | None) -> None:
    """Raises ValueError for a kind, a motion or a size that is none: whoever asks has been refused that already."""
    if gland.kind not in KINDS:
        raise ValueError(f"a gland is one of {', '.join(KINDS)}; not {gland.kind!r}")
    if motion is not None and motion not in MOTIONS:
        raise ValueError(f"motion is one of {', '.join(MOTIONS)}; not {motion!r}")
    for name in (*NEEDED[gland.kind], "width_mm", "land_mm"):
        size = getattr(gland, name)
        if size is not None and not size.low > 0:
            raise ValueError(f"{name} is above zero")


def missing(gland: Gland, motion: str | None) -> list[Finding]:
    """What must be measured or said of a gland, and a motion that its kind does not take."""
    found = [ask(f"gland_{name.removesuffix('_mm')}_missing", "iso_3601_2") for name in gland.missing]
    if gland.width_mm is None and (gland.kind != "face" or gland.missing):
        found.append(ask("gland_width_missing", "iso_3601_2"))
    if motion is None:
        found.append(ask("motion_missing", "iso_3601_2"))
    elif motion == "dynamic" and gland.kind == "face":
        found.append(stop("face_gland_moves", "iso_3601_2"))
    return found


def with_width(gland: Gland) -> tuple[Gland, list[Finding]]:
    """The gland with the groove's width as read, or of a face groove from its two diameters; asked about where the
    two contradict each other at any of their values."""
    if gland.kind != "face" or gland.inner_mm is None or gland.outer_mm is None:
        return gland, []
    between = (gland.outer_mm - gland.inner_mm).times(0.5)
    if gland.width_mm is None:
        return (replace(gland, width_mm=between) if between.low > 0 else gland), []
    apart = over_corners(lambda one, other: abs(one - other), between, gland.width_mm)
    doubted = ask("gland_width_contradicts", "", width_mm=gland.width_mm.nominal, between_mm=between.nominal)
    return gland, judged(Range.exact(WIDTH_APART_MM) - apart, never=doubted, perhaps=doubted)


def shut(gland: Gland) -> Finding | None:
    """A gland without room between groove and wall. It misses no size but the width."""
    pairs = {
        "piston": (gland.groove_mm, gland.bore_mm),
        "rod": (gland.rod_mm, gland.groove_mm),
        "face": (gland.inner_mm, gland.outer_mm),
    }
    inner, outer = pairs[gland.kind]
    assert inner is not None and outer is not None
    code = f"{gland.kind}_gland_has_no_room"
    return next(iter(judged(outer - inner, never=stop(code), perhaps=ask(code), strict=True)), None)


def inches(gland: Gland, ring: Ring) -> tuple[Finding | None, bool]:
    """A ring and a gland that only agree if one of the two was typed in inches, and whether they do so at every value
    of their readings: then nothing else can be said of them. The gland misses no size but the width."""
    seat = {"piston": gland.groove_mm, "rod": gland.rod_mm, "face": gland.inner_mm}[gland.kind]
    assert seat is not None
    for factor, which in ((MM_PER_INCH, "gland"), (1 / MM_PER_INCH, "ring")):
        low = 100 * (seat.low * factor / ring.id_mm.high - 1)
        high = 100 * (seat.high * factor / ring.id_mm.low - 1)
        if low < SAME_PERCENT and high > -SAME_PERCENT:
            doubt = ask(f"{which}_looks_like_inches", "", seat_mm=seat.nominal, id_mm=ring.id_mm.nominal)
            return doubt, low > -SAME_PERCENT and high < SAME_PERCENT
    return None, False


def narrow(gland: Gland, section: Range) -> list[Finding]:
    """A groove that is, or may be, narrower than the ring's section."""
    width = gland.width_mm
    if width is None:
        return []
    data = {"width_mm": width.nominal, "section_mm": section.nominal}
    return judged(
        width - section,
        never=stop("groove_narrower_than_ring", "iso_3601_2", **data),
        perhaps=ask("groove_may_be_narrow", "iso_3601_2", **data),
    )


def wall(gland: Gland, stretch: Range, crush: Range) -> list[Finding]:
    """Whether a face's ring lies against the wall that the pressure drives it to; where the side is not told, against
    both. stretch over the inner wall and crush at the outer one, percent; below 0 by what is missing."""
    if gland.kind != "face":
        return []
    sides = {"inside": ("outer", -crush.low), "outside": ("inner", -stretch.low)}
    far = {side: off for side, (_, off) in sides.items() if off > OFF_WALL_PERCENT}
    if gland.pressure_from is None:
        if len(far) == len(sides):
            return [ask("face_ring_floats", "iso_3601_2")]
        return [ask("face_pressure_side_missing", "iso_3601_2") if far else note("face_pressure_side", "iso_3601_2")]
    if gland.pressure_from not in far:
        return []
    side = sides[gland.pressure_from][0]
    return [ask(f"face_ring_off_{side}_wall", "iso_3601_2", off=far[gland.pressure_from])]

"""What the readings of a gland lack, and where they contradict each other."""

from __future__ import annotations

from dataclasses import replace

from compat.engineering.answers import Finding, ask, note, stop
from compat.engineering.seals.gland import KINDS, NEEDED, Gland
from compat.engineering.seals.limits import MOTIONS
from compat.engineering.units import Range

OFF_WALL_PERCENT = 3.0  # of a face's ring; from memory, as much as the ring may be crushed
WIDTH_APART_MM = 0.1  # by which two readings of a face groove's width may differ


def check(gland: Gland, motion: str | None) -> None:
    """Raises ValueError for a kind, a motion or a size that is none."""
    if gland.kind not in KINDS:
        raise ValueError(f"a gland is one of {', '.join(KINDS)}; not {gland.kind!r}")
    if motion is not None and motion not in MOTIONS:
        raise ValueError(f"motion is one of {', '.join(MOTIONS)}; not {motion!r}")
    for name in (*NEEDED[gland.kind], "width_mm"):
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
    two contradict."""
    if gland.kind != "face" or gland.inner_mm is None or gland.outer_mm is None:
        return gland, []
    between = (gland.outer_mm - gland.inner_mm).times(0.5)
    if gland.width_mm is None:
        return (replace(gland, width_mm=between) if between.low > 0 else gland), []
    if abs(between.nominal - gland.width_mm.nominal) > WIDTH_APART_MM and not between.touches(gland.width_mm):
        data = {"width_mm": gland.width_mm.nominal, "between_mm": between.nominal}
        return gland, [ask("gland_width_contradicts", "", **data)]
    return gland, []


def shut(gland: Gland) -> Finding | None:
    """A gland without room between groove and wall. It misses no size but the width."""
    pairs = {
        "piston": (gland.groove_mm, gland.bore_mm),
        "rod": (gland.rod_mm, gland.groove_mm),
        "face": (gland.inner_mm, gland.outer_mm),
    }
    inner, outer = pairs[gland.kind]
    assert inner is not None and outer is not None
    if outer.low > inner.high:
        return None
    decided = stop if outer.high <= inner.low else ask
    return decided(f"{gland.kind}_gland_has_no_room")


def narrow(gland: Gland, section: Range) -> list[Finding]:
    """A groove that is, or may be, narrower than the ring's section."""
    width = gland.width_mm
    if width is None or width.low >= section.high:
        return []
    data = {"width_mm": width.nominal, "section_mm": section.nominal}
    if width.high < section.low:
        return [stop("groove_narrower_than_ring", "iso_3601_2", **data)]
    return [ask("groove_may_be_narrow", "iso_3601_2", **data)]


def wall(gland: Gland, stretch: Range, crush: Range) -> list[Finding]:
    """Whether a face's ring lies against the wall that the pressure drives it to; where the side is not told, against
    either. stretch over the inner wall and crush at the outer one, percent; below 0 by what is missing."""
    if gland.kind != "face":
        return []
    if gland.pressure_from == "inside":
        off = -crush.low
        return [ask("face_ring_off_outer_wall", "iso_3601_2", off=off)] if off > OFF_WALL_PERCENT else []
    if gland.pressure_from == "outside":
        off = -stretch.low
        return [ask("face_ring_off_inner_wall", "iso_3601_2", off=off)] if off > OFF_WALL_PERCENT else []
    if min(-crush.low, -stretch.low) > OFF_WALL_PERCENT:
        return [ask("face_ring_floats", "iso_3601_2")]
    return [note("face_pressure_side", "iso_3601_2")]

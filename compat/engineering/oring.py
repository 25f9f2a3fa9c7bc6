"""The O-ring question: does this ring seal in this gland, at every corner of the tolerances?"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from compat.engineering.answers import Answer, Finding, ask, note, stop, warn
from compat.engineering.seals.compounds import Service, service_findings
from compat.engineering.seals.gland import KINDS, NEEDED, Gland, Rings, seated
from compat.engineering.seals.limits import MOTIONS, judge
from compat.engineering.seals.ring import Ring
from compat.engineering.units import Range

QUESTION = "oring"
SOURCES = ("as568", "iso_3601_2")
CAUTIONS = ("new_seals", "pressurised_gas", "makers_instructions")
INCH = 25.4
SAME_PERCENT = 12.0  # two sizes that agree so well once one is taken for inches
WIDTH_APART_MM = 0.1  # by which two readings of a face groove's width may differ


@dataclass(frozen=True, slots=True)
class RingInGland:
    """A ring in its gland and what it meets there. ring None where not known; motion static or dynamic; `reused` None
    where not said; `by_size` where the ring's sizes are those of the standard and not read."""

    ring: Ring | None
    gland: Gland
    motion: str | None = None
    service: Service = field(default_factory=Service)
    reused: bool | None = None
    by_size: bool = False


def oring(told: RingInGland) -> Answer:
    """Does this ring fit this gland?

    `fits` means: every size is known, and at every corner of the tolerances squeeze, stretch and fill lie within
    their limits, compound, fluid and temperature agree, and the ring is new or its section was read. Values:
    `stretch_percent`, `squeeze_percent`, `fill_percent`, `crush_percent` (ranges, None where open; crush only of a
    rod's or a face's ring), `margin` (least distance to a limit, 1 in the middle, below 0 past one), `ring` (its
    sizes). Raises ValueError for a gland that is none. Sources: AS568 and ISO 3601-1 for sizes, ISO 3601-2 for the
    form of stretch, squeeze and fill.
    """
    _check(told.gland, told.motion)
    values: dict[str, Any] = dict.fromkeys(
        ("stretch_percent", "squeeze_percent", "fill_percent", "crush_percent", "margin", "ring")
    )
    findings = _missing(told)
    if told.ring is not None:
        values["ring"] = {"size": told.ring.size, "id_mm": told.ring.id_mm, "section_mm": told.ring.section_mm}
    if told.ring is not None and not told.gland.missing:
        findings += in_gland(told.ring, told.gland, told.motion, values)
    findings += service_findings(told.service)
    return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)


def in_gland(ring: Ring, gland: Gland, motion: str | None, values: dict[str, Any]) -> list[Finding]:
    """Squeeze, stretch and fill of a known ring in a measured gland; fills the values in."""
    width, findings = _width(gland)
    gland = gland if width is gland.width_mm else _with_width(gland, width)
    if (inches := _inches(ring, gland)) is not None:
        return [*findings, inches]
    if (shut := _shut(gland)) is not None:
        return [*findings, shut]
    found = seated(Rings.of(ring), gland)
    fill = None if found.fill is None else found.fill.at(0)
    crush = found.crush.at(0)
    values |= {"stretch_percent": found.stretch.at(0), "squeeze_percent": found.squeeze.at(0), "fill_percent": fill}
    if gland.kind != "piston":
        values["crush_percent"] = crush
    judged = judge(gland.kind, motion, found.stretch.at(0), found.squeeze.at(0), fill, crush)
    values["margin"] = judged.margin
    findings += judged.findings
    if width is not None and width.low < ring.section_mm.high:
        findings.append(_narrow(width, ring.section_mm))
    if gland.kind == "face":
        findings.append(note("face_pressure_side", "iso_3601_2"))
    return findings


def _check(gland: Gland, motion: str | None) -> None:
    if gland.kind not in KINDS:
        raise ValueError(f"a gland is one of {', '.join(KINDS)}; not {gland.kind!r}")
    if motion is not None and motion not in MOTIONS:
        raise ValueError(f"motion is one of {', '.join(MOTIONS)}; not {motion!r}")
    for name in (*NEEDED[gland.kind], "width_mm"):
        size = getattr(gland, name)
        if size is not None and not size.low > 0:
            raise ValueError(f"{name} is above zero")


def _missing(told: RingInGland) -> list[Finding]:
    found: list[Finding] = []
    if told.ring is None:
        found.append(ask("ring_missing", "as568"))
    found += [ask(f"gland_{name.removesuffix('_mm')}_missing", "iso_3601_2") for name in told.gland.missing]
    if told.gland.width_mm is None and (told.gland.kind != "face" or told.gland.missing):
        found.append(ask("gland_width_missing", "iso_3601_2"))
    if told.motion is None:
        found.append(ask("motion_missing", "iso_3601_2"))
    elif told.motion == "dynamic" and told.gland.kind == "face":
        found.append(stop("face_gland_moves", "iso_3601_2"))
    if told.reused is None:
        found.append(ask("reused_unknown", "trade"))
    elif told.reused:
        found.append(ask("reused_by_size", "trade") if told.by_size else warn("ring_reused", "trade"))
    return found


def _width(gland: Gland) -> tuple[Range | None, list[Finding]]:
    """The groove's width: as read, or of a face groove from its two diameters; asked where the two contradict."""
    if gland.kind != "face" or gland.inner_mm is None or gland.outer_mm is None:
        return gland.width_mm, []
    between = (gland.outer_mm - gland.inner_mm).times(0.5)
    if gland.width_mm is None:
        return (between if between.low > 0 else None), []
    if abs(between.nominal - gland.width_mm.nominal) > WIDTH_APART_MM and not between.touches(gland.width_mm):
        data = {"width_mm": gland.width_mm.nominal, "between_mm": between.nominal}
        return gland.width_mm, [ask("gland_width_contradicts", "", **data)]
    return gland.width_mm, []


def _with_width(gland: Gland, width: Range | None) -> Gland:
    return Gland(
        gland.kind,
        depth_mm=gland.depth_mm,
        inner_mm=gland.inner_mm,
        outer_mm=gland.outer_mm,
        width_mm=width,
    )


def _inches(ring: Ring, gland: Gland) -> Finding | None:
    """A ring and a gland that only agree if one of the two was typed in inches."""
    seat = {"piston": gland.groove_mm, "rod": gland.rod_mm, "face": gland.inner_mm}[gland.kind]
    assert seat is not None
    for factor, which in ((INCH, "gland"), (1 / INCH, "ring")):
        if abs(100 * (seat.nominal * factor / ring.id_mm.nominal - 1)) < SAME_PERCENT:
            data = {"seat_mm": seat.nominal, "id_mm": ring.id_mm.nominal}
            return ask(f"{which}_looks_like_inches", "", **data)
    return None


def _shut(gland: Gland) -> Finding | None:
    """A gland without room between groove and wall."""
    pairs = {
        "piston": (gland.groove_mm, gland.bore_mm, "groove_mm", "bore_mm"),
        "rod": (gland.rod_mm, gland.groove_mm, "rod_mm", "groove_mm"),
        "face": (gland.inner_mm, gland.outer_mm, "inner_mm", "outer_mm"),
    }
    inner, outer, inner_name, outer_name = pairs[gland.kind]
    assert inner is not None and outer is not None
    if outer.low > inner.high:
        return None
    decided = stop if outer.high <= inner.low else ask
    return decided("gland_has_no_room", "", inner=inner_name, outer=outer_name)


def _narrow(width: Range, section: Range) -> Finding:
    data = {"width_mm": width.nominal, "section_mm": section.nominal}
    return (stop if width.high < section.low else ask)("groove_narrower_than_ring", "iso_3601_2", **data)

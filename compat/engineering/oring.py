"""The O-ring question: does this ring seal in this gland, at every corner of the tolerances?"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from compat.engineering.answers import Answer, Finding, ask, warn
from compat.engineering.seals.compounds import Service, service_findings
from compat.engineering.seals.gland import Gland, Rings, seated
from compat.engineering.seals.gland_readings import check, missing, narrow, shut, wall, with_width
from compat.engineering.seals.limits import judge
from compat.engineering.seals.ring import Ring
from compat.engineering.units import MM_PER_INCH

QUESTION = "oring"
SOURCES = ("as568", "iso_3601_2")
CAUTIONS = ("new_seals", "pressurised_gas", "makers_instructions")
SAME_PERCENT = 12.0  # two sizes that agree so well once one is taken for inches


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
    check(told.gland, told.motion)
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
    gland, findings = with_width(gland)
    if (inches := _inches(ring, gland)) is not None:
        return [*findings, inches]
    if (no_room := shut(gland)) is not None:
        return [*findings, no_room]
    found = seated(Rings.of(ring), gland)
    fill = None if found.fill is None else found.fill.at(0)
    crush = found.crush.at(0)
    values |= {"stretch_percent": found.stretch.at(0), "squeeze_percent": found.squeeze.at(0), "fill_percent": fill}
    if gland.kind != "piston":
        values["crush_percent"] = crush
    judged = judge(gland.kind, motion, found.stretch.at(0), found.squeeze.at(0), fill, crush)
    values["margin"] = judged.margin
    findings += judged.findings
    findings += narrow(gland, ring.section_mm)
    return findings + wall(gland, found.stretch.at(0), crush)


def _missing(told: RingInGland) -> list[Finding]:
    found: list[Finding] = []
    if told.ring is None:
        found.append(ask("ring_missing", "as568"))
    found += missing(told.gland, told.motion)
    if told.reused is None:
        found.append(ask("reused_unknown", "trade"))
    elif told.reused:
        found.append(ask("reused_by_size", "trade") if told.by_size else warn("ring_reused", "trade"))
    return found


def _inches(ring: Ring, gland: Gland) -> Finding | None:
    """A ring and a gland that only agree if one of the two was typed in inches."""
    seat = {"piston": gland.groove_mm, "rod": gland.rod_mm, "face": gland.inner_mm}[gland.kind]
    assert seat is not None
    for factor, which in ((MM_PER_INCH, "gland"), (1 / MM_PER_INCH, "ring")):
        if abs(100 * (seat.nominal * factor / ring.id_mm.nominal - 1)) < SAME_PERCENT:
            data = {"seat_mm": seat.nominal, "id_mm": ring.id_mm.nominal}
            return ask(f"{which}_looks_like_inches", "", **data)
    return None

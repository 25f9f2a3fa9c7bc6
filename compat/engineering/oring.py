"""The O-ring question: does this ring seal in this gland, at every corner of the tolerances?"""

from __future__ import annotations

from dataclasses import dataclass, field

from compat.engineering.answers import Answer, Finding, Value, ask, warn
from compat.engineering.seals.compounds import Service, service_findings
from compat.engineering.seals.extrusion import extrusion_findings
from compat.engineering.seals.gland import Gland, Rings
from compat.engineering.seals.gland_readings import check, inches, missing, narrow, shut, wall, with_width
from compat.engineering.seals.limits import judge
from compat.engineering.seals.ring import Ring
from compat.engineering.seals.seating import seats

QUESTION = "oring"
SOURCES = ("as568", "iso_3601_2", "extrusion_chart")
VALUES = (
    *("stretch_percent", "squeeze_percent", "cold_squeeze_percent", "fill_percent", "crush_percent"),
    *("gap_mm", "widest_gap_mm", "margin", "ring"),
)
CAUTIONS = ("new_seals", "pressurised_gas", "makers_instructions")


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
    their limits, the squeeze also at the coldest, and where the parts lie as far to one side as the gap lets them;
    compound, fluid and temperatures agree; the gap beside the ring is
    no wider than its hardness bears at the pressure; and the ring is new or its section was read. Values:
    `stretch_percent`, `squeeze_percent`, `cold_squeeze_percent`, `fill_percent`, `crush_percent` (ranges, None where
    open; crush only of a rod's or a face's ring), `gap_mm` and `widest_gap_mm` in diameter, `margin` (least distance
    to a limit, 1 in the middle, below 0 past one), `ring` (its sizes). Raises ValueError for a gland that is none.
    Sources: AS568 and ISO 3601-1 for sizes, ISO 3601-2 for the form of stretch, squeeze and fill; extrusion and cold
    as their modules say.
    """
    check(told.gland, told.motion)
    values: dict[str, Value] = dict.fromkeys(VALUES)
    findings = _missing(told)
    if told.ring is not None:
        values["ring"] = {"size": told.ring.size, "id_mm": told.ring.id_mm, "section_mm": told.ring.section_mm}
    if told.ring is not None and not told.gland.missing:
        findings += in_gland(told.ring, told.gland, told.motion, told.service.coldest_c, values)
    findings += extrusion_findings(told.gland, told.service, values)
    findings += service_findings(told.service)
    return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)


def in_gland(
    ring: Ring, gland: Gland, motion: str | None, coldest_c: float | None, values: dict[str, Value]
) -> list[Finding]:
    """Squeeze, stretch and fill of a known ring in a measured gland; fills the values in."""
    gland, findings = with_width(gland)
    doubt, wholly = inches(gland, ring)
    findings += [doubt] if doubt is not None else []
    if wholly:
        return findings
    if (no_room := shut(gland)) is not None:
        return [*findings, no_room]
    (seat,) = seats(Rings.of(ring), gland, coldest_c)
    values |= {"stretch_percent": seat.stretch, "squeeze_percent": seat.aside, "fill_percent": seat.fill}
    values["cold_squeeze_percent"] = seat.cold_aside
    if gland.kind != "piston":
        values["crush_percent"] = seat.crush
    judged = judge(gland.kind, motion, seat)
    values["margin"] = judged.margin
    return [*findings, *judged.findings, *narrow(gland, ring.section_mm), *wall(gland, seat.stretch, seat.crush)]


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

"""The questions of seals, bands, bores, shafts and clearances: from the request, through the engine, to an Answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from django.conf import settings

from compat import shelf
from compat.asked.fit import ranges
from compat.engineering.answers import Answer, warn
from compat.engineering.band import Band, band
from compat.engineering.bore import Bore, bore
from compat.engineering.clearance import BoreOnShaft, clearance
from compat.engineering.limits_and_fits import ClassError
from compat.engineering.oring import RingInGland, oring
from compat.engineering.ring_search import Search, rings_for_gland
from compat.engineering.roundness import DiameterReading
from compat.engineering.seals.compounds import Service
from compat.engineering.seals.gland import Gland
from compat.engineering.seals.ring import Ring
from compat.engineering.seals.search import reach_of
from compat.engineering.seals.shelf_life import shelf_life_findings
from compat.engineering.seals.sizes import SizeError, ring_called
from compat.engineering.shaft_wear import Shaft, shaft
from compat.engineering.units import um_to_mm
from compat.refusals import engine_errors
from inventory.common.clock import today
from inventory.common.errors import invalid

Asked = Mapping[str, Any]


def ask_oring(asked: Asked) -> Answer:
    """Does this O-ring fit this gland? Raises DomainError `invalid` for what cannot be read."""
    told = asked.get("ring") or {}
    answer = oring_told(asked, free_ring(told, "ring"), by_size=bool(told.get("size")))
    if told.get("cure_date") is None:
        new = asked.get("reused") is False
        return replace(answer, findings=(*answer.findings, warn("cure_date_missing", "trade"))) if new else answer
    policy = asked.get("shelf_life_policy") or settings.SHELF_LIFE
    with engine_errors("ring.cure_date"):
        aged = shelf_life_findings(asked.get("compound"), told["cure_date"], today(), policy)
    return replace(answer, findings=(*answer.findings, *aged))


def oring_told(asked: Asked, ring: Ring | None, *, by_size: bool) -> Answer:
    """The same of a ring that is told already, whatever its age; `by_size` where its sizes are the standard's."""
    with engine_errors("gland"):
        return oring(
            RingInGland(
                ring=ring,
                gland=Gland(**ranges(asked["gland"])),
                motion=asked.get("motion"),
                service=service_of(asked),
                reused=asked.get("reused"),
                by_size=by_size,
            )
        )


def ask_rings_for_gland(asked: Asked) -> Answer:
    """Which rings in stock fit this gland? Draws on the shelf, in three queries or none."""
    gland, motion = Gland(**ranges(asked["gland"])), asked["motion"]
    found = shelf.rings_within(reach_of(gland, motion), compound=asked.get("compound"))
    search = Search(
        gland=gland,
        motion=motion,
        service=service_of(asked),
        on=today(),
        policy=asked.get("shelf_life_policy") or settings.SHELF_LIFE,
        most=asked["most"],
        over_age=asked["over_age"],
    )
    with engine_errors("gland"):
        return rings_for_gland(found.rings, search, searched=found.searched)


def ask_band(asked: Asked) -> Answer:
    """Does this band still seal in this bore? Raises DomainError `invalid` for what cannot be read."""
    with engine_errors("bore_mm"):
        return band(band_told(asked, "energiser"))


def ask_bore(asked: Asked) -> Answer:
    """Is this bore within its limit? Raises DomainError `invalid` for what cannot be read."""
    sizes = ranges(asked)
    on_it = asked.get("band")
    with engine_errors("readings"):
        return bore(
            Bore(
                nominal_mm=sizes.get("nominal_mm"),
                max_diameter_mm=sizes.get("max_diameter_mm"),
                readings=readings_of(asked.get("readings") or ()),
                on_it=None if on_it is None else band_told(on_it, "band.energiser"),
            )
        )


def ask_shaft(asked: Asked) -> Answer:
    """Is this shaft within its limits? Raises DomainError `invalid` for what cannot be read."""
    told = {name: value for name, value in ranges(asked).items() if value is not None and name != "readings"}
    with engine_errors("readings"):
        return shaft(Shaft(**{"nominal_mm": None, **told}, readings=readings_of(asked.get("readings") or ())))


def ask_clearance(asked: Asked) -> Answer:
    """Does this bore pass this shaft? Raises DomainError `invalid` for a class that is not tabulated."""
    told = {name: value for name, value in ranges(asked).items() if value not in (None, "")}
    if "most_clearance_mm" in told:
        told["most_clearance_mm"] = um_to_mm(told["most_clearance_mm"])
    try:
        return clearance(BoreOnShaft(**told))
    except ClassError as refused:
        raise invalid("bore_class" if refused.part == "hole" else "shaft_class", str(refused)) from None


def free_ring(told: Asked, field: str) -> Ring | None:
    """The ring that is told, by its size or as read; None where not all of it is. Raises DomainError `invalid`."""
    if told.get("size"):
        try:
            return ring_called(told["size"])
        except SizeError as refused:
            cure = "a metric or special ring is told by id_mm and section_mm, as read"
            raise invalid(f"{field}.size", f"{refused}; {cure}") from None
    sizes = ranges(told)
    if not sizes.get("id_mm") or not sizes.get("section_mm"):
        return None
    return Ring(sizes["id_mm"], sizes["section_mm"])


def service_of(asked: Asked) -> Service:
    """What a seal is made of and meets."""
    return Service(asked.get("compound"), asked.get("fluid"), asked.get("temperature_c"), asked.get("coldest_c"))


def band_told(asked: Asked, energiser: str) -> Band:
    """The band that is told; `energiser` is the path of its ring. Raises DomainError `invalid`."""
    told = {name: value for name, value in ranges(asked).items() if value is not None and name != "energiser"}
    return Band(**told, energiser=free_ring(asked.get("energiser") or {}, energiser))


def readings_of(told: Iterable[Asked]) -> list[DiameterReading]:
    """Checked readings of a diameter as the engine takes them."""
    return [DiameterReading(um_to_mm(one["depth_mm"]), one["angle_deg"], ranges(one)["diameter_mm"]) for one in told]

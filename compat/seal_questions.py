"""The questions of seals, bands, bores, shafts and clearances: from the request, through the engine, to an Answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from typing import Any

from django.conf import settings

from compat import shelf
from compat.asked.fit import ranges
from compat.engineering.answers import Answer
from compat.engineering.band import Band, band
from compat.engineering.bore import Bore, bore
from compat.engineering.oring import RingInGland, oring
from compat.engineering.ring_search import Search, rings_for_gland
from compat.engineering.roundness import DiameterReading, Travel
from compat.engineering.seals.compounds import Service
from compat.engineering.seals.extrusion import pressure_from
from compat.engineering.seals.gland import Gland
from compat.engineering.seals.ring import Ring
from compat.engineering.seals.search import reach_of
from compat.engineering.seals.shelf_life import age_findings
from compat.engineering.seals.sizes import ring_called
from compat.engineering.shaft_wear import Shaft, shaft
from compat.engineering.units import um_to_mm
from compat.refusals import engine_errors
from inventory.common.clock import today

Asked = Mapping[str, Any]
BAND_SIZES = tuple(one.name for one in fields(Band) if one.name != "energiser")


def ask_oring(asked: Asked) -> Answer:
    """Does this O-ring fit this gland? Raises DomainError `invalid` for what cannot be read."""
    told = asked.get("ring") or {}
    answer = oring_told(asked, free_ring(told, "ring"), by_size=bool(told.get("size")))
    policy = asked.get("shelf_life_policy") or settings.SHELF_LIFE
    aged = age_findings(asked.get("compound"), told.get("cure_date"), today(), policy, reused=asked.get("reused"))
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
                travel=Travel(sizes.get("travel_from_mm"), sizes.get("travel_to_mm")),
            )
        )


def ask_shaft(asked: Asked) -> Answer:
    """Is this shaft within its limits? Raises DomainError `invalid` for what cannot be read."""
    told = {name: value for name, value in ranges(asked).items() if value is not None and name != "readings"}
    travel = Travel(told.pop("travel_from_mm", None), told.pop("travel_to_mm", None))
    readings = readings_of(asked.get("readings") or ())
    with engine_errors("readings"):
        return shaft(Shaft(**{"nominal_mm": None, **told}, readings=readings, travel=travel))


def free_ring(told: Asked, field: str) -> Ring | None:
    """The ring that is told, by its size or as read; None where not all of it is. Raises DomainError `invalid`."""
    if told.get("size"):
        with engine_errors(f"{field}.size"):
            return ring_called(told["size"])
    sizes = ranges(told)
    if not sizes.get("id_mm") or not sizes.get("section_mm"):
        return None
    return Ring(sizes["id_mm"], sizes["section_mm"])


def service_of(asked: Asked) -> Service:
    """What a seal is made of and meets."""
    told = ranges(asked)
    return Service(
        compound=told.get("compound"),
        fluid=told.get("fluid"),
        hottest_c=told.get("temperature_c"),
        coldest_c=told.get("coldest_c"),
        pressure_mpa=pressure_from(told.get("pressure_mpa"), told.get("pressure_bar")),
        hardness_shore_a=told.get("hardness_shore_a"),
        backup_rings=bool(told.get("backup_rings")),
    )


def band_told(asked: Asked, energiser: str) -> Band:
    """The band that is told; `energiser` is the path of its ring. Raises DomainError `invalid`."""
    told = {name: value for name, value in ranges(asked).items() if value is not None and name in BAND_SIZES}
    return Band(**told, energiser=free_ring(asked.get("energiser") or {}, energiser))


def readings_of(told: Iterable[Asked]) -> list[DiameterReading]:
    """Checked readings of a diameter as the engine takes them."""
    return [DiameterReading(um_to_mm(one["depth_mm"]), one["angle_deg"], ranges(one)["diameter_mm"]) for one in told]

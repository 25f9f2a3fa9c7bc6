"""The valve that a request of the stack question describes: every size reaches the engine under its own name.

No outside source is needed: no figure is computed here.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from compat.asking.requests import made, passed
from compat.engineering.units import Range
from compat.engineering.valves import Place
from compat.questions.stack.request import Stack
from compat.questions.told_valves import PLACES

# Diameters in the order in which they must lie, inside out.
SIDE = ("hub_mm", "seat_mm", "ports_inner_mm", "ports_outer_mm", "land_outer_mm", "other_side_feed_inner_mm")


def size(mm: float) -> dict[str, float]:
    told = ranged(mm)
    return {"min": told.low, "max": told.high, "nominal": told.nominal}


def ranged(mm: float) -> Range:
    return Range(round(mm - 0.2, 3), round(mm + 0.2, 3), round(mm + 0.1, 3))


def side(first: float) -> dict[str, Any]:
    return {**{name: size(first + n) for n, name in enumerate(SIDE)}, "seat_height_mm": size(first / 10), **OPEN}


OPEN = {"open_fraction": 0.6}
ASKED: dict[str, Any] = {
    "stacks": {"compression": [{"od_mm": 34, "thickness_mm": 0.2, "quantity": 1}]},
    "shaft_mm": size(12.0),
    "body_bore_mm": size(46.0),
    "piston_height_mm": size(13.0),
    "base_plates": {
        "compression": {"height_mm": size(4.0), "contact_diameter_mm": size(27.0)},
        "rebound": {"height_mm": size(5.0), "contact_diameter_mm": size(28.0)},
    },
    "washers": [{"name": place, "height_mm": size(n), "place": place} for n, place in enumerate(PLACES, start=1)],
    "sides": {"compression": side(30.0), "rebound": side(31.0)},
}


def test_every_size_of_a_valve_reaches_the_engine_under_its_own_name() -> None:
    valve = made(Stack, passed(Stack, ASKED)).described()
    assert (valve.shaft_mm, valve.body_bore_mm, valve.piston_height_mm) == (ranged(12.0), ranged(46.0), ranged(13.0))
    for name, height, contact in (("compression", 4.0, 27.0), ("rebound", 5.0, 28.0)):
        plate = valve.plate(name)
        assert (plate.height_mm, plate.contact_diameter_mm) == (ranged(height), ranged(contact))
    assert [(one.name, one.place) for one in valve.spacings] == [(one, Place(one)) for one in PLACES]
    assert [one.height_mm for one in valve.spacings] == [ranged(n) for n in (1.0, 2.0, 3.0)]
    for told, first in zip(valve.sides, (30.0, 31.0), strict=True):
        sizes = {one.name: getattr(told, one.name) for one in fields(told) if one.name != "name"}
        expected = {name: ranged(first + n) for n, name in enumerate(SIDE)}
        assert sizes == {**expected, "seat_height_mm": ranged(first / 10), **OPEN}

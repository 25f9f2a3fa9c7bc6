"""Builders for what tests need on the shelf. Stock comes through the ledger's own services, never past them."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from datetime import date
from typing import Any

from inventory.catalogue.models import Part, Unit
from inventory.catalogue.services import create_part
from inventory.common.transactions import use_case
from inventory.holds.models import Purpose
from inventory.holds.requests import Wanted
from inventory.holds.services import Locked, make_hold
from inventory.people.actors import Actor
from inventory.stock.ledger import Cause
from inventory.stock.models import Balance, Condition, Drawer
from inventory.stock.services import NewLot, drawer_called, take_in
from tests import people

MONDAY = date(2030, 3, 4)
_numbers = itertools.count(1)


def shim(
    od_mm: float = 34,
    thickness_mm: float = 0.15,
    bore_mm: float = 12,
    *,
    number: str = "",
    form: str = "round",
) -> Part:
    """A shim part; its number says its sizes unless one is given."""
    number = number or f"SH-{od_mm:g}-{thickness_mm:g}-{bore_mm:g}-{next(_numbers)}"
    sizes = {"od_mm": od_mm, "thickness_mm": thickness_mm, "bore_mm": bore_mm, "form": form}
    return part("shim", number, sizes)


def nut(thread: str = "M12x1.25", *, height_mm: float = 10, number: str = "", **sizes: Any) -> Part:
    """A nut part, with what a label and a drawing say of it."""
    known = {"height_mm": height_mm, "chamfer_mm": 0.6, "tolerance_class": "6H", "property_class": "10"}
    if thread.startswith("M"):
        sizes = known | sizes
    return part("nut", number or f"NU-{next(_numbers)}", {"thread": thread, "height_mm": height_mm, **sizes})


def washer(
    outer_mm: float = 24, inner_mm: float = 12, height_mm: float = 2.5, *, number: str = "", **sizes: Any
) -> Part:
    """A washer part, or with `role` a base plate or sleeve."""
    measures = {"outer_mm": outer_mm, "inner_mm": inner_mm, "height_mm": height_mm, **sizes}
    return part("washer", number or f"WA-{next(_numbers)}", measures)


def piston(outer_mm: float = 46, bore_mm: float = 12, height_mm: float = 12, *, number: str = "") -> Part:
    """A piston part."""
    sizes = {"outer_mm": outer_mm, "bore_mm": bore_mm, "height_mm": height_mm}
    return part("piston", number or f"PI-{next(_numbers)}", sizes)


def oring(ring_id_mm: float = 37.69, section_mm: float = 3.53, *, number: str = "", **sizes: Any) -> Part:
    """An O-ring part; `size` is its dash number, if it has one."""
    measures = {"ring_id_mm": ring_id_mm, "section_mm": section_mm, **sizes}
    return part("oring", number or f"OR-{next(_numbers)}", measures)


def band(
    for_bore_mm: float = 46, width_mm: float = 9.8, band_thickness_mm: float = 1.5, *, number: str = "", **sizes: Any
) -> Part:
    """A band part."""
    measures = {"for_bore_mm": for_bore_mm, "width_mm": width_mm, "band_thickness_mm": band_thickness_mm, **sizes}
    return part("band", number or f"BA-{next(_numbers)}", measures)


def seal_head(shaft_mm: float = 12, body_mm: float = 46, height_mm: float = 25, *, number: str = "") -> Part:
    """A seal head part."""
    sizes = {"shaft_mm": shaft_mm, "body_mm": body_mm, "height_mm": height_mm}
    return part("seal_head", number or f"HE-{next(_numbers)}", sizes)


def bush(inner_mm: float = 12, outer_mm: float = 14, length_mm: float = 10, *, number: str = "", **sizes: Any) -> Part:
    """A bush part."""
    measures = {"inner_mm": inner_mm, "outer_mm": outer_mm, "length_mm": length_mm, **sizes}
    return part("bush", number or f"BU-{next(_numbers)}", measures)


def fluid(use: str = "damper_oil", *, number: str = "", unit: str = Unit.MILLILITRE, **sizes: Any) -> Part:
    """A fluid part, counted in millilitres unless grams are said."""
    return part("fluid", number or f"FL-{next(_numbers)}", {"use": use, **sizes}, unit=unit)


def part(kind: str, number: str, sizes: dict[str, Any], *, unit: str = Unit.PIECE) -> Part:
    """A part of any kind, by the outside names of its sizes."""
    return use_case(lambda: create_part(number=number, kind=kind, name=f"{kind} {number}", sizes=sizes, unit=unit))


def drawer(code: str = "A-01") -> Drawer:
    """The drawer of that code, made when it is new."""
    return use_case(lambda: drawer_called(code))


def stocked(
    part: Part,
    quantity: int,
    *,
    lot: str = "",
    drawer: str = "A-01",
    received_on: date = MONDAY,
    condition: Condition = Condition.NEW,
    cure_date: str = "",
    readings_um: Sequence[int] = (),
    actor: Actor | None = None,
) -> Balance:
    """A new lot of the part in a drawer, taken in by the clerk unless somebody else is named."""

    def work() -> Balance:
        new = NewLot(
            part=part,
            drawer=drawer_called(drawer),
            quantity=quantity,
            received_on=received_on,
            number=lot or f"LOT-{next(_numbers)}",
            condition=condition,
            cure_date=cure_date,
            readings_um=readings_um,
        )
        return take_in(new=new, actor=actor or people.clerk(), reason="delivery", cause=Cause("delivery", "1"))

    return use_case(work)


def held(
    *lines: Wanted, actor: Actor | None = None, purpose: Purpose = Purpose.WEB, minutes: int | None = None
) -> Locked:
    """A hold of the storefront, or of somebody else."""
    owner = actor or people.storefront()
    return use_case(lambda: make_hold(lines=lines, purpose=purpose, actor=owner, minutes=minutes))

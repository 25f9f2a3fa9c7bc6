"""Putting things on the shelf and finding where they lie. Callers open the transaction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from inventory.catalogue.models import Part, Supplier
from inventory.common import clock, locks
from inventory.common.errors import DomainError, invalid
from inventory.common.quantities import MOST_PIECES, mm_text
from inventory.common.transactions import require_transaction
from inventory.people.actors import Actor
from inventory.stock import cure_dates, sizes
from inventory.stock.ledger import Cause, Entry, post
from inventory.stock.models import Balance, Condition, Drawer, Lot, Reading, Site

MAIN_SITE = "main"


@dataclass(frozen=True, slots=True)
class NewLot:
    """Pieces of one part as they arrive. Readings are thicknesses in whole micrometres."""

    part: Part
    drawer: Drawer
    quantity: int
    received_on: date
    number: str
    condition: Condition = Condition.NEW
    supplier: Supplier | None = None
    source: str = ""
    cure_date: str = ""
    readings_um: Sequence[int] = field(default=())
    unit_cost_minor: int | None = None
    currency: str = ""


def drawer_called(code: str) -> Drawer:
    """The drawer of that code, made at the main site if it is new. Raises DomainError `part_retired` when retired."""
    require_transaction()
    found = Drawer.objects.filter(code=code).first()
    if found is None:
        site, _ = Site.objects.get_or_create(code=MAIN_SITE, defaults={"name": "Main"})
        found = Drawer.objects.create(site=site, code=code)
    if found.retired_at is not None:
        raise DomainError("part_retired", what="Drawer", which=code)
    return found


def take_in(*, new: NewLot, actor: Actor, reason: str, cause: Cause) -> Balance:
    """A new lot in its drawer, with its readings and its first movement.

    Raises DomainError: `invalid` for a quantity outside 1..a million, `conflict` for a lot number in use,
    `invalid` for a cure date that is no quarter, `part_retired`, and what refuse_other_size() raises.
    """
    require_transaction()
    if not 1 <= new.quantity <= MOST_PIECES:
        raise invalid("quantity", f"must be a whole number from 1 to {MOST_PIECES}")
    cure_date = cure_date_of(new.cure_date)
    # Locked, so that nobody retires the one or the other, or changes the part's sizes, until the lot is there.
    part = locks.take_one(Part.objects.filter(pk=new.part.pk))
    drawer = locks.take_one(Drawer.objects.filter(pk=new.drawer.pk))
    if part is None or part.retired_at is not None:
        raise DomainError("part_retired", what="Part", which=new.part.number)
    if drawer is None or drawer.retired_at is not None:
        raise DomainError("part_retired", what="Drawer", which=new.drawer.code)
    if Lot.objects.filter(number=new.number).exists():
        raise DomainError("conflict", what="Lot", which=new.number)
    refuse_other_size(part=new.part, readings_um=new.readings_um)
    lot = Lot.objects.create(
        number=new.number,
        part=new.part,
        condition=new.condition,
        supplier=new.supplier,
        source=new.source,
        received_on=new.received_on,
        cure_date=cure_date,
    )
    add_readings(lot=lot, readings_um=new.readings_um, actor=actor)
    balance = Balance.objects.create(lot=lot, drawer=new.drawer)
    entry = Entry(balance, on_hand=new.quantity, unit_cost_minor=new.unit_cost_minor, currency=new.currency)
    post(entries=[entry], actor=actor, reason=reason, cause=cause)
    return balance


def add_readings(*, lot: Lot, readings_um: Sequence[int], actor: Actor) -> None:
    """Keeps thickness readings of a lot, each a row of its own."""
    at = clock.now()
    Reading.objects.bulk_create(
        Reading(lot=lot, thickness_um=um, taken_at=at, person=actor.person, client=actor.client) for um in readings_um
    )


def cure_date_of(text: str) -> str:
    """A cure date as it is kept. Raises DomainError `invalid`."""
    try:
        return cure_dates.read(text)
    except ValueError as error:
        raise invalid("cure_date", str(error)) from None


def refuse_other_size(*, part: Part, readings_um: Sequence[int]) -> None:
    """Stops a bag of one thickness from going into the drawer of another, and a bag of two thicknesses from going in.

    Raises DomainError `other_nominal_size` when the mean of the readings lies nearer to another nominal thickness of
    the same kind than to the part's own, `mixed_sizes` when single readings belong to different ones; see
    sizes.misfit().
    """
    nominal = sizes.thickness_um(part)
    if nominal is None or not readings_um:
        return
    found = sizes.misfit(nominal_um=nominal, readings_um=readings_um, known_um=sizes.nominal_thicknesses())
    if found is None:
        return
    if found.code == "mixed_sizes":
        raise DomainError(
            "mixed_sizes",
            readings_mm=sizes.readings_text(readings_um),
            sizes_mm=sizes.readings_text(found.sizes_um),
            nominal_mm=mm_text(nominal),
        )
    mean, nearest = mm_text(round(sizes.mean_um(readings_um))), mm_text(found.nearest_um)
    raise DomainError("other_nominal_size", mean_mm=mean, nearest_mm=nearest, nominal_mm=mm_text(nominal))

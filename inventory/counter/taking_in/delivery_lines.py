"""A line of a delivery as a page takes it: the part that was meant, its usual drawer, what a refusal offers instead."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.conf import settings

from inventory.catalogue.models import Part
from inventory.common.errors import DomainError
from inventory.common.quantities import mm_text, um_from_mm
from inventory.counter.taking_in.delivery_forms import TakeLine
from inventory.counter.taking_in.part_choosing import in_words, of_other_thickness
from inventory.holds import amounts
from inventory.people.actors import Actor
from inventory.receiving.models import Delivery, DeliveryLine
from inventory.receiving.selectors import usual_drawer
from inventory.receiving.services import add_delivery_line, next_lot_number
from inventory.stock.models import Condition
from inventory.stock.services import NewLot, drawer_called


@dataclass(frozen=True, slots=True)
class Known:
    """What the shelf knows of the part that was scanned: shown beside it, so that a wrong scan is seen."""

    part: Part
    words: str
    drawer: str
    on_hand: int


@dataclass(frozen=True, slots=True)
class OtherSize:
    """A bag that was measured as another size than its part: what it is, the text by which its part was
    meant, and the parts of that size."""

    mean: str
    nominal: str
    nearest: str
    readings: int
    part: str = ""
    parts: list[Known] = field(default_factory=list)

    @property
    def far(self) -> bool:
        """Whether the mean belongs to no size at all: a slip of the unit, or of the gauge."""
        return self.nearest == self.nominal


def known(part: Part, condition: str) -> Known:
    """The part in words, where it lies and how many there are of it in that condition; four queries."""
    its = amounts.of_parts([part])
    condition = condition if condition in Condition.values else Condition.NEW
    return Known(
        part=part,
        words=in_words([part])[0].words,
        drawer=usual_drawer(part=part, condition=condition),
        on_hand=its[part.pk, condition].on_hand,
    )


def take_line(*, delivery: Delivery, asked: Mapping[str, Any], actor: Actor) -> DeliveryLine:
    """The line as TakeLine cleaned it, onto the shelf. Callers open the transaction; raises what the services raise."""
    number = asked["lot"] or next_lot_number(delivery)
    new = NewLot(
        part=asked["part"],
        drawer=drawer_called(asked["drawer"]),
        quantity=asked["quantity"],
        received_on=delivery.received_on,
        number=number,
        condition=Condition(asked["condition"]),
        supplier=delivery.supplier,
        source=asked["source"],
        cure_date=asked["cure_date"],
        readings_um=asked["readings"],
        unit_cost_minor=asked["unit_cost"],
        currency=settings.CURRENCY if asked["unit_cost"] is not None else "",
    )
    return add_delivery_line(delivery=delivery, new=new, actor=actor)


def refuse(form: TakeLine, error: DomainError) -> OtherSize | None:
    """Shows a refusal of the shelf beside its field; what was measured where the bag is of another size."""
    data = error.data
    form.renew()
    if error.code == "other_nominal_size":
        other = other_size(form, data)
        form.add_error("readings", _measured(other))
        return other
    if error.code == "mixed_sizes":
        form.add_error("readings", f"More than one size is in this bag: {error.text}")
    elif error.code == "conflict" and data.get("what") == "Lot":
        form.add_error("lot", f"Lot {data['which']} is there already; every lot has a number of its own.")
    elif error.code == "part_retired":
        name = "drawer" if data.get("what") == "Drawer" else "part"
        form.add_error(name, f"{data['which']} is retired; choose another.")
    else:
        form.refuse(error)
    return None


def other_size(form: TakeLine, data: Mapping[str, Any]) -> OtherSize:
    """What was measured, and what it can be taken in as, where that lies; a fixed number of queries a candidate."""
    part, nearest = form.cleaned_data["part"], str(data["nearest_mm"])
    far = nearest == data["nominal_mm"]
    like = [] if far else of_other_thickness(part, um_from_mm(nearest))
    parts = [known(one.part, form.cleaned_data["condition"]) for one in like]
    count = len(form.cleaned_data["readings"])
    return OtherSize(
        str(data["mean_mm"]), str(data["nominal_mm"]), nearest, count, str(form.data.get("part", "")).strip(), parts
    )


def told(line: DeliveryLine) -> str:
    """What was taken in, in one sentence."""
    lot = line.lot
    return f"Taken in: {line.quantity} of {lot.part.number} into drawer {line.balance.drawer.code}, lot {lot.number}."


def mean_text(mean_um: float) -> str:
    """The mean of a sample in millimetres, to a tenth of a micrometre where it has one."""
    return mm_text(round(mean_um)) if mean_um == round(mean_um) else f"{mean_um / 1000:.4f}"


def _measured(other: OtherSize) -> str:
    if other.far:
        return f"The mean is {other.mean} mm, far from {other.nominal} mm. Is the unit right, does the gauge read zero?"
    return f"The mean is {other.mean} mm: that is {other.nearest} mm, not {other.nominal} mm."

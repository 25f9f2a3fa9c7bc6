"""POST /deliveries, /deliveries/{id}/lines, /counts."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.conf import settings
from django.db.models import Count, Window
from django.db.models.functions import RowNumber
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.shapes import CountShape, DeliveryLinePage, DeliveryPage, DeliveryShape
from inventory.api.views import LISTING, Resource, id_from
from inventory.common import clock
from inventory.common.errors import DomainError, invalid
from inventory.documents.fields import Millimetres, Name, Quantity, Strict
from inventory.people.roles import DESK, STAFF
from inventory.receiving.models import Delivery, DeliveryLine
from inventory.receiving.services import Counted, add_delivery_line, count_balance, start_delivery
from inventory.stock.models import Condition
from inventory.stock.selectors import part_called
from inventory.stock.services import NewLot, drawer_called

CURE_DATE = re.compile(r"\d{4}-Q[1-4]")
MOST_READINGS = 200
MOST_LINES = 200  # of a delivery in one answer; all of them at its own address


class MoneyIn(Strict):
    """An amount in whole minor units."""

    minor = Quantity(least=0, most=10**12)
    currency = Name(max_length=3, pattern="[A-Z]{3}")


class NewDelivery(Strict):
    """A delivery that arrived without an order."""

    number = Name()
    supplier = Name(max_length=80, required=False, default="", allow_blank=True)
    note = Name(max_length=200, required=False, default="", allow_blank=True)
    received_on = serializers.DateField(required=False)

    def validate_received_on(self, received_on: date) -> date:
        # A lot's date decides what is given out first, and nothing corrects it later.
        if not clock.can_have_come_in(received_on, clock.today()):
            raise serializers.ValidationError(f"must lie between {clock.FIRST_DAY.year} and today", code="out_of_range")
        return received_on


class NewLine(Strict):
    """One lot of a delivery, into one drawer."""

    part = Name()
    lot = Name()
    drawer = Name(max_length=20)
    quantity = Quantity()
    condition = serializers.ChoiceField(choices=Condition.choices, default=Condition.NEW)
    cure_date = Name(max_length=7, required=False, default="", allow_blank=True)
    readings_mm = serializers.ListField(child=Millimetres(most_um=20_000), required=False, max_length=MOST_READINGS)
    unit_cost = MoneyIn(required=False)

    def get_fields(self) -> dict[str, Any]:
        # `source` is also an attribute of every field, so it cannot be declared as one.
        return {**super().get_fields(), "source": Name(max_length=120, required=False, default="", allow_blank=True)}


class NewCount(Strict):
    """What was counted of a lot in a drawer."""

    lot = Name()
    drawer = Name(max_length=20)
    counted = Quantity(least=0)


class Deliveries(Resource):
    """Deliveries, newest last."""

    allowed = {"GET": STAFF, "POST": DESK}
    parameters = LISTING

    @extend_schema(responses=DeliveryPage)
    def get(self, request: Request) -> Response:
        return self.listing(Delivery.objects.select_related("supplier"), show)

    @extend_schema(request=NewDelivery, responses={201: DeliveryShape})
    def post(self, request: Request) -> Response:
        asked = self.read(NewDelivery)
        received_on = asked.pop("received_on", None)
        return self.command(
            lambda: (201, show([start_delivery(**asked, received_on=received_on, actor=self.actor)])[0])
        )


class OneDelivery(Resource):
    """One delivery with its lines."""

    allowed = {"GET": STAFF}

    @extend_schema(responses=DeliveryShape)
    def get(self, request: Request, delivery: str) -> Response:
        return Response(show([_delivery(delivery)])[0])


class DeliveryLines(Resource):
    """Lines of a delivery, the newest last."""

    allowed = {"GET": STAFF, "POST": DESK}
    parameters = LISTING

    @extend_schema(responses=DeliveryLinePage)
    def get(self, request: Request, delivery: str) -> Response:
        rows = DeliveryLine.objects.select_related("lot__part", "balance__drawer")
        return self.listing(rows.filter(delivery=_delivery(delivery)), lambda page: [_show_line(one) for one in page])

    @extend_schema(request=NewLine, responses={201: DeliveryShape})
    def post(self, request: Request, delivery: str) -> Response:
        asked = self.read(NewLine)
        if asked["cure_date"] and not CURE_DATE.fullmatch(asked["cure_date"]):
            raise invalid("cure_date", 'must be a quarter, as in "2026-Q3"')

        def work() -> tuple[int, Any]:
            found = _delivery(delivery)
            add_delivery_line(delivery=found, new=_lot(asked, found), actor=self.actor)
            return 201, show([found])[0]

        return self.command(work)


class Counts(Resource):
    """Counts: always accepted, since what is there is true."""

    allowed = {"POST": DESK}

    @extend_schema(request=NewCount, responses={201: CountShape})
    def post(self, request: Request) -> Response:
        asked = self.read(NewCount)
        return self.command(lambda: (201, show_count(count_balance(**asked, actor=self.actor))))


def show(rows: Sequence[Delivery]) -> list[dict[str, Any]]:
    """Deliveries with their last lines, and how many they have; one query for all lines."""
    newest = Window(RowNumber(), partition_by="delivery_id", order_by="-pk")
    related = DeliveryLine.objects.select_related("lot__part", "balance__drawer").filter(delivery__in=rows)
    counted = related.annotate(newest=newest, in_all=Window(Count("pk"), partition_by="delivery_id"))
    lines: dict[int, list[Any]] = {}
    for line in counted.filter(newest__lte=MOST_LINES).order_by("pk"):
        lines.setdefault(line.delivery_id, []).append(line)
    return [
        {
            "id": str(row.pk),
            "number": row.number,
            "supplier": row.supplier.name if row.supplier else None,
            "note": row.note,
            "received_on": row.received_on.isoformat(),
            "lines": [_show_line(line) for line in lines.get(row.pk, [])],
            "lines_in_all": lines[row.pk][0].in_all if row.pk in lines else 0,
        }
        for row in rows
    ]


def _show_line(line: DeliveryLine) -> dict[str, Any]:
    return {
        "part": line.lot.part.number,
        "lot": line.lot.number,
        "drawer": line.balance.drawer.code,
        "quantity": line.quantity,
    }


def show_count(done: Counted) -> dict[str, Any]:
    """A count with the holds that lost pieces by it."""
    count = done.count
    return {
        "id": str(count.pk),
        "lot": count.balance.lot.number,
        "drawer": count.balance.drawer.code,
        "counted": count.counted,
        "expected": count.expected,
        "difference": count.counted - count.expected,
        "shortened": [{"hold": str(one.hold.pk), "by": one.by, "owner": one.owner} for one in done.shortened],
    }


def _delivery(delivery: str) -> Delivery:
    found = Delivery.objects.select_related("supplier").filter(pk=id_from(delivery, "delivery")).first()
    if found is None:
        raise DomainError("not_found", what="delivery", which=delivery)
    return found


def _lot(asked: dict[str, Any], delivery: Delivery) -> NewLot:
    cost = asked.get("unit_cost")
    return NewLot(
        part=part_called(asked["part"]),
        drawer=drawer_called(asked["drawer"]),
        quantity=asked["quantity"],
        received_on=delivery.received_on,
        number=asked["lot"],
        condition=Condition(asked["condition"]),
        supplier=delivery.supplier,
        source=asked["source"],
        cure_date=asked["cure_date"],
        readings_um=asked.get("readings_mm", ()),
        unit_cost_minor=cost["minor"] if cost else None,
        currency=cost["currency"] if cost else settings.CURRENCY,
    )

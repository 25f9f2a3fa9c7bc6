"""GET /parts, /lots, /drawers, /movements, /changes; POST /parts."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.db.models import Q, QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import showing
from inventory.api.part_filters import PARAMETERS, filtered
from inventory.api.shapes import ChangesShape, DrawerPage, LotPage, LotShape, MovementPage, PartPage, PartShape
from inventory.api.views import EVERYONE, LISTING, Resource, cursor_text, cursor_values, id_from
from inventory.catalogue.kinds.registry import KINDS, Length, Word
from inventory.catalogue.models import Part, Unit
from inventory.catalogue.services import create_part
from inventory.common.errors import DomainError
from inventory.documents.fields import Name, Strict
from inventory.holds.requests import is_shop
from inventory.people.roles import DESK, STAFF
from inventory.stock import following
from inventory.stock.browsing import lot_called
from inventory.stock.models import Condition, Drawer, Lot, Movement
from inventory.stock.selectors import part_called
from inventory.stock.withdrawing import LONGEST_REASON, withdraw_readings


class NewPart(Strict):
    """A part to make; `sizes` by the names of its kind."""

    number = Name()
    kind = serializers.ChoiceField(choices=sorted(KINDS))
    name = Name(max_length=120)
    unit = serializers.ChoiceField(choices=Unit.choices, default=Unit.PIECE)
    sizes = serializers.DictField()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        kind, sizes = KINDS[attrs["kind"]], attrs["sizes"]
        known = {size.name: size for size in kind.sizes}
        errors: dict[str, list[str]] = {}
        for name, value in sizes.items():
            if name not in known:
                errors[name[:60]] = [f"is not a size of the kind {kind.code}; the sizes are: {', '.join(known)}"]
            elif isinstance(known[name], Length) and (isinstance(value, bool) or not isinstance(value, int | float)):
                errors[name] = ["must be a number in millimetres, without a unit"]
            elif isinstance(known[name], Word) and not isinstance(value, str):
                errors[name] = ["must be a text"]
        errors.update({name: [text] for name, text in kind.clean(sizes)[1].items() if name not in errors})
        wrong: dict[str, Any] = {"sizes": errors} if errors else {}
        if refused := kind.unit_error(attrs["unit"]):
            wrong["unit"] = [refused]
        if wrong:
            raise serializers.ValidationError(wrong)
        return attrs


class Parts(Resource):
    """The catalogue with what is on the shelf."""

    allowed = {"GET": EVERYONE, "POST": DESK}
    parameters = (*LISTING, *PARAMETERS)

    @extend_schema(responses=PartPage)
    def get(self, request: Request) -> Response:
        show = partial(showing.parts, to_shop=is_shop(self.actor))
        return self.listing(filtered(Part.objects.all(), request.query_params), show)

    @extend_schema(request=NewPart, responses={201: PartShape})
    def post(self, request: Request) -> Response:
        asked = self.read(NewPart)
        return self.command(lambda: (201, showing.parts([create_part(**asked)])[0]))


class OnePart(Resource):
    """One part."""

    allowed = {"GET": EVERYONE}

    @extend_schema(responses=PartShape)
    def get(self, request: Request, number: str) -> Response:
        return Response(showing.parts([part_called(number)], to_shop=is_shop(self.actor))[0])


class Lots(Resource):
    """Lots with where they lie and what their readings say."""

    allowed = {"GET": STAFF}
    parameters = (*LISTING, "part", "drawer", "condition", "number")

    @extend_schema(responses=LotPage)
    def get(self, request: Request) -> Response:
        asked = request.query_params
        rows: QuerySet[Lot] = Lot.objects.select_related("part", "supplier")
        if "part" in asked:
            rows = rows.filter(part__number=asked["part"])
        if "number" in asked:
            rows = rows.filter(number=asked["number"])
        if "drawer" in asked:
            rows = rows.filter(balances__drawer__code=asked["drawer"], balances__on_hand__gt=0)
        if "condition" in asked:
            rows = rows.filter(condition=_one_of("condition", asked["condition"], list(Condition)))
        return self.listing(rows, showing.lots)


class Withdrawal(Strict):
    """Why a reading does not count."""

    reason = Name(max_length=LONGEST_REASON)


class WithdrawReading(Resource):
    """Withdraws a reading of a lot: it stays readable, and nothing computed counts it any more."""

    allowed = {"POST": DESK}

    @extend_schema(request=Withdrawal, responses=LotShape)
    def post(self, request: Request, lot: str, reading: str) -> Response:
        reason = self.read(Withdrawal)["reason"]

        def work() -> tuple[int, Any]:
            key = id_from(reading, "reading", of=f"lot {lot[:40]}")
            withdraw_readings(lot=lot, readings=[key], reason=reason, actor=self.actor)
            return 200, showing.lots([lot_called(lot)])[0]

        return self.command(work)


class Drawers(Resource):
    """Drawers with what lies in them."""

    allowed = {"GET": STAFF}
    parameters = (*LISTING, "code")

    @extend_schema(responses=DrawerPage)
    def get(self, request: Request) -> Response:
        rows: QuerySet[Drawer] = Drawer.objects.select_related("site")
        if "code" in request.query_params:
            rows = rows.filter(code=request.query_params["code"])
        return self.listing(rows, showing.drawers)


class Movements(Resource):
    """The ledger, oldest first."""

    allowed = {"GET": STAFF}
    parameters = (*LISTING, "lot", "part", "drawer", "cause_kind", "cause_id")

    @extend_schema(responses=MovementPage)
    def get(self, request: Request) -> Response:
        asked = request.query_params
        paths = {
            "lot": "balance__lot__number",
            "part": "balance__lot__part__number",
            "drawer": "balance__drawer__code",
            "cause_kind": "cause_kind",
            "cause_id": "cause_id",
        }
        wanted = Q(**{path: asked[name] for name, path in paths.items() if name in asked})
        rows = Movement.objects.select_related("balance__lot__part", "balance__drawer", "person", "client")
        return self.listing(rows.filter(wanted), showing.movements)


class Changes(Resource):
    """Changes of availability, without gaps: ask again with the `next` of the answer before."""

    allowed = {"GET": EVERYONE}
    parameters = ("after", "page_size")

    @extend_schema(responses=ChangesShape)
    def get(self, request: Request) -> Response:
        # Looked for before the rows: a restore that is told of in between is seen by the next request.
        place = _place(request.query_params.get("after"))
        rows = following.changes_behind(place, self.page_size())
        return Response({"results": showing.changes(rows), "next": _cursor(place.behind(rows))})


def _place(after: str | None) -> following.Place:
    """The place that a cursor of the feed names. Raises DomainError `shelf_restored`, with a cursor to go on with."""
    if not after:
        return following.beginning()
    # Earlier versions gave cursors of two numbers.
    place = following.still_there(following.Place.of(cursor_values(after, 2, 4)))
    if place is None:
        raise DomainError("shelf_restored", next=_cursor(following.end()))
    return place


def _cursor(place: following.Place) -> str:
    return cursor_text(*place.values())


def _one_of(name: str, value: str, known: list[Any]) -> str:
    if value not in known:
        raise DomainError("invalid", errors=[showing.wrong_choice(name, value, known)])
    return value

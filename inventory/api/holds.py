"""POST /holds, GET /holds, /holds/{id}, and confirm, extend, release."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.shapes import HoldPage, HoldShape
from inventory.api.showing import time
from inventory.api.views import EVERYONE, LISTING, Resource, id_from
from inventory.common import clock
from inventory.common.errors import DomainError, invalid
from inventory.documents.fields import Flag, Name, Quantity, Strict
from inventory.holds.models import Hold, HoldLine, State
from inventory.holds.requests import MOST_LINES, MOST_MINUTES, Wanted
from inventory.holds.selectors import in_state, lines_of, visible_holds
from inventory.holds.services import Locked, extend_hold, release_hold
from inventory.jobs.models import JobHold
from inventory.jobs.services import confirm, hold_for
from inventory.people.roles import Role
from inventory.stock.models import Balance


class WantedLine(Strict):
    """Some pieces of a part (new stock only) or of a lot."""

    part = Name(required=False, default="", allow_blank=True)
    lot = Name(required=False, default="", allow_blank=True)
    quantity = Quantity()


class NewHold(Strict):
    """All lines or none; for a job, or lapsing after some minutes."""

    lines = WantedLine(many=True)
    minutes = Quantity(required=False, most=MOST_MINUTES)
    job = Name(required=False)


class Extension(Strict):
    """How long from now; the shop's default when left out."""

    minutes = Quantity(required=False, most=MOST_MINUTES)


class Nothing(Strict):
    """A body without fields."""


class Releasing(Strict):
    """Whether it is known that the buyer has paid; needed of the workshop where that is so."""

    paid = Flag(required=False, default=False)


class Holds(Resource):
    """Holds; a storefront makes and sees its own."""

    allowed = {"GET": EVERYONE, "POST": EVERYONE}
    parameters = (*LISTING, "state", "job")

    @extend_schema(responses=HoldPage)
    def get(self, request: Request) -> Response:
        rows = visible_holds(self.actor)
        state, job = request.query_params.get("state"), request.query_params.get("job")
        if state is not None:
            if state not in list(State):
                raise invalid("state", f"is one of {', '.join(State)}")
            rows = in_state(rows, state)
        if job is not None:
            rows = rows.filter(jobhold__job__number=job)
        return self.listing(rows, show)

    @extend_schema(request=NewHold, responses={201: HoldShape})
    def post(self, request: Request) -> Response:
        asked = self.read(NewHold)
        if not 1 <= len(asked["lines"]) <= MOST_LINES:
            raise invalid("lines", f"must have 1 to {MOST_LINES} lines")
        if "job" in asked and self.actor.role == Role.STOREFRONT:
            raise invalid("job", "a storefront holds for web orders; leave job out")
        lines = [Wanted(**line) for line in asked["lines"]]
        job = asked.get("job")
        return self.command(
            lambda: (
                201,
                show_locked(hold_for(lines=lines, job=job, minutes=asked.get("minutes"), actor=self.actor), job),
            )
        )


class OneHold(Resource):
    """One hold."""

    allowed = {"GET": EVERYONE}

    @extend_schema(responses=HoldShape)
    def get(self, request: Request, hold: str) -> Response:
        found = visible_holds(self.actor).filter(pk=id_from(hold, "hold")).first()
        if found is None:
            raise DomainError("not_found", what="hold", which=hold)
        return Response(show([found])[0])


class HoldCommand(Resource):
    """A step in the life of a hold."""

    allowed = {"POST": EVERYONE}

    def carry_out(self, work: Callable[[], Locked]) -> Response:
        def command() -> tuple[int, Any]:
            return 200, show([work().hold])[0]

        return self.command(command)


class Confirm(HoldCommand):
    """Stops the lapse: the buyer has paid."""

    @extend_schema(request=Nothing, responses=HoldShape)
    def post(self, request: Request, hold: str) -> Response:
        self.read(Nothing)
        return self.carry_out(lambda: confirm(hold=id_from(hold, "hold"), actor=self.actor))


class Extend(HoldCommand):
    """Moves the end of an open web hold."""

    @extend_schema(request=Extension, responses=HoldShape)
    def post(self, request: Request, hold: str) -> Response:
        minutes = self.read(Extension).get("minutes")
        return self.carry_out(lambda: extend_hold(hold=id_from(hold, "hold"), minutes=minutes, actor=self.actor))


class Release(HoldCommand):
    """Gives everything back."""

    @extend_schema(request=Releasing, responses=HoldShape)
    def post(self, request: Request, hold: str) -> Response:
        paid = self.read(Releasing)["paid"]
        return self.carry_out(lambda: release_hold(hold=id_from(hold, "hold"), actor=self.actor, paid=paid))


def show(holds: Sequence[Hold]) -> list[dict[str, Any]]:
    """Holds with their lines and jobs; two queries for all of them."""
    ids = [hold.pk for hold in holds]
    lines: dict[int, list[HoldLine]] = {}
    for line in lines_of(ids):
        lines.setdefault(line.hold_id, []).append(line)
    jobs = dict(JobHold.objects.filter(hold__in=ids).values_list("hold_id", "job__number"))
    return [_show(hold, [(line, line.balance) for line in lines.get(hold.pk, [])], jobs.get(hold.pk)) for hold in holds]


def show_locked(locked: Locked, job: str | None) -> dict[str, Any]:
    """A hold just made, from what is in memory: no further query."""
    by_id = locked.by_id
    return _show(locked.hold, [(line, by_id[line.balance_id]) for line in locked.lines], job)


def _show(hold: Hold, lines: Sequence[tuple[HoldLine, Balance]], job: str | None) -> dict[str, Any]:
    state = State.LAPSED if hold.is_over(clock.now()) else hold.state
    return {
        "id": str(hold.pk),
        "state": str(state),
        "purpose": str(hold.purpose),
        "job": job,
        "created_at": time(hold.created_at),
        "expires_at": time(hold.expires_at),
        "lines": [
            {
                "part": balance.lot.part.number,
                "lot": balance.lot.number,
                "drawer": balance.drawer.code,
                "condition": str(balance.lot.condition),
                "quantity": line.quantity,
                "asked": line.asked,
            }
            for line, balance in lines
        ],
    }

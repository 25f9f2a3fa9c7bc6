"""The life of a hold: make, extend, confirm, release. Each locks all balances of the hold, then the hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Q

from inventory.common import clock, locks
from inventory.common.errors import DomainError, invalid
from inventory.holds import requests
from inventory.holds.claims import claim, lock_balances
from inventory.holds.models import HOLDING, Hold, HoldLine, Purpose, State
from inventory.holds.requests import Wanted
from inventory.people.actors import Actor
from inventory.people.roles import Role
from inventory.stock import giving
from inventory.stock.ledger import Cause, Entry, post
from inventory.stock.models import Balance


@dataclass(frozen=True, slots=True)
class Locked:
    """A hold with its lines and all their balances, under lock."""

    hold: Hold
    lines: list[HoldLine]
    balances: list[Balance]

    @property
    def by_id(self) -> dict[int, Balance]:
        return {balance.pk: balance for balance in self.balances}


def make_hold(*, lines: Sequence[Wanted], purpose: Purpose, actor: Actor, minutes: int | None = None) -> Locked:
    """A new hold of all lines or of none. A web hold lapses after `minutes` (a setting's default); a job's does not.

    Raises DomainError `invalid`, `not_given_out` or `out_of_stock`.
    """
    requests.check(lines)
    if purpose == Purpose.JOB and minutes is not None:
        raise invalid("minutes", "a hold for a job does not lapse; leave minutes out")
    now = clock.now()
    expires_at = None if purpose == Purpose.JOB else now + timedelta(minutes=lapse_minutes(minutes))
    balances = lock_balances(rows=requests.rows_for(lines, actor=actor), actor=actor)
    wanted = requests.serve(lines, balances, actor=actor)
    hold = Hold.objects.create(
        purpose=purpose, person=actor.person, client=actor.client, created_at=now, expires_at=expires_at
    )
    return Locked(hold, claim(wanted=wanted, balances=balances, hold=hold, actor=actor), balances)


def extend_hold(*, hold: int, minutes: int | None, actor: Actor) -> Locked:
    """Moves an open web hold's end to `minutes` from now.

    A storefront's extensions never lead past a cap from the moment the hold was made, or one key could keep a part from
    everybody by asking again and again. Raises DomainError `hold_lapsed` when it is over already, `hold_too_long` where
    it stands until the cap already, `not_given_out` where a lot may not go any more.
    """
    locked = _lock(hold, actor)
    if locked.hold.state == State.LAPSED:
        raise DomainError("hold_lapsed", hold=str(hold))
    _need(locked.hold, locked.hold.state == State.OPEN and locked.hold.purpose == Purpose.WEB, "an open web hold")
    _refuse_what_may_not_go(locked)
    until = clock.now() + timedelta(minutes=lapse_minutes(minutes))
    if requests.is_shop(actor):
        until = _within_cap(locked.hold, until)
    locked.hold.expires_at = until
    locked.hold.save(update_fields=["expires_at"])
    return locked


def confirm_hold(*, hold: int, actor: Actor) -> Locked:
    """Stops the lapse: the buyer has paid. A lapsed hold takes its pieces again, or is DomainError `hold_lapsed`.

    Raises DomainError `not_given_out` where a lot may not go any more; what is confirmed already stays so.
    """
    locked = _lock(hold, actor)
    if locked.hold.state in {State.LAPSED, State.OPEN}:
        _refuse_what_may_not_go(locked)
    if locked.hold.state == State.LAPSED:
        _take_again(locked, actor)
    else:
        _need(locked.hold, locked.hold.state in {State.OPEN, State.CONFIRMED}, "open")
    locked.hold.state = State.CONFIRMED
    locked.hold.expires_at = None
    locked.hold.save(update_fields=["state", "expires_at"])
    return locked


def release_hold(*, hold: int, actor: Actor, paid: bool = False) -> Locked:
    """Gives everything back; releasing what holds nothing changes nothing.

    Raises DomainError `hold_paid` where the buyer has paid, somebody of the workshop releases, and `paid` does not say
    that this is known. A storefront knows its own buyers.
    """
    locked = _lock(hold, actor)
    if locked.hold.state not in HOLDING:
        return locked
    if locked.hold.is_paid and not paid and not requests.is_shop(actor):
        raise DomainError("hold_paid", hold=str(hold))
    post_held(locked, actor=actor, reason="released")
    locked.hold.state = State.RELEASED
    locked.hold.save(update_fields=["state"])
    return locked


def lapse_minutes(minutes: int | None) -> int:
    """How long a web hold stands: the default, or what was asked, up to the shop's cap."""
    most = settings.HOLD_MINUTES_MOST
    if minutes is None:
        return min(settings.HOLD_MINUTES, most)
    if not 1 <= minutes <= most:
        raise invalid("minutes", f"must be a whole number from 1 to {most}")
    return minutes


def _within_cap(hold: Hold, until: datetime) -> datetime:
    """The end that a storefront asked for, or the cap. Raises DomainError `hold_too_long` where the cap is reached."""
    cap = hold.created_at + timedelta(minutes=settings.HOLD_MINUTES_TOTAL)
    if until > cap and hold.expires_at is not None and hold.expires_at >= cap:
        raise DomainError("hold_too_long", hold=str(hold.pk), until=clock.iso(cap))
    return min(until, cap)


def post_held(locked: Locked, *, actor: Actor, reason: str) -> None:
    """Gives back what every line holds, keeping the lines as a record of what was asked."""
    entries = [Entry(locked.by_id[line.balance_id], held=-line.quantity) for line in locked.lines if line.quantity]
    post(entries=entries, actor=actor, reason=reason, cause=Cause("hold", str(locked.hold.pk)))
    HoldLine.objects.filter(hold=locked.hold).update(quantity=0)
    for line in locked.lines:
        line.quantity = 0


def _lock(hold: int, actor: Actor) -> Locked:
    """All balances of the hold, then the hold, locked; lapsed by then if its time is over.

    A storefront finds only its own. Raises DomainError `not_found`.
    """
    mine = Q(client=actor.client) if actor.role == Role.STOREFRONT else Q()
    missing = DomainError("not_found", what="hold", which=str(hold))
    if not Hold.objects.filter(mine, pk=hold).exists():
        raise missing
    balances = lock_balances(rows=Q(pk__in=HoldLine.objects.filter(hold=hold).values("balance_id")), actor=actor)
    found = locks.take_one(Hold.objects.filter(pk=hold))
    if found is None:
        raise missing
    lines = list(HoldLine.objects.filter(hold=hold).order_by("pk"))
    locked = Locked(found, lines, balances)
    # All its lines gave back when their balances were locked; or its time came only after that, and it holds still;
    # or another transaction gave some of its lines back meanwhile, and then it gives back the rest: all or none.
    over = found.is_over(clock.now()) and not any(line.quantity for line in lines)
    part = found.state == State.OPEN and any(line.quantity < line.asked for line in lines)
    if over or part:
        if any(line.quantity for line in lines):
            post_held(locked, actor=actor, reason="hold lapsed")
        found.state = State.LAPSED
        found.save(update_fields=["state"])
    return locked


def _need(hold: Hold, holds: bool, needed: str) -> None:
    if not holds:
        raise DomainError("hold_state", hold=str(hold.pk), state=hold.state, needed=needed)


def _refuse_what_may_not_go(locked: Locked) -> None:
    """Raises DomainError `not_given_out` for each line whose lot may not go to the hold's owner, whoever asks.

    A part or lot that was retired while pieces of it were set aside is no reason: they were good then and are now.
    """
    client = locked.hold.client
    to_shop = client is not None and client.role == Role.STOREFRONT
    taking = locked.hold.state == State.LAPSED
    standing, by_id = giving.standing_of(balance.lot_id for balance in locked.balances), locked.by_id
    errors = []
    for place, line in enumerate(locked.lines):
        lot = standing[by_id[line.balance_id].lot_id]
        if code := (lot if taking else replace(lot, retired_at=None)).refusal(to_shop=to_shop):
            errors.append(requests.refused(place, code, f"lot {lot.lot}"))
    if errors:
        raise DomainError("not_given_out", errors=errors)


def _take_again(locked: Locked, actor: Actor) -> None:
    by_id = locked.by_id
    if any(line.asked > by_id[line.balance_id].free for line in locked.lines):
        raise DomainError("hold_lapsed", hold=str(locked.hold.pk))
    entries = [Entry(by_id[line.balance_id], held=line.asked) for line in locked.lines]
    post(entries=entries, actor=actor, reason="held again", cause=Cause("hold", str(locked.hold.pk)))
    for line in locked.lines:
        line.quantity = line.asked
    HoldLine.objects.bulk_update(locked.lines, ["quantity"])

"""Claiming free pieces under lock: lapsed holds give theirs back first, then all is taken or nothing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.common import clock, locks
from inventory.common.transactions import require_transaction
from inventory.holds.models import HOLDING, Hold, HoldLine, State, over_at
from inventory.people.actors import Actor
from inventory.stock.ledger import Cause, Entry, post
from inventory.stock.models import Balance


def lock_balances(*, rows: Q, actor: Actor) -> list[Balance]:
    """The balances that match, locked, with what lapsed holds on them kept given back first. Sorted by id."""
    require_transaction()
    now = clock.now()
    # Asked for in the same statement: nearly always there is nothing to give back, and no hold lapses backwards while
    # the rows are waited for.
    lapsing = Exists(lapsed_lines(now).filter(balance=OuterRef("pk"), quantity__gt=0))
    found = Balance.objects.select_related("lot__part", "drawer").filter(rows).annotate(lapsing=lapsing)
    balances: list[Balance] = [*locks.take(found)]
    if any(getattr(balance, "lapsing", False) for balance in balances):
        give_back_lapsed(balances=balances, actor=actor, now=now)
    return balances


def give_back_lapsed(*, balances: Sequence[Balance], actor: Actor, now: datetime) -> int:
    """Expires the lapsed holds that touch the locked balances; returns how many lines gave pieces back.

    A lapsed hold may also have lines on balances that are not locked here. Its state must not change then, or those
    lines would never be given back; so only the lines on locked balances are emptied, and the hold is marked lapsed
    once none of its lines holds anything.
    """
    by_id = {balance.pk: balance for balance in balances}
    lines = list(lapsed_lines(now).filter(balance__in=by_id, quantity__gt=0).order_by("balance_id", "pk"))
    if not lines:
        return 0
    by_hold: dict[int, list[HoldLine]] = defaultdict(list)
    for line in lines:
        by_hold[line.hold_id].append(line)
    for hold_id, its_lines in sorted(by_hold.items()):
        post(
            entries=[Entry(by_id[line.balance_id], held=-line.quantity) for line in its_lines],
            actor=actor,
            reason="hold lapsed",
            cause=Cause("hold", str(hold_id)),
            at=now,
        )
    HoldLine.objects.filter(pk__in=[line.pk for line in lines]).update(quantity=0)
    still = HoldLine.objects.filter(hold__in=by_hold, quantity__gt=0).values("hold_id")
    Hold.objects.filter(pk__in=by_hold).exclude(pk__in=still).update(state=State.LAPSED)
    return len(lines)


def lapsed_lines(now: datetime) -> QuerySet[HoldLine]:
    """Lines of holds whose time is over and whose pieces were not given back yet."""
    return HoldLine.objects.filter(over_at(now, "hold__"))


def claim(*, wanted: Mapping[int, int], balances: Sequence[Balance], hold: Hold, actor: Actor) -> list[HoldLine]:
    """Sets pieces of locked balances aside for the hold; the caller has checked that they are free."""
    by_id = {balance.pk: balance for balance in balances}
    pairs = sorted(wanted.items())
    lines = HoldLine.objects.bulk_create(
        HoldLine(hold=hold, balance=by_id[key], quantity=quantity, asked=quantity) for key, quantity in pairs
    )
    post(
        entries=[Entry(by_id[key], held=quantity) for key, quantity in pairs],
        actor=actor,
        reason="held",
        cause=Cause("hold", str(hold.pk)),
    )
    return lines


def holding_lines(balance_ids: Iterable[int]) -> QuerySet[HoldLine]:
    """Lines that hold pieces of these balances now."""
    return HoldLine.objects.filter(hold__state__in=HOLDING, balance__in=list(balance_ids), quantity__gt=0)

"""How much of a part one storefront may keep without having paid: a share that the lead sets, of what may be given out.

What is confirmed is sold and counts no more; what lapsed or was given back neither. One piece may always be held.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from django.conf import settings
from django.db.models import Sum

from inventory.common import clock
from inventory.holds.models import LAPSING, HoldLine
from inventory.people.actors import Actor
from inventory.people.roles import Role
from inventory.stock.models import Balance

WHOLE = 100


def is_limited(actor: Actor) -> bool:
    """Whether the actor may keep only a share."""
    return actor.role == Role.STOREFRONT and settings.STOREFRONT_SHARE_PERCENT < WHOLE


def room(balances: Sequence[Balance], *, actor: Actor) -> dict[int, int]:
    """{part id: pieces that the actor may still keep unpaid}, of locked balances that may be given out; empty where
    nothing limits the actor. One query then."""
    if not is_limited(actor):
        return {}
    lines = HoldLine.objects.filter(
        balance__in=[one.pk for one in balances],
        hold__client=actor.client,
        hold__state__in=LAPSING,
        hold__expires_at__gt=clock.now(),
    )
    mine = dict(lines.values_list("balance_id").annotate(Sum("quantity")).order_by())
    there: dict[int, int] = defaultdict(int)
    kept: dict[int, int] = defaultdict(int)
    for balance in balances:
        there[balance.lot.part_id] += balance.on_hand
        kept[balance.lot.part_id] += mine.get(balance.pk, 0)
    percent = settings.STOREFRONT_SHARE_PERCENT
    return {part: max(0, max(1, pieces * percent // WHOLE) - kept[part]) for part, pieces in there.items()}

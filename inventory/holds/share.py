"""How much of a part one storefront may keep without having paid: a share that the lead sets, of what may be given out.

All that one keeps of a part counts together, in however many holds and lots, those too that may go no more. What is
confirmed is sold: it counts neither as kept nor as what there is to share. What lapsed or was given back is not kept.
One piece may always be held.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from django.conf import settings
from django.db.models import Q, Sum

from inventory.common import clock
from inventory.holds.models import HOLDING, LAPSING, HoldLine, Purpose
from inventory.people.actors import Actor
from inventory.people.roles import Role
from inventory.stock.models import Balance

WHOLE = 100


def is_limited(actor: Actor) -> bool:
    """Whether the actor may keep only a share."""
    return actor.role == Role.STOREFRONT and settings.STOREFRONT_SHARE_PERCENT < WHOLE


def room(balances: Sequence[Balance], *, may_go: Mapping[int, bool], actor: Actor) -> dict[int, int]:
    """{part id: pieces that the actor may still keep unpaid}, of locked balances of which `may_go` says by id whether
    they may be given out; empty where nothing limits the actor. One query then."""
    if not is_limited(actor):
        return {}
    unpaid = Q(hold__client=actor.client, hold__state__in=LAPSING, hold__expires_at__gt=clock.now())
    sold = Q(hold__purpose=Purpose.WEB, hold__state__in=HOLDING, hold__expires_at=None)
    lines = HoldLine.objects.filter(unpaid | sold, balance__in=[one.pk for one in balances], quantity__gt=0)
    sums = lines.values_list("balance_id").order_by()
    rows = sums.annotate(mine=Sum("quantity", filter=unpaid, default=0), paid=Sum("quantity", filter=sold, default=0))
    found = {balance: (mine, paid) for balance, mine, paid in rows}
    there: dict[int, int] = defaultdict(int)
    kept: dict[int, int] = defaultdict(int)
    for balance in balances:
        mine, paid = found.get(balance.pk, (0, 0))
        kept[balance.lot.part_id] += mine
        if may_go[balance.pk]:
            there[balance.lot.part_id] += balance.on_hand - paid
    percent = settings.STOREFRONT_SHARE_PERCENT
    return {part: max(0, max(1, pieces * percent // WHOLE) - kept[part]) for part, pieces in there.items()}

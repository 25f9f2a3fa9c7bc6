"""A compound that is told of a part on the shelf: what may be given out changes, and the feed of changes says so.

Nothing moves. The free pieces are set aside and given back in one posting, so that the feed, which is the ledger, names
the part. What was set aside counted as nobody's, since its age could not be told; what is given back counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.db.models import Min

from inventory.catalogue.models import Part
from inventory.people.actors import Actor
from inventory.stock.ledger import Cause, Entry, post
from inventory.stock.models import Balance, Movement

CAUSE = "compound"


def tell(balances: Sequence[Balance], *, part: Part, actor: Actor) -> None:
    """Posts the telling of a part's compound on its locked balances with free pieces."""
    free = [(balance, balance.free) for balance in balances]
    sides = [Entry(balance, held=pieces) for balance, pieces in free]
    sides += [Entry(balance, held=-pieces) for balance, pieces in free]
    post(entries=sides, actor=actor, reason="told what it is made of", cause=Cause(CAUSE, str(part.pk)))


def told_from(balances: Iterable[int]) -> dict[int, int]:
    """{balance id: the movement up to which nobody knew the compound}, of those of which it was told later. One
    query."""
    rows = Movement.objects.filter(balance__in=set(balances), cause_kind=CAUSE).values_list("balance_id")
    return dict(rows.annotate(Min("pk")).order_by())

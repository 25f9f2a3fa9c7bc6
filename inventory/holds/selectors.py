"""What is free, exact as of now: pieces of holds whose time is over count as free although nobody swept them yet."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import connection
from django.db.models import Q, QuerySet, Sum

from inventory.common import clock
from inventory.holds.claims import lapsed_lines
from inventory.holds.models import HOLDING, Hold, HoldLine, State, over_at
from inventory.people.actors import Actor
from inventory.people.roles import Role
from inventory.stock.models import Balance


def lapsed_by_balance(balances: Iterable[int] | None = None) -> dict[int, int]:
    """{balance id: pieces that lapsed holds still keep}; one query. Of all balances unless some are named."""
    lines = lapsed_lines(clock.now()).filter(quantity__gt=0)
    if balances is not None:
        lines = lines.filter(balance__in=list(balances))
    return dict(lines.values_list("balance_id").annotate(Sum("quantity")))


def lapsed_by_part(parts: Iterable[int]) -> dict[tuple[int, str, str], int]:
    """{(part id, condition, cure date): pieces that lapsed holds still keep}; one query."""
    lines = lapsed_lines(clock.now()).filter(quantity__gt=0, balance__lot__part__in=list(parts))
    lots = lines.filter(balance__lot__retired_at=None)
    rows = lots.values_list("balance__lot__part_id", "balance__lot__condition", "balance__lot__cure_date")
    return {
        (part, condition, cured): pieces for part, condition, cured, pieces in rows.annotate(Sum("quantity")).order_by()
    }


def visible_holds(actor: Actor) -> QuerySet[Hold]:
    """The holds this actor may see: a storefront only its own."""
    mine = Q(client=actor.client) if actor.role == Role.STOREFRONT else Q()
    return Hold.objects.filter(mine)


def in_state(rows: QuerySet[Hold], state: str) -> QuerySet[Hold]:
    """The holds in a state as of now: one whose time has passed is lapsed although nobody has swept it yet."""
    over = over_at(clock.now())
    if state == State.LAPSED:
        return rows.filter(Q(state=state) | over)
    return rows.filter(state=state).exclude(over)


def short_holds(most: int) -> list[Hold]:
    """Holds that lost pieces to a count, newest first; one query."""
    rows = in_state(Hold.objects.select_related("person", "client"), State.SHORT)
    return list(rows.order_by("-pk")[:most])


def lines_of(holds: Iterable[int]) -> QuerySet[HoldLine]:
    """Lines with all that is shown of them, in one query."""
    return (
        HoldLine.objects.filter(hold__in=list(holds))
        .select_related("balance__lot__part", "balance__drawer")
        .order_by("hold_id", "pk")
    )


def held_faults() -> list[str]:
    """A sentence for each balance whose held pieces are not those of its holds; empty when the shelf is true."""
    return [f"balance {key} has {held} held, its holds say {said}" for key, held, said in otherwise_held()]


def otherwise_held() -> list[tuple[int, int, int]]:
    """(balance id, held, what its holds say) of each balance where the two differ, sorted."""
    query = f"""
        SELECT balance.id, balance.held, COALESCE(SUM(line.quantity), 0) FROM {Balance._meta.db_table} AS balance
        LEFT JOIN ({_holding_sql()}) AS line ON line.balance_id = balance.id
        GROUP BY balance.id, balance.held HAVING balance.held <> COALESCE(SUM(line.quantity), 0)
    """
    with connection.cursor() as cursor:
        cursor.execute(query, [state.value for state in HOLDING])
        rows = cursor.fetchall()
    return sorted((row[0], row[1], int(row[2])) for row in rows)


def _holding_sql() -> str:
    marks = ", ".join(["%s"] * len(HOLDING))
    return (
        f"SELECT line.balance_id, line.quantity FROM {HoldLine._meta.db_table} AS line"
        f" JOIN {Hold._meta.db_table} AS hold ON hold.id = line.hold_id WHERE hold.state IN ({marks})"
    )

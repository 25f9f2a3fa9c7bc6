"""Counts that are asked about once before they are kept: what lies there is true, but a slip is not what lies there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inventory.common.errors import DomainError, FieldError
from inventory.stock.models import Balance, Movement

MOVED = "moved_meanwhile"
DOUBTFUL = "doubtful"


def ask_again(
    *, balances: Sequence[Balance], counted: Mapping[str, int], read: Mapping[str, int], sure: Mapping[str, int]
) -> None:
    """Raises DomainError `count_again` with each lot whose count should be looked at once more; two queries.

    `balances` are locked, `counted` is {lot number: pieces}, `read` {lot number: version when the form was opened},
    `sure` {lot number: pieces that somebody was asked about before}.
    """
    moved = _moved(balances, read)
    errors = []
    for balance in balances:
        lot = balance.lot.number
        pieces = counted[lot]
        if balance.pk in moved:
            errors.append(FieldError(lot, MOVED, moved[balance.pk]))
        elif sure.get(lot) != pieces and (words := doubtful(balance, pieces)):
            errors.append(FieldError(lot, DOUBTFUL, words))
    if errors:
        raise DomainError("count_again", errors=errors)


def doubtful(balance: Balance, counted: int) -> str:
    """Why a count is asked about, empty where it is not: it breaks a hold, or is off by more than half of what the
    ledger has. The words do not tell what the ledger has: a count is blind."""
    if counted < balance.held:
        return "is less than is held. Were the held pieces counted too? Send it again to keep it and shorten the hold."
    if abs(counted - balance.on_hand) * 2 <= balance.on_hand:
        return ""
    if not counted:
        return "is 0: nothing is left. Send it again if the place is empty."
    return "is far from what the ledger has. Count once more; send it again if it is right."


def _moved(balances: Sequence[Balance], read: Mapping[str, int]) -> dict[int, str]:
    """{balance id: words} of those whose pieces moved since they were read. A hold alone moves no piece."""
    since = {one.pk: read[one.lot.number] for one in balances if read.get(one.lot.number, one.version) < one.version}
    rows = Movement.objects.filter(balance__in=since).exclude(on_hand_delta=0).select_related("person", "client")
    return {
        row.balance_id: f"has changed in the ledger since you opened this: {row.person or row.client}, "
        f"{row.reason}. Look, and send again what lies there."
        for row in rows.order_by("balance_id", "version")
        if row.version > since[row.balance_id]
    }

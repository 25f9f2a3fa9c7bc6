"""Taking deliveries in, and counting. Callers open the transaction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from inventory.catalogue.models import Supplier
from inventory.common import clock, locks
from inventory.common.errors import DomainError, FieldError, invalid
from inventory.common.quantities import MOST_PIECES
from inventory.common.transactions import require_transaction
from inventory.holds.claims import lock_balances
from inventory.holds.shortening import Shortened, shorten_to
from inventory.people.actors import Actor
from inventory.receiving.doubting import ask_again
from inventory.receiving.models import Count, Delivery, DeliveryLine
from inventory.stock.amending import use_for_pieces
from inventory.stock.ledger import Cause, Entry, post
from inventory.stock.models import Balance, Lot
from inventory.stock.services import NewLot, take_in

LONGEST_LOT = 40


def start_delivery(*, number: str, supplier: str, note: str, received_on: date | None, actor: Actor) -> Delivery:
    """A delivery without an order, empty so far. Raises DomainError `conflict` for a number in use."""
    require_transaction()
    if Delivery.objects.filter(number=number).exists():
        raise DomainError("conflict", what="Delivery", which=number)
    return Delivery.objects.create(
        number=number,
        supplier=Supplier.objects.get_or_create(name=supplier)[0] if supplier else None,
        note=note,
        received_on=received_on or clock.today(),
        person=actor.person,
        client=actor.client,
        created_at=clock.now(),
    )


def next_lot_number(delivery: Delivery) -> str:
    """A lot number that is free, made from the delivery's number and its next line's.

    Locks the delivery until the transaction ends: of two people who take in at once the second numbers after the
    first. Raises DomainError `invalid` where the delivery's number leaves no room for it.
    """
    require_transaction()
    locks.take_one(Delivery.objects.filter(pk=delivery.pk))
    place = DeliveryLine.objects.filter(delivery=delivery).count() + 1
    while Lot.objects.filter(number=f"{delivery.number}-{place}").exists():
        place += 1
    number = f"{delivery.number}-{place}"
    if len(number) > LONGEST_LOT:
        raise invalid("lot", "is needed: the delivery's own number is too long to make one of it")
    return number


def add_delivery_line(*, delivery: Delivery, new: NewLot, actor: Actor) -> DeliveryLine:
    """One lot of the delivery, onto the shelf. Raises what take_in() raises."""
    balance = take_in(new=new, actor=actor, reason="delivery", cause=Cause("delivery", str(delivery.pk)))
    return DeliveryLine.objects.create(delivery=delivery, lot=balance.lot, balance=balance, quantity=new.quantity)


@dataclass(frozen=True, slots=True)
class Counted:
    """A count as kept, and the holds that lost pieces by it."""

    count: Count
    shortened: list[Shortened]


def count_balance(*, lot: str, drawer: str, counted: int, actor: Actor) -> Counted:
    """Makes the ledger say what was counted of a lot in a drawer. Always accepted: what is there is true.

    Where less is there than is held, holds are shortened in the same transaction. Raises DomainError `not_found` when
    the lot has never lain in that drawer, `invalid` for a count outside 0..a million.
    """
    require_transaction()
    _refuse_uncountable({"counted": counted})
    balances: list[Balance] = lock_balances(rows=Q(lot__number=lot, drawer__code=drawer), actor=actor)
    if not balances:
        raise DomainError("not_found", what=f"lot {lot} in drawer", which=drawer)
    _use_drawer_of(balances[:1], any_found=counted > 0, actor=actor)
    return _count(balances[0], counted, actor)


def count_drawer(
    *,
    drawer: str,
    counted: Mapping[str, int],
    actor: Actor,
    read: Mapping[str, int] | None = None,
    sure: Mapping[str, int] | None = None,
) -> list[Counted]:
    """Makes the ledger say what was counted in a drawer, {lot number: pieces}; lots left out are not counted.

    All balances are locked by one call, and all counts are kept or none. `read` is {lot number: version} of the
    balances as the counter's form had them: where pieces moved since, or a count is doubtful (see doubtful()), it is
    asked about once, unless the lot is in `sure` with the same number. Without `read` nothing is asked. A drawer out
    of use in which pieces are found is in use again.

    Raises what count_balance() raises, with the lot's number as the field, `invalid` when no lot was counted, and
    `count_again` with every lot that is asked about.
    """
    require_transaction()
    if not counted:
        raise invalid("counted", "needs at least one lot; leave a lot empty only where it was not counted")
    _refuse_uncountable(counted)
    balances = lock_balances(rows=Q(lot__number__in=list(counted), drawer__code=drawer), actor=actor)
    strange = set(counted) - {balance.lot.number for balance in balances}
    if strange:
        raise DomainError("not_found", what=f"lot {min(strange)} in drawer", which=drawer)
    if read is not None:
        ask_again(balances=balances, counted=counted, read=read, sure=sure or {})
    _use_drawer_of(balances, any_found=any(counted.values()), actor=actor)
    return [_count(balance, counted[balance.lot.number], actor) for balance in balances]


def _use_drawer_of(balances: Sequence[Balance], *, any_found: bool, actor: Actor) -> None:
    """Locks the drawer that is counted, so that nobody retires it meanwhile; what holds pieces is in use."""
    if any_found:
        use_for_pieces(drawer=balances[0].drawer_id, actor=actor)


def _refuse_uncountable(counted: Mapping[str, int]) -> None:
    """Raises DomainError `invalid` with every field whose number nobody can have counted."""
    text = f"must be a whole number from 0 to {MOST_PIECES}"
    wrong = [FieldError(field, "invalid", text) for field, pieces in counted.items() if not 0 <= pieces <= MOST_PIECES]
    if wrong:
        raise DomainError("invalid", errors=wrong)


def _count(balance: Balance, counted: int, actor: Actor) -> Counted:
    """Keeps the count of a locked balance and makes the ledger agree with it."""
    expected = balance.on_hand
    count = Count.objects.create(
        balance=balance,
        counted=counted,
        expected=expected,
        person=actor.person,
        client=actor.client,
        at=clock.now(),
    )
    shortened = shorten_to(balance=balance, held=min(balance.held, counted), actor=actor, reason="counted short")
    if counted != expected:
        entry = Entry(balance, on_hand=counted - expected)
        post(entries=[entry], actor=actor, reason="count", cause=Cause("count", str(count.pk)))
    return Counted(count, shortened)

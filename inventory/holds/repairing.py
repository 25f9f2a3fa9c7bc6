"""Finding what is wrong with the shelf, and mending each fault by the mechanism that should have kept it right.

| fault | what mends it |
|---|---|
| a guard is missing or says something else | it is put in place |
| the feed's counter is behind the movements | it is moved past them |
| a balance is not what its last movement says | it is made to say it, with a correction of its lot |
| held is not what the holds say | a movement of the difference; where too little is there, holds become short |
| a movement that the feed passed over | two movements that come to nothing, which the feed shows |
| movements that do not follow from one another | nothing here: history was changed; the last good copy is put back |
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from django.db import connection
from django.db.models import Sum

from inventory.common import guarding, locks
from inventory.common.transactions import use_case
from inventory.holds.claims import holding_lines
from inventory.holds.selectors import otherwise_held
from inventory.holds.shortening import shorten_lines
from inventory.people.actors import Actor
from inventory.stock import feed, repairing, replay
from inventory.stock.ledger import Cause, Entry, post
from inventory.stock.models import Balance

# The name of a run, which its movements have as their cause.
KIND = "repair"


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong, what mends it, and the work; a fault without work is mended by no command."""

    text: str
    mend: str
    work: Callable[[str, Cause, Actor], None] | None = None


def faults() -> list[Fault]:
    """Everything that is wrong with the shelf, in the order in which it is mended."""
    found = [
        Fault(f"guard {name} {what}", "is put in place", lambda reason, cause, actor: guarding.install())
        for name, what in guarding.wrong().items()
    ]
    if behind := feed.behind():
        found.append(Fault(behind, "the counter is moved past it", lambda reason, cause, actor: feed.catch_up()))
    broken = replay.broken_histories()
    found += [
        Fault(
            f"the movements of balance {key} do not follow from one another: history was changed past the guards",
            "no command mends that: put back the last good copy, and count what moved since",
        )
        for key in sorted(broken)
    ]
    untrue = [key for key in replay.untrue_balances() if key not in broken]
    places = Balance.objects.select_related("lot", "drawer").in_bulk([*untrue, *(row[0] for row in otherwise_held())])
    for key in untrue:
        on_hand, held, _ = repairing.should_say(places[key])
        balance = places[key]
        said = f"says {balance.on_hand} on hand, {balance.held} held"
        text = f"{_name(balance)} {said}; its last movement says {on_hand} and {held}"
        mend = f"the balance is made to say it; count drawer {balance.drawer.code} afterwards"
        found.append(Fault(text, mend, partial(_mend_balance, key)))
    for key, held, pieces in otherwise_held():
        if key in broken or key in untrue:
            # Known only once the balance says what it should.
            continue
        balance = places[key]
        mend = f"a movement of {min(pieces, balance.on_hand) - held:+} held"
        if pieces > balance.on_hand:
            mend += f", and holds become short by {pieces - balance.on_hand}"
        found.append(Fault(f"{_name(balance)} has {held} held, its holds say {pieces}", mend, partial(_mend_held, key)))
    if connection.vendor == "postgresql":
        found += [
            Fault(
                f"a movement of balance {key} has no place in the feed of changes",
                "two movements that come to nothing tell the feed",
                partial(_announce, key),
            )
            for key in _unseen()
            if key not in broken
        ]
    return found


def mend(*, reason: str, actor: Actor, tell: Callable[[Fault], None]) -> list[Fault]:
    """Mends what can be mended, each balance in a transaction of its own; returns what is left.

    `tell` hears each fault when it is mended. What shows only after another fault is mended is mended too.
    """
    cause = Cause(KIND, uuid.uuid4().hex)
    left = faults()
    while any(fault.work for fault in left):
        before = [fault.text for fault in left]
        for fault in left:
            if fault.work is not None:
                fault.work(reason, cause, actor)
                tell(fault)
        left = faults()
        if [fault.text for fault in left] == before:
            break
    return left


def _name(balance: Balance) -> str:
    return f"balance {balance.pk} (lot {balance.lot.number} in drawer {balance.drawer.code})"


def _unseen() -> list[int]:
    with connection.cursor() as cursor:
        cursor.execute(repairing.UNSEEN)
        return [row[0] for row in cursor.fetchall()]


def _mend_balance(key: int, reason: str, cause: Cause, actor: Actor) -> None:
    use_case(lambda: repairing.mend_balance(key=key, reason=reason, actor=actor))


def _announce(key: int, reason: str, cause: Cause, actor: Actor) -> None:
    use_case(lambda: repairing.announce(key=key, reason=reason, cause=cause, actor=actor))


def _mend_held(key: int, reason: str, cause: Cause, actor: Actor) -> None:
    def work() -> None:
        (balance,) = locks.take(Balance.objects.filter(pk=key))
        said = holding_lines([key]).aggregate(pieces=Sum("quantity"))["pieces"] or 0
        target = min(said, balance.on_hand)
        if target != balance.held:
            post(entries=[Entry(balance, held=target - balance.held)], actor=actor, reason=reason, cause=cause)
        shorten_lines(balance=balance, by=said - target)

    use_case(work)

"""What the processes of a crowd do. Each function runs in a process of its own and gives its figures."""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.counter.taking_in.delivery_lines import take_line
from inventory.holds.expiry import sweep
from inventory.holds.models import Purpose
from inventory.holds.requests import Wanted
from inventory.holds.services import confirm_hold, make_hold, release_hold
from inventory.idempotency.services import Command, run_once
from inventory.people.actors import Actor
from inventory.receiving import services as receiving
from inventory.receiving.models import Delivery
from inventory.receiving.opening import loading
from inventory.receiving.services import count_balance
from inventory.stock import amending, services
from inventory.stock.amending import PartEdit
from inventory.stock.ledger import Cause
from inventory.stock.models import Drawer
from inventory.stock.selectors import part_called, sizes_of
from inventory.stock.services import NewLot, take_in
from tests import people


def hold(*lines: Wanted, actor: Actor, purpose: Purpose = Purpose.WEB) -> int:
    """A hold of its own transaction; gives its id."""
    return int(use_case(lambda: make_hold(lines=lines, purpose=purpose, actor=actor)).hold.pk)


def hold_until_empty(*, part: str) -> dict[str, Any]:
    """Holds one piece at a time until none is left."""
    actor, given = people.storefront(), 0
    while True:
        try:
            hold(Wanted(1, part=part), actor=actor)
        except DomainError as error:
            return {"given": given, "last": error.code}
        given += 1


def hold_and_release(*, lots: list[str], rounds: int) -> dict[str, Any]:
    """Holds a piece of each lot and gives it back, over and over."""
    actor = people.clerk()
    for _ in range(rounds):
        key = hold(*[Wanted(1, lot=lot) for lot in lots], actor=actor, purpose=Purpose.JOB)
        use_case(partial(release_hold, hold=key, actor=actor))
    return {"rounds": rounds}


def everything(*, seed: int, part: str, lots: list[str], rounds: int) -> dict[str, Any]:
    """Holds, confirms, releases, sweeps and counts in a random order of its own."""
    chance = random.Random(seed)
    clerk, shop = people.clerk(), people.storefront()
    mine: list[int] = []
    refused: dict[str, int] = {}
    for _ in range(rounds):
        step = chance.choice(["hold", "hold", "hold", "confirm", "release", "count", "sweep"])
        try:
            if step == "hold":
                first, second = chance.sample(lots, 2)
                lines = [Wanted(1, lot=first), Wanted(1, lot=second), Wanted(chance.randint(1, 3), part=part)]
                mine.append(hold(*lines, actor=shop))
            elif step == "sweep":
                sweep(actor=clerk)
            elif step == "count":
                lot, counted = chance.choice(lots), chance.randint(0, 20)
                use_case(partial(count_balance, lot=lot, drawer="A-01", counted=counted, actor=clerk))
            elif mine:
                does = confirm_hold if step == "confirm" else release_hold
                use_case(partial(does, hold=chance.choice(mine), actor=shop))
        except DomainError as error:
            refused[error.code] = refused.get(error.code, 0) + 1
    return {"refused": refused, "holds": len(mine)}


def take_in_lot(*, part: str, lot: str) -> dict[str, Any]:
    """Takes in one and the same lot, and says how that ended."""
    new = NewLot(
        part=part_called(part),
        drawer=Drawer.objects.get(code="A-01"),
        quantity=5,
        received_on=date(2030, 3, 4),
        number=lot,
    )
    cause = Cause("delivery", "1")
    try:
        use_case(lambda: take_in(new=new, actor=people.clerk(), reason="delivery", cause=cause))
    except DomainError as error:
        return {"ended": error.code}
    return {"ended": "taken in"}


def same_command(*, key: str, part: str, pause_s: float) -> dict[str, Any]:
    """Sends one and the same command: a hold of one piece, by work that takes a while."""
    actor = people.storefront()
    assert actor.client is not None
    command = Command(actor, "POST", "/api/v1/holds", key, "0" * 64)

    def work() -> tuple[int, Any]:
        made = make_hold(lines=[Wanted(1, part=part)], purpose=Purpose.WEB, actor=actor)
        time.sleep(pause_s)
        return 201, {"hold": made.hold.pk}

    outcome = run_once(command=command, work=work)
    return {"status": outcome.status, "body": outcome.body, "repeated": outcome.repeated}


# How long one stands who must be overtaken: where there are no locks until the other is done, which takes the time that
# the machine takes; where there are, the other waits for this one, and so this one goes on soon.
STANDS_S = 0.8 if os.environ.get("CROWD_LOCKING", "yes") else 120.0
COMES_S = 120.0


def gate(name: str) -> Path:
    """A file that tells another process of the same crowd that something has happened."""
    return Path(os.environ["CROWD_GATES"]) / name


def await_gate(name: str, seconds: float) -> bool:
    """Waits until another process has said so; gives whether it has."""
    end = time.monotonic() + seconds
    while not gate(name).exists() and time.monotonic() < end:
        time.sleep(0.005)
    return gate(name).exists()


def standing(module: Any, name: str) -> None:
    """Lets somebody else get in before a function begins: says that this one has looked, and stands."""
    does = getattr(module, name)

    def slowly(*args: Any, **words: Any) -> Any:
        gate("looked").touch()
        await_gate("done", STANDS_S)
        return does(*args, **words)

    setattr(module, name, slowly)


def meeting(module: Any, name: str, me: int, other: int) -> None:
    """Lets two get as far as a function together, once: each has read before either writes, where no lock keeps one
    from getting there."""
    does = getattr(module, name)

    def together(*args: Any, **words: Any) -> Any:
        setattr(module, name, does)
        gate(f"here-{me}").touch()
        await_gate(f"here-{other}", STANDS_S)
        return does(*args, **words)

    setattr(module, name, together)


def overtake(work: Callable[[], Any]) -> str:
    """Works as soon as the other has looked; gives the code of a refusal, or nothing."""
    assert await_gate("looked", COMES_S), "the other has not looked"
    try:
        use_case(work)
    except DomainError as error:
        return error.code
    finally:
        gate("done").touch()
    return ""


def take_in_against(*, edit: str, file: bool = False) -> dict[str, Any]:
    """Takes a lot in, standing once part and drawer were looked at; or then retires or resizes them.

    With `file` the lot comes in with an opening shelf.
    """
    clerk = people.clerk()
    if not edit and file:
        standing(loading, "_parts")
        rows = ["part,kind,name,od_mm,thickness_mm,bore_mm,lot,drawer,quantity", "S-1,shim,S,34,0.15,12,L-1,A-01,5"]
        content = "\n".join(rows).encode()
        loaded = loading.load_shelf(content=content, actor=clerk, progress=lambda step, done, total: None)
        return {"ended": "taken in" if loaded.lots else "faults"}
    if not edit:
        standing(services, "refuse_other_size")
        return take_in_lot(part="S-1", lot="L-1")
    part = part_called("S-1")
    sizes = {"od_mm": 36, "thickness_mm": 0.15, "bore_mm": 12, "form": "round"}
    said = PartEdit(part.name, retired=edit == "retire_part", sizes=sizes if edit == "resize_part" else None)
    read = amending.seen(amending.part_reads(part, sizes_of([part])[part.pk]))
    why = "tidying up"
    work: Callable[[], Any] = partial(amending.edit_part, number="S-1", edit=said, read=read, reason=why, actor=clerk)
    if edit == "retire_drawer":
        work = partial(amending.set_drawer_state, code="A-01", retired=True, reason=why, actor=clerk)
    return {"ended": overtake(work) or "edited"}


def take_lines(*, delivery: int, lines: int, me: int, other: int) -> dict[str, Any]:
    """Takes lines in with one delivery, as its page does, each in a transaction of its own; with the first it waits for
    the other."""
    clerk, found = people.clerk(), Delivery.objects.get(pk=delivery)
    meeting(receiving, "take_in", me, other)
    asked = {"drawer": "A-01", "quantity": 1, "lot": "", "condition": "new", "source": "", "cure_date": ""}
    asked |= {"readings": [], "unit_cost": None, "part": part_called("S-1")}
    refused = []
    for _ in range(lines):
        try:
            use_case(partial(take_line, delivery=found, asked=asked, actor=clerk))
        except DomainError as error:
            refused.append(error.code)
    return {"refused": refused}


def count_against(*, deed: str) -> dict[str, Any]:
    """Counts pieces in an empty drawer, standing before they are posted; or then takes it out of use."""
    clerk = people.clerk()
    if deed == "retire":
        retire = partial(amending.set_drawer_state, code="A-01", retired=True, reason="broken", actor=clerk)
        return {"ended": overtake(retire) or deed}
    standing(receiving, "_count")
    try:
        use_case(partial(count_balance, lot="L-1", drawer="A-01", counted=3, actor=clerk))
    except DomainError as error:
        return {"ended": error.code}
    return {"ended": deed}

"""The ledger as people read it: when, what happened, who, by how much, and what it came to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean

from django.db.models import QuerySet
from django.urls import reverse

from inventory.amendments.models import Amendment
from inventory.common.quantities import whole_number
from inventory.counter.browsing.owners import Owner, owners_of
from inventory.receiving.models import Delivery
from inventory.stock.browsing import Sample, Withdrawn
from inventory.stock.models import Movement
from inventory.stock.sizes import readings_text

PAGE_SIZE = 25
MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True, slots=True)
class Happened:
    """One line of a history. `links` are (words, address) that belong to it; movements alone have a result."""

    at: datetime
    words: str
    who: str
    change: str = ""
    result: str = ""
    links: tuple[tuple[str, str], ...] = ()
    reason: str = ""
    lot: str = ""
    drawer: str = ""


@dataclass(frozen=True, slots=True)
class History:
    """One page of a history, newest first."""

    rows: list[Happened]
    page: int
    pages: int

    @property
    def newer(self) -> int:
        return self.page - 1

    @property
    def older(self) -> int:
        return self.page + 1 if self.page < self.pages else 0


def history(
    movements: QuerySet[Movement],
    *,
    page: str,
    amendments: Sequence[Amendment] = (),
    samples: Sequence[Sample] = (),
) -> History:
    """A page of movements with the corrections and readings that came between them; at most four queries.

    `page` is what somebody asked for, from 1; anything else is the first or the last.
    """
    count = movements.count()
    pages = max(1, -(-count // PAGE_SIZE))
    number = min(max(whole_number(page, digits=8) or 1, 1), pages)
    start = (number - 1) * PAGE_SIZE
    # One row more than the page on the newer side says where it begins in time.
    rows = list(movements[max(start - 1, 0) : start + PAGE_SIZE])
    upper = rows.pop(0).at if start and rows else None
    lower = rows[-1].at if rows and number < pages else None
    others = [_amended(one) for one in amendments] + [_read(one) for one in samples]
    others += _withdrawn(samples)
    between = [one for one in others if (upper is None or one.at < upper) and (lower is None or one.at >= lower)]
    return History(sorted([*between, *in_words(rows)], key=lambda one: one.at, reverse=True), number, pages)


def in_words(movements: Sequence[Movement]) -> list[Happened]:
    """Movements in words; two queries however many they are."""
    ids = {kind: {int(row.cause_id) for row in movements if _is(row, kind)} for kind in ("delivery", "hold")}
    deliveries = dict(Delivery.objects.filter(pk__in=ids["delivery"]).values_list("pk", "number"))
    owners = owners_of(ids["hold"])
    return [_moved(row, deliveries, owners) for row in movements]


def _is(row: Movement, kind: str) -> bool:
    return row.cause_kind == kind and row.cause_id.isascii() and row.cause_id.isdigit()


def _moved(row: Movement, deliveries: dict[int, str], owners: dict[int, Owner]) -> Happened:
    words, links = _told(row, deliveries, owners)
    return Happened(
        at=row.at,
        words=words,
        who=str(row.person or row.client),
        change=_change(row),
        result=f"{row.on_hand} on hand, {row.held} held",
        links=links,
        lot=row.balance.lot.number,
        drawer=row.balance.drawer.code,
    )


Told = tuple[str, tuple[tuple[str, str], ...]]


def _told(row: Movement, deliveries: dict[int, str], owners: dict[int, Owner]) -> Told:
    if row.reverses_id is not None:
        return f"undone, {row.reason}:", _delivery_link(row, deliveries)
    if _is(row, "delivery") and row.on_hand_delta > 0:
        return _came_in(row, deliveries)
    if _is(row, "hold") and row.held_delta:
        return _held(row, owners.get(int(row.cause_id)))
    told = {"count": _counted, "opening": _opened}.get(row.cause_kind, _plainly)
    return told(row), ()


def _came_in(row: Movement, deliveries: dict[int, str]) -> Told:
    links = _delivery_link(row, deliveries)
    return f"{row.on_hand_delta} came in with{'' if links else ' a delivery'}", links


def _delivery_link(row: Movement, deliveries: dict[int, str]) -> tuple[tuple[str, str], ...]:
    key = int(row.cause_id) if _is(row, "delivery") else 0
    return ((f"delivery {deliveries[key]}", reverse("delivery", args=[key])),) if key in deliveries else ()


# What ended a hold, by the reason that the ledger has for it.
GIVEN_BACK: dict[str, str] = {
    "released": "{pieces} free again, released:",
    "hold lapsed": "{pieces} free again, lapsed:",
    "counted short": "{pieces} lost to a count:",
    "delivery line undone": "{pieces} lost, since their delivery was undone:",
}


def _held(row: Movement, owner: Owner | None) -> Told:
    pieces = abs(row.held_delta)
    if row.held_delta > 0:
        words = (
            f"{pieces} held{' again' if row.reason == 'held again' else ''} for {owner.words if owner else 'somebody'},"
        )
    elif row.on_hand_delta:
        words = f"{-row.on_hand_delta} used, {row.reason}:"
    else:
        words = GIVEN_BACK.get(row.reason, f"{{pieces}} no longer held, {row.reason}:").format(pieces=pieces)
    return words, ((f"hold {row.cause_id}", reverse("hold", args=[row.cause_id])),)


def _counted(row: Movement) -> str:
    pieces = row.on_hand_delta
    return f"counted: {abs(pieces)} {'more' if pieces > 0 else 'fewer'} than the ledger had"


def _opened(row: Movement) -> str:
    return f"{row.on_hand_delta} there when the shelf was opened"


def _plainly(row: Movement) -> str:
    return row.reason


def _change(row: Movement) -> str:
    parts: list[tuple[int, str]] = [(row.on_hand_delta, ""), (row.held_delta, " held")]
    return ", ".join(f"{'+' if by > 0 else MINUS}{abs(by)}{what}" for by, what in parts if by)


def _amended(one: Amendment) -> Happened:
    field = one.field.removesuffix("_mm").replace("_", " ")
    before, after = one.before or "nothing", one.after or "nothing"
    return Happened(
        one.at, f"corrected: {field} from {before} to {after}", str(one.person or one.client), reason=one.reason
    )


def _read(one: Sample) -> Happened:
    count = len(one.taken)
    mean = fmean(one.all_um) / 1000
    return Happened(one.at, f"{count} reading{'' if count == 1 else 's'}, mean {mean:.4f} mm", one.who)


def _withdrawn(samples: Sequence[Sample]) -> list[Happened]:
    """What was withdrawn of some samples, a line for each act."""
    acts: dict[Withdrawn, list[int]] = {}
    for one in (taken for sample in samples for taken in sample.taken):
        if one.withdrawn is not None:
            acts.setdefault(one.withdrawn, []).append(one.um)
    return [
        Happened(
            act.at,
            f"withdrawn: the reading{'' if len(um) == 1 else 's'} {readings_text(um)} mm",
            act.who,
            reason=act.why,
        )
        for act, um in acts.items()
    ]

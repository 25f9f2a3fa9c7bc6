"""What can be made today: every saved stack against the whole shelf, each for itself, and what one more piece would do.

A stack is `as_written` when every piece, the spacer and a nut of the shaft's thread lie on the shelf, `with_stand_ins`
when shims of the same diameter can stand in for what is short, else `short`. Which lots are taken is not decided here,
curves are not solved and no nut is judged: a plan does all that for one stack, and may find stand-ins of a neighbouring
diameter where this says short.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TypedDict

from compat.engineering.plans.outlook import outlook
from compat.engineering.plans.problem import MAX_PIECES, StockRow
from compat.engineering.shims import Form, Size
from compat.engineering.threads.designation import Thread, ThreadError, parse
from compat.engineering.threads.pairing import differences
from compat.plans import request
from compat.plans.checked import PlanIn
from compat.plans.document import asked_plan
from compat.plans.drawn import ShimSize, size_of
from compat.plans.problem import posed_on, wanted_of
from compat.plans.request import PlanRequest
from compat.shelf import nuts, shim_rows
from compat.shelf.shim_rows import Place, ShimRows
from compat.shelf.shim_wants import Family, Spacers
from inventory.common.errors import DomainError
from inventory.dampers.models import StackRevision
from inventory.dampers.selectors import Damper, stacks_in_use
from inventory.holds.selectors import lapsed_by_balance

AS_WRITTEN, WITH_STAND_INS, SHORT, UNREADABLE = "as_written", "with_stand_ins", "short", "unreadable"
MOST_SIZES = 10
MOST_IN_A_ROW = MAX_PIECES  # far more than any stack and its spacer take
MOST_STACKS = 100  # in one answer or on one page: each is built against the whole shelf


@dataclass(frozen=True, slots=True)
class Made:
    """One saved stack today. missing: pieces by size that neither lie there nor are stood in for."""

    damper: str
    valve: str
    name: str
    state: str
    missing: tuple[tuple[Size, int], ...] = ()
    short: tuple[tuple[Size, int], ...] = ()
    stand_ins: int = 0
    no_spacer: str = ""
    no_nut: str = ""


class OneMore(ShimSize):
    """A size of which one more piece would let so many stacks be built, and which."""

    makes: int
    stacks: list[str]


class Pieces(ShimSize):
    """So many pieces of a size."""

    quantity: int


class StackToday(TypedDict):
    """One saved stack today in the form of the API."""

    damper: str
    valve: str
    name: str
    state: str
    missing: list[Pieces]
    short: list[Pieces]
    stand_ins: int
    no_spacer: str | None
    no_nut: str | None


class TodayDocument(TypedDict):
    """All of them, and what one more piece would do."""

    stacks: list[StackToday]
    one_more: list[OneMore]


def today(damper: str | None = None, *, start: int = 0, most: int | None = None) -> list[Made]:
    """Every saved stack of a damper model, or of all, by code and name, `most` of them from `start` on; six queries
    however many there are.

    Raises DomainError `not_found` for an unknown damper.
    """
    saved = stacks_in_use(damper, start=start, most=most)
    built = [_built(on, stack) for on, stack in saved]
    wanted = dict.fromkeys(one for found in built if found is not None for one in wanted_of(found))
    lapsed = lapsed_by_balance()
    most = max((_most_of_a_size(found) for found in built if found is not None), default=0)
    rows = _ByOutline(shim_rows.shim_rows(_merged(wanted), take_offs=False, lapsed=lapsed), most)
    free = _free_nuts(lapsed) if built else []
    return [_made(on, stack, found, rows, free) for (on, stack), found in zip(saved, built, strict=True)]


def one_more(made: Sequence[Made]) -> list[OneMore]:
    """Of which size one more piece would let the most stacks be built as written; the sizes that do so, best first."""
    found: dict[Size, list[Made]] = {}
    for one in made:
        if (
            one.state != AS_WRITTEN
            and len(one.short) == 1
            and one.short[0][1] == 1
            and not one.no_spacer
            and not one.no_nut
        ):
            found.setdefault(one.short[0][0], []).append(one)
    ordered = sorted(found.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    return [
        {**size_of(size), "makes": len(stacks), "stacks": [f"{one.damper}: {one.name}" for one in stacks]}
        for size, stacks in ordered[:MOST_SIZES]
    ]


def document(made: Sequence[Made]) -> TodayDocument:
    """Both in the form of the API."""
    return {
        "stacks": [
            {
                "damper": one.damper,
                "valve": one.valve,
                "name": one.name,
                "state": one.state,
                "missing": [{**size_of(size), "quantity": number} for size, number in one.missing],
                "short": [{**size_of(size), "quantity": number} for size, number in one.short],
                "stand_ins": one.stand_ins,
                "no_spacer": one.no_spacer or None,
                "no_nut": one.no_nut or None,
            }
            for one in made
        ],
        "one_more": one_more(made),
    }


def _built(damper: Damper, stack: StackRevision) -> PlanRequest | None:
    """A saved stack as a request for a plan; None where it cannot be read on the damper as it is now."""
    sent = {"damper": damper.code, "valves": [{"code": stack.stack.valve, "stacks": stack.stacks}]}
    checked = PlanIn(data=sent)
    if not checked.is_valid():
        return None
    try:
        return request.build(damper, asked_plan(checked.validated_data))
    except DomainError:
        return None


def _free_nuts(lapsed: Mapping[int, int]) -> list[tuple[Thread, str]]:
    """Thread and hand of every nut with a new piece free; what cannot be read belongs on no shaft."""
    found = []
    for text, hand in sorted(nuts.free_threads(lapsed)):
        with suppress(ThreadError):
            found.append((parse(text), hand))
    return found


def _no_nut(wanted: PlanRequest, free: Sequence[tuple[Thread, str]]) -> str:
    """The thread of the main valve's shaft where no nut for it is free; empty where one is, or the thread is not known.

    Only thread and hand are looked at: whether a nut fits is judged on the bench.
    """
    if wanted.main is None:
        return ""
    try:
        thread = parse(wanted.shaft_end.thread or "")
    except ThreadError:
        return ""
    hand = wanted.shaft_end.hand or thread.hand
    there = any(not differences(thread, other) and hand in (None, turned) for other, turned in free)
    return "" if there else thread.name


def _made(
    damper: Damper,
    stack: StackRevision,
    wanted: PlanRequest | None,
    rows: _ByOutline,
    free: Sequence[tuple[Thread, str]],
) -> Made:
    named = (damper.code, stack.stack.valve, stack.stack.name)
    if wanted is None:
        return Made(*named, UNREADABLE)
    found = outlook(posed_on(wanted, rows.of(wanted_of(wanted)), taken={}).problem)
    no_nut = _no_nut(wanted, free)
    if found.missing or found.no_spacer or no_nut:
        state = SHORT
    else:
        state = WITH_STAND_INS if found.stand_ins else AS_WRITTEN
    return Made(*named, state, found.missing, found.short, found.stand_ins, found.no_spacer, no_nut)


def _merged(wanted: Iterable[Family | Spacers]) -> list[Family | Spacers]:
    """The same shims with one condition a bore and form."""
    diameters: dict[tuple[int, str], set[int]] = {}
    spacers: list[Family | Spacers] = []
    for one in wanted:
        if isinstance(one, Spacers):
            spacers.append(one)
        else:
            diameters.setdefault((one.bore_um, one.form), set()).update(one.diameters_um)
    return [*(Family(bore, form, tuple(sorted(ods))) for (bore, form), ods in sorted(diameters.items())), *spacers]


def _most_of_a_size(wanted: PlanRequest) -> int:
    """The most pieces that it asks for of one size."""
    asked: Counter[Size] = Counter()
    for position in wanted.positions():
        asked[position.size] += position.quantity
    return max(asked.values(), default=0)


class _ByOutline:
    """Rows of the shelf by bore, form and size, so that each stack looks at its own only, and at no more rows where a
    size lies in a thousand lots.

    most: pieces of one size that any stack asks for. Those are the oldest ones, lot by lot. What lies behind them is
    left by every stack, so lots of one mean thickness are one row there.
    """

    def __init__(self, rows: ShimRows, most: int) -> None:
        by_size: dict[Size, list[StockRow]] = {}
        for row in rows.rows:
            by_size.setdefault(row.size, []).append(row)
        self._by_outline: dict[tuple[int, Form], dict[Size, list[tuple[StockRow, Place]]]] = {}
        for size, of_it in by_size.items():
            fewer = _fewer(sorted(of_it, key=lambda row: (row.newer_days, row.key)), rows.places, most)
            self._by_outline.setdefault((size.bore_um, size.form), {})[size] = fewer

    def of(self, wanted: Sequence[Family | Spacers]) -> ShimRows:
        """The rows that match any of these."""
        found: dict[Size, list[tuple[StockRow, Place]]] = {}
        for one in wanted:
            form = Form.ROUND if isinstance(one, Spacers) else Form(one.form)
            bore = one.bore_low_um if isinstance(one, Spacers) else one.bore_um
            found |= {size: rows for size, rows in self._by_outline.get((bore, form), {}).items() if one.takes(size)}
        pairs = [pair for rows in found.values() for pair in rows]
        return ShimRows([row for row, _ in pairs], {row.key: place for row, place in pairs})


def _fewer(rows: Sequence[StockRow], places: Mapping[str, Place], most: int) -> list[tuple[StockRow, Place]]:
    """Rows of one size, oldest first, as the first ones that hold so many pieces and one for each mean thickness behind
    them; with the widest spread of all, which is what is looked at."""
    kept, before = list[StockRow](), 0
    first, behind = dict[int, StockRow](), Counter[int]()
    for row in rows:
        if before < most:
            kept.append(row)
            before += row.available
        else:
            first.setdefault(row.mean_um, row)
            behind[row.mean_um] += row.available
    kept += [replace(row, available=min(behind[mean], MOST_IN_A_ROW)) for mean, row in first.items()]
    spread = max(places[row.key].spread_um for row in rows)
    return [(row, replace(places[row.key], spread_um=spread)) for row in kept]

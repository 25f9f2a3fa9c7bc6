"""The nut of a plan: the one asked for, or else a fitting one from the shelf, judged where the plan's stack puts it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from math import ceil, floor
from typing import Any

from compat.dampers import engine_values
from compat.engineering.answers import Finding, Severity, Verdict, ask, note, warn
from compat.engineering.nut_on_shaft import Nut, ShaftEnd
from compat.engineering.threads.designation import Thread, ThreadError, parse
from compat.engineering.units import Range, um_to_mm
from compat.plans import also
from compat.plans.also import Also
from compat.plans.answered import NutDrawn, PieceLot
from compat.plans.nut_judging import BY_CATALOGUE, Bench, Judged, owner_of
from compat.plans.request import PlanRequest
from compat.shelf import nuts
from compat.shelf.nuts import NutLot, StockedNut
from compat.texts import rendering
from compat.texts.refusals import engine_errors, why_unreadable

ORDER = (Verdict.FITS, Verdict.CANNOT_TELL, Verdict.DOES_NOT_FIT)
# What the bench confirms of what was taken from a label.
CONFIRM = {
    "shaft.gauged_pitch_mm": "gauge_shaft_pitch",
    "nut.gauged_pitch_mm": "gauge_nut_pitch",
    "shaft.major_mm": "read_shaft_crest",
    "nut.minor_mm": "read_nut_crest",
    "shaft.end_condition": "see_shaft_end",
    "nut.condition": "see_nut_new",
}
PITCHES = ("gauge_shaft_pitch", "gauge_nut_pitch")


@dataclass(frozen=True, slots=True)
class PlannedNut:
    """The nut as a plan shows it (`document`, None where no nut was asked about), what it draws, how many are missing,
    what was found, and what the bench must confirm."""

    drawn: NutDrawn | None = None
    draws: Mapping[int, int] = field(default_factory=dict)
    missing: int = 0
    findings: Sequence[Finding] = ()
    to_confirm: Sequence[str] = ()


def serve(
    wanted: PlanRequest, extra: Also, underside_mm: Range | None, *, lapsed: Mapping[int, int] | None = None
) -> PlannedNut:
    """The nut that goes on the shaft of the main valve, whose underside lies at `underside_mm`.

    Nuts among the other parts of the plan are judged, and the worst of them counts; else the nut that the request says
    was read; else the best free one of the shaft's thread: by its verdict, then by how little is open, then the oldest
    lot. Readings count for the nut that they were taken of and for no other. One query where one is looked for, and
    one where `lapsed` was not read before; one more where none is free, and one for one that is named and not of this
    thread; else none.

    Raises DomainError `invalid` for a named nut that is none, or a reading that the engine cannot take.
    """
    if wanted.main is None:
        return PlannedNut()
    if not wanted.nut and not extra.nuts:
        return PlannedNut(findings=[note("nut_left_out", "trade")], to_confirm=PITCHES)
    with engine_errors("readings"):
        shaft = engine_values.threaded_end(wanted.shaft_end)
    owner, whose = owner_of(wanted, {*extra.nuts, *extra.wrong_nuts})
    bench = Bench(shaft, None if underside_mm is None else outward(underside_mm), wanted.nut_readings, owner)
    if extra.nuts:
        judged_too = [(part, bench.judged(part, nut)) for part, nut in extra.nuts.items()]
        part, found_of = max(judged_too, key=lambda pair: ORDER.index(pair[1].answer.verdict))
        return _told(part, found_of, whose)
    if extra.wrong_nuts:
        return PlannedNut(to_confirm=PITCHES)  # another nut was asked for, which stops the plan already
    thread, hand, unknown = _sought(shaft)
    if thread is None or hand is None:
        return PlannedNut(_nothing(), {}, 1, [*whose, *unknown], _bench_checks())
    found = _of(wanted.nut_part, nuts.free_of(thread, hand, lapsed=lapsed)) or _of(
        wanted.nut_part, nuts.of_thread(thread, hand)
    )
    if not found and wanted.nut_part is not None:
        row = nuts.called(wanted.nut_part, "nut_readings.part")
        return PlannedNut(_nothing(), {}, 1, also.another_nut(row, wanted.nut_part, thread, hand), _bench_checks())
    if not found:
        missing = ask("nut_not_on_file", "trade", thread=thread.name, hand=hand)
        return PlannedNut(_nothing(), {}, 1, [*whose, missing], _bench_checks())
    return _chosen([(one, bench.judged(one.part, one.nut)) for one in found], thread, whose)


def _of(named: str | None, found: Sequence[StockedNut]) -> Sequence[StockedNut]:
    """The nut of that part number alone; all of them where none is named."""
    return found if named is None else [one for one in found if one.part == named]


def outward(length_mm: Range) -> Range:
    """The same in whole micrometres, never narrower: what a request can say."""
    low, high = floor(round(length_mm.low * 1000, 3)), ceil(round(length_mm.high * 1000, 3))
    middle = min(max(round(length_mm.nominal * 1000), low), high)
    return Range(um_to_mm(low), um_to_mm(high), um_to_mm(middle))


def _sought(shaft: ShaftEnd) -> tuple[Thread | None, str | None, list[Finding]]:
    """The thread and hand of the nut that belongs on this shaft, and why that is not known."""
    if not shaft.thread:
        return None, None, [ask("nut_thread_unknown", "trade", reason="the damper model does not state its thread")]
    try:
        thread = parse(shaft.thread)
    except ThreadError as error:
        return None, None, [ask("nut_thread_unknown", "trade", reason=why_unreadable(error, part="shaft"))]
    hand = shaft.hand or thread.hand
    reason = "the damper model does not state the hand of its thread"
    return thread, hand, [] if hand else [ask("nut_thread_unknown", "trade", reason=reason)]


def _chosen(judged: Sequence[tuple[StockedNut, Judged]], thread: Thread, whose: Sequence[Finding]) -> PlannedNut:
    """The best nut with something free; without one the best of the catalogue, missing."""
    stock, found = min(judged, key=lambda pair: _rank(*pair))
    if not stock.lots:
        missing = warn("nut_missing", "", part=stock.part, thread=thread.name)
        return _planned(stock.part, found, missing=1, more=[missing, *whose])
    return _planned(stock.part, found, lot=stock.lots[0], more=whose)


def _rank(one: StockedNut, judged: Judged) -> tuple[Any, ...]:
    answer = judged.answer
    asks = sum(finding.severity is Severity.ASK for finding in answer.findings)
    age = (one.lots[0].received_on, one.lots[0].balance) if one.lots else ()
    return ORDER.index(answer.verdict), asks, *age, one.part


def _told(part: str, judged: Judged, whose: Sequence[Finding]) -> PlannedNut:
    """A nut asked for among the other parts: its pieces are drawn, or missing, there."""
    return _planned(part, judged, more=whose, told=True)


def _planned(
    part: str,
    judged: Judged,
    *,
    lot: NutLot | None = None,
    missing: int = 0,
    more: Sequence[Finding] = (),
    told: bool = False,
) -> PlannedNut:
    nut, answer = judged.nut, judged.answer
    lots = () if lot is None else (PieceLot(lot=lot.lot, drawer=lot.drawer, quantity=1),)
    values = {name: value for name, value in answer.values.items() if name != "near_misses"}
    drawn = NutDrawn(
        part=part,
        thread=nut.thread,
        height_mm=rendering.number(nut.height_mm),
        quantity=1,
        lots=lots,
        missing=missing,
        in_also=told,
        verdict=str(answer.verdict),
        question={"shaft": _sent(judged.shaft), "nut": {"part": part, **_sent(nut)}},
        values=rendering.number(values),
    )
    # What the bench would rather know than do stays in the question's own answer.
    findings = [one.about("nut") for one in answer.findings if one.severity is not Severity.NOTE]
    draws = {} if lot is None else {lot.balance: 1}
    return PlannedNut(drawn, draws, missing, [*more, *findings], _bench_checks(judged.taken))


def _nothing() -> NutDrawn:
    """No nut can be named."""
    return NutDrawn(quantity=1, lots=(), missing=1, in_also=False, verdict=str(Verdict.CANNOT_TELL))


def _bench_checks(taken: Sequence[str] = tuple(CONFIRM)) -> list[str]:
    """The codes of what only the bench can read, in the order in which it is done."""
    found = [code for name, code in CONFIRM.items() if name in taken]
    return [*found, *(["measure_nut"] if any(f"nut.{name}" in taken for name in BY_CATALOGUE) else [])]


def _sent(part: ShaftEnd | Nut) -> dict[str, Any]:
    """A part as the question nut-on-shaft takes it."""
    told = {one.name: getattr(part, one.name) for one in fields(part)}
    return {name: _length(value) for name, value in told.items() if value is not None}


def _length(value: Any) -> Any:
    return {"min": value.low, "max": value.high, "nominal": value.nominal} if isinstance(value, Range) else value

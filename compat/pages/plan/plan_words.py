"""A plan's figures in words and units, for pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from compat.pages.stack_text import size_text
from compat.plans.answered import (
    AnsweredPlan,
    BesidesDrawn,
    NutDrawn,
    OtherPlan,
    PieceLot,
    PlannedLine,
    ShimLot,
    Shims,
    SpacerDrawn,
    StandIn,
)
from compat.plans.drawn import ShimSize

VERDICTS = {"fits": "it fits", "does_not_fit": "it does not fit", "cannot_tell": "cannot tell yet"}
NO_SPACER = {
    "no_such_shims": "No spacer: the shelf has no shims that end inside the window.",
    "": "No spacer is needed.",
}


def size(sizes: ShimSize) -> str:
    """A shim's size as it is spoken: `34 x 0.15`."""
    return f"{sizes['od_mm']:g} x {size_text(sizes['thickness_mm'])}"


def shim(one: ShimLot | PlannedLine | Shims) -> str:
    """The size of a shim of a plan, spoken as `size` says it."""
    return f"{one.od_mm:g} x {size_text(one.thickness_mm)}"


def stand_in(one: StandIn) -> str:
    """What stands in, and what it changes: the curve of its side, or where that is not known the sum of t^3, which is
    the stiffness inside one diameter."""
    shims = " + ".join(f"{each.quantity} of {shim(each)}" for each in one.shims)
    return f"{shims} mm for {one.replaces}: {nearness(one)}, height {one.height_change_mm:+.3f} mm"


def signed(percent: float) -> str:
    """A change with its sign and one decimal."""
    return f"{percent:+z.1f}"


def nearness(one: StandIn) -> str:
    """How near a stand-in comes, by the curve of its side or by its sum of t^3."""
    drawn = one.drawn_change_percent
    if drawn is not None:
        chosen = f"chosen by nominal sizes: {one.curve_change_percent:.1f} %"
        return f"force of this side {signed(drawn)} % with the lots drawn ({chosen})"
    if one.curve_change_percent is not None:
        return f"force of this side within {one.curve_change_percent:.1f} % by nominal sizes"
    if one.sum_t3_change_percent is None:
        return "stiffness not known"
    return f"stiffness here {one.sum_t3_change_percent:+.1f} %"


def spacer(found: SpacerDrawn | None) -> str:
    """The spacer under the rebound base plate in one sentence; empty where the lip was not asked about."""
    if found is None:
        return ""
    window = found.add_mm
    if window is None:
        return "No thickness of spacer is safe at both ends of the readings; see the findings."
    room = f"The lip allows {window.low:.3f} to {window.high:.3f} mm"
    if found.lines:
        return f"{room}; together these are {found.total_mm:.3f} mm."
    reason = found.reason or ""
    return f"{room}. {NO_SPACER.get(reason) or 'No spacer: ' + reason.replace('_', ' ') + '.'}"


def why(plan: AnsweredPlan) -> str:
    """The first finding that decides the verdict, and how many more do; empty where it fits."""
    findings, verdict = plan.answer["findings"], plan.verdict
    deciding = {"does_not_fit": ("stop", False), "cannot_tell": ("warn", True)}.get(verdict)
    found = [one["text"] for one in findings if (one["severity"], one["measure"]) == deciding]
    return " ".join([*found[:1], *([f"({len(found) - 1} more.)"] if len(found) > 1 else [])])


def nut(found: NutDrawn | None) -> str:
    """The nut of a plan in one sentence; empty where none was asked about."""
    if found is None:
        return ""
    if found.part is None:
        return "Which nut goes on is not known; see the findings."
    values = found.values
    said = [f"{found.thread}: {VERDICTS[found.verdict]}"]
    if (under := found.question["nut"].get("underside_mm")) is not None:
        said.append(f"its underside lies {_span(under)} mm from the shoulder")
    if (engaged := values["engagement_mm"]["available"]) is not None:
        said.append(f"at least {engaged:.1f} mm of full thread engage")
    if (past := values["protrusion_mm"]) is not None:
        said.append(f"{_span(past)} mm of the shaft stand past it")
    return ", ".join(said) + "."


def _span(length: Mapping[str, float]) -> str:
    low, high = f"{length['min']:.2f}", f"{length['max']:.2f}"
    return low if low == high else f"{low} to {high}"


def at_valve(text: str, valve: str, lines: Sequence[PlannedLine]) -> str:
    """A number or place of a plan, with its valve unless all of the plan's lines are of the main valve: `base 3`.

    Every valve has a drawing of its own, whose numbers begin with 1.
    """
    return f"{valve} {text}" if text and any(line.valve != "main" for line in lines) else text


def place(line: PlannedLine, lines: Sequence[PlannedLine]) -> str:
    """Where a line of a plan stands: `compression 1`, or `mid compression 1`."""
    return at_valve(f"{line.side} {line.line}", line.valve, lines)


def alternatives(plan: AnsweredPlan) -> list[str]:
    """The other plans of a plan, each in one line."""
    return [alternative(one, plan.lines) for one in plan.alternatives]


def alternative(one: OtherPlan, lines: Sequence[PlannedLine]) -> str:
    """Another plan by what it does differently."""
    by_position = {line.position: line for line in lines}
    said = [
        f"{place(by_position[each.position], lines)}: {stand_in(each)}"
        for each in one.stand_ins
        if each.position in by_position
    ]
    if one.missing:
        said.append(f"{one.missing} missing")
    if one.spacer and one.spacer.lines:
        said.append(f"spacer {one.spacer.total_mm:.3f} mm")
    return "; ".join(said) or "The same sizes from other lots"


def changes(before: AnsweredPlan, after: AnsweredPlan) -> list[str]:
    """What two plans of one request take otherwise: position by position, the spacer, and the parts besides."""
    lines = after.lines
    old = {line.position: line for line in before.lines}
    pairs = [(f"{place(line, lines)}, {shim(line)}", taken(old[line.position]), taken(line)) for line in lines]
    pairs.append(("spacer", _spacer_taken(before.spacer), _spacer_taken(after.spacer)))
    pairs.append(("nut", _nut_taken(before.nut), _nut_taken(after.nut)))
    pairs += [
        (f"{now.part}, {now.quantity} asked for", taken(was), taken(now))
        for was, now in zip(before.also, after.also, strict=True)
    ]
    return [f"{what}: {was} before, {now} now" for what, was, now in pairs if was != now]


def taken(line: PlannedLine | NutDrawn | BesidesDrawn) -> str:
    """Where the pieces of a position, or of a part besides, come from."""
    lots = [
        _from_lot(lot, f" of {size_text(lot.thickness_mm)}" if isinstance(lot, ShimLot) else "") for lot in line.lots
    ]
    return ", ".join([*lots, *([f"{line.missing} missing"] if line.missing else [])]) or "nothing"


def _spacer_taken(found: SpacerDrawn | None) -> str:
    return ", ".join(_from_lot(lot, f" of {shim(lot)}") for lot in (found.lines if found else ())) or "none"


def _nut_taken(found: NutDrawn | None) -> str:
    """The nut of a plan and where it comes from; one asked for by name stands among the parts besides."""
    if found is None or found.in_also:
        return "none of its own"
    return f"{found.part or 'not known'}, {taken(found)}"


def _from_lot(lot: ShimLot | PieceLot, of: str) -> str:
    return f"{lot.quantity}{of} from {lot.drawer} lot {lot.lot}"

"""The demo's answers, as a technician wants to read them in a terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from compat.pages.plan.plan_words import nearness
from compat.plans.answered import AnsweredPlan, PlannedLine, ShimLot, Shims, StandIn

# A verdict is a word and a shape, never colour alone.
SHAPES = {"fits": "[bold]OK  FITS[/bold]", "does_not_fit": "[bold]XX  DOES NOT FIT[/bold]"}
CANNOT_TELL = "[bold]??  CANNOT TELL[/bold]"
WORDS = {"stop": "STOP", "warn": "warn", "note": "note"}


def verdict(console: Console, answer: Mapping[str, Any]) -> None:
    """The verdict, and every finding that stops, asks or warns."""
    console.print(f"  {SHAPES.get(answer['verdict'], CANNOT_TELL)}")
    for finding in answer["findings"]:
        if finding["severity"] == "note":
            continue
        word = "measure" if finding["measure"] else WORDS[finding["severity"]]
        console.print(Padding(f"{word}: {finding['text']}", (0, 0, 0, 4), expand=False))


def statements(console: Console, plan: AnsweredPlan) -> None:
    """Whether the plan can be built and whether it fits, the weaker first, and what stops, asks or warns."""
    if plan.leads == "missing":
        console.print(f"  [bold]--  {plan.headline}[/bold]")
    verdict(console, plan.answer)
    if plan.leads != "missing":
        console.print(f"  {plan.shelf}")


def positions(console: Console, plan: AnsweredPlan) -> None:
    """Both sides, face first, with where each piece lies."""
    for side in ("compression", "rebound"):
        title = f"{side}, face first"
        table = Table("line", "shim, mm", "pieces", "drawer", "lot", "for", title=title, title_justify="left")
        for line in plan.lines:
            if line.side == side:
                _position(table, line)
        console.print(Padding(table, (0, 0, 0, 2), expand=False))


def _position(table: Table, line: PlannedLine) -> None:
    number = str(line.line)
    for lot in line.lots:
        remark = f"stand-in for {line.thickness_mm:.2f}" if lot.stand_in else line.role
        table.add_row(number, _size(lot), str(lot.quantity), lot.drawer, lot.lot, remark)
    if line.missing:
        table.add_row(number, _size(line), str(line.missing), "-", "-", "[bold]MISSING[/bold]")


def _size(one: PlannedLine | ShimLot | Shims) -> str:
    return f"{one.od_mm:g} x {one.thickness_mm:.2f}"


def stand_ins(console: Console, plan: AnsweredPlan) -> None:
    """What is missing like for like, what stands in, and what that changes."""
    lines = {line.position: line for line in plan.lines}
    for one in plan.stand_ins:
        line = lines[one.position]
        console.print(
            f"  {line.side} line {line.line}: {one.replaces} of {line.quantity} shims"
            f" {_size(line)} mm are short; in their place {_swap(one)}"
        )
    if plan.missing:
        console.print(f"  [bold]{plan.missing} pieces are missing.[/bold]")
    for other in plan.alternatives:
        said = (
            "; ".join(
                f"{lines[one.position].side} line {lines[one.position].line} {_swap(one)}" for one in other.stand_ins
            )
            or "no stand-ins"
        )
        lack = f" ({other.missing} pieces missing)" if other.missing else ""
        console.print(f"  or {said}{lack}")


def _swap(one: StandIn) -> str:
    """A stand-in with what it changes: the curve of its side."""
    shims = " + ".join(f"{each.quantity} of {_size(each)}" for each in one.shims)
    return f"{shims} mm: {nearness(one)}, height {one.height_change_mm:+.3f} mm"


def spacer(console: Console, plan: AnsweredPlan) -> None:
    """The spacer under the rebound base plate."""
    found = plan.spacer
    if found is None or found.add_mm is None:
        console.print("  The lip cannot be computed; see the findings.")
        return
    window = found.add_mm
    console.print(f"  The lip rule allows {window.low:.3f} to {window.high:.3f} mm under the rebound base plate.")
    for line in found.lines:
        console.print(
            f"  Take {line.quantity} of {_size(line)} mm"
            f" ({line.mean_mm:.3f} measured) from drawer {line.drawer}, lot {line.lot}."
        )
    if found.lines:
        console.print(f"  Together {found.total_mm:.3f} mm; the middle of the window is {window.nominal:.3f} mm.")
    elif found.reason:
        console.print(f"  No spacer: {found.reason.replace('_', ' ')}.")
    else:
        console.print("  No spacer is needed.")


def nut(console: Console, plan: AnsweredPlan) -> None:
    """The nut that the plan proposes, and where it sits."""
    found = plan.nut
    if found is None or found.part is None or not found.lots:
        console.print("  No nut can be proposed; see the findings.")
        return
    under, values = found.question["nut"]["underside_mm"], found.values
    lot = found.lots[0]
    console.print(f"  Take 1 of {found.part} from drawer {lot.drawer}, lot {lot.lot}.")
    engaged = values["engagement_mm"]["available"]
    if under is None or under["min"] is None or engaged is None:
        console.print("  Where it sits is not known; see the findings.")
        return
    console.print(
        f"  Its underside lies {under['min']:.2f} to {under['max']:.2f} mm from the shoulder; at least"
        f" {engaged:.1f} mm of full thread engage."
    )


def pick_list(console: Console, plan: AnsweredPlan) -> None:
    """What to take from which drawer, drawer by drawer, and what for."""
    rows = [
        (lot.drawer, _size(lot), str(lot.quantity), lot.lot, f"{line.side} {line.line}")
        for line in plan.lines
        for lot in line.lots
    ]
    spacers = plan.spacer.lines if plan.spacer else ()
    rows += [(lot.drawer, _size(lot), str(lot.quantity), lot.lot, "SPACER") for lot in spacers]
    if plan.nut is not None:
        rows += [(lot.drawer, str(plan.nut.part), str(lot.quantity), lot.lot, "NUT") for lot in plan.nut.lots]
    rows += [(lot.drawer, line.part, str(lot.quantity), lot.lot, "besides") for line in plan.also for lot in line.lots]
    table = Table("drawer", "part, mm", "take", "lot", "for")
    for row in sorted(rows):
        table.add_row(*row)
    console.print(Padding(table, (0, 0, 0, 2), expand=False))


def texts(console: Console, lines: Sequence[str]) -> None:
    """Sentences, each on a line of its own."""
    for line in lines:
        console.print(Padding(f"- {line}", (0, 0, 0, 2), expand=False))

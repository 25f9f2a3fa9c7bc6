"""The blanks of face shims, spacers and stacks, in the order in which they are measured at the bench."""

from __future__ import annotations

from dataclasses import replace

from compat.asking.blanks import Blank
from compat.pages.fit.valve_blanks import PLATE, SIDE, SIDES, VALVE, under, washers

STACKS, VALVE_SIZES = "The stacks, face shim first", "The valve"
VALVES = (("main", "main"), ("base", "base"), ("mid", "mid"))
# The letters are those of the measuring picture.
LINES_HELP = "One size a line, face shim first: diameter J x thickness L, bore K if it is not the shaft's: 34x0.15 x3."
STACK_LINES = (
    Blank("valve", "Valve", "choice", choices=VALVES, group=STACKS, first=True),
    *(
        Blank(f"stacks.{side}", f"{side.capitalize()} stack", "lines", help=LINES_HELP, group=STACKS, first=True)
        for side in SIDES
    ),
)
STACK_VALVE = (
    *(replace(blank, group=VALVE_SIZES, first=True) for blank in VALVE),
    *(
        replace(blank, label=f"{blank.label}, {side}", group=VALVE_SIZES)
        for side in SIDES
        for blank in under(f"base_plates.{side}", PLATE)
    ),
)
STACK_PORTS = tuple(
    replace(blank, group=f"Ports and lands, {side} side") for side in SIDES for blank in under(f"sides.{side}", SIDE)
)
WASHER_ROWS = 2


def stack_blanks(washer_rows: int = WASHER_ROWS) -> tuple[Blank, ...]:
    """The blanks of the stack question with at least that many rows of washers."""
    rows = washers("washers", max(WASHER_ROWS, washer_rows), "Washers and sleeves that count in the height")
    return (*STACK_LINES, *STACK_VALVE, *rows, *STACK_PORTS)

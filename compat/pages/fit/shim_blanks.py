"""The blanks of face shims, spacers and stacks, in the order in which they are measured at the bench."""

from __future__ import annotations

from dataclasses import replace

from compat.asking.blanks import Blank
from compat.pages.fit.valve_blanks import PLATE, SIDE, SIDES, VALVE, under, washers

SHIM, FACE, ROUND_IT = "The face shim", "The face it lies on", "Shaft and body"
FACE_SHIM = (
    Blank("shim_od_mm", "Outer diameter of the shim", group=SHIM, first=True),
    Blank("shim_bore_mm", "Bore of the shim", group=SHIM, first=True),
    *(replace(blank, group=FACE, first=True) for blank in SIDE),
    Blank("overlap_mm", "Overlap required", "length", help=VALVE[3].help, group=FACE, first=True),
    *(replace(blank, group=ROUND_IT, first=True) for blank in VALVE[:2]),
)

PLATE_AND_LIP, SPACERS = "Base plate and lip", "The spacers"
SPACER = (
    Blank(
        "stack_height_mm",
        "Stack height",
        help="From the shoulder to under the rebound base plate, without spacers.",
        group=PLATE_AND_LIP,
        first=True,
    ),
    Blank("shoulder_to_lip_mm", "Shoulder to lip", group=PLATE_AND_LIP, first=True),
    Blank("base_plate_mm", "Thickness of the rebound base plate", group=PLATE_AND_LIP, first=True),
    Blank(
        "on_straight_mm",
        "On the straight part, at least",
        "length",
        help="From the damper's instructions.",
        group=PLATE_AND_LIP,
        first=True,
    ),
    Blank(
        "past_lip_mm",
        "Past the lip, at least",
        "length",
        help="From the damper's instructions.",
        group=PLATE_AND_LIP,
        first=True,
    ),
    Blank(
        "clamp_od_mm",
        "Diameter of the clamp shim",
        "length",
        help="Needed: every spacer must be larger.",
        group=SPACERS,
        first=True,
    ),
    Blank(
        "spacer_max_od_mm",
        "Largest spacer",
        "length",
        help="Needed: the base plate's contact diameter.",
        group=SPACERS,
        first=True,
    ),
    Blank("shaft_mm", "Shaft", help="Needed: the spacers must pass it.", group=SPACERS, first=True),
    Blank("take_offs", "Shims taken out of dampers may be used", "flag", group=SPACERS, first=True),
)

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

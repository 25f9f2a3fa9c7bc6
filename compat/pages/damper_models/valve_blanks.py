"""The blanks of a valve and of a shaft's end, for the forms and the pages of damper models."""

from __future__ import annotations

from dataclasses import replace

from compat.asking.blanks import Blank
from compat.asking.requests import blanks_of
from compat.questions.stack.request import Stack
from compat.questions.told_valves import BasePlate, PistonSide, Washer

HANDS = (("right", "right"), ("left", "left"))
VALVE = tuple(blank for blank in blanks_of(Stack) if blank.path.endswith("_mm") and "." not in blank.path)
PISTON_SIDE = blanks_of(PistonSide)
PLATE = blanks_of(BasePlate)
WASHER = blanks_of(Washer)
SHAFT_END = (
    Blank("thread", "Thread", "text", help="With its pitch, as in M12x1.25 or 1/2-20 UNF."),
    Blank("tolerance_class", "Tolerance class", "text", help="As in 6g; empty if it is not known.", most=10),
    Blank("hand", "Hand", "word", choices=HANDS),
    Blank("diameter_mm", "Diameter of the straight part"),
    Blank("hole_mm", "Hole in the end", help="0 if it is solid."),
    Blank("shoulder_to_lip_mm", "Shoulder to lip", help="To where the straight part ends."),
    Blank("on_straight_mm", "On the straight part, at least", "length", help="From the damper's instructions."),
    Blank("past_lip_mm", "Past the lip, at least", "length", help="From the damper's instructions."),
    Blank("property_class", "Property class", "text", help="Of the shaft's steel, as in 8.8.", most=10),
    Blank("thread_relief", "Relief groove before the thread", "yes_no"),
    Blank("relief_diameter_mm", "Diameter in that groove", help="Empty where there is none."),
    Blank("full_thread_start_mm", "Shoulder to full thread"),
    Blank("shaft_end_mm", "Shoulder to the end"),
)


def under(path: str, blanks: tuple[Blank, ...], group: str = "") -> tuple[Blank, ...]:
    """The blanks at another place of a document."""
    return tuple(replace(blank, path=f"{path}.{blank.path}", group=group or blank.group) for blank in blanks)

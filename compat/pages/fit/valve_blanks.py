"""The blanks of a valve and of a shaft's end, for the stack question and for damper models."""

from __future__ import annotations

from dataclasses import replace

from compat.asking.blanks import Blank

SIDES = ("compression", "rebound")
PLACES = (
    ("shoulder", "at the shoulder"),
    ("inner", "on the compression plate"),
    ("outer", "beyond the rebound stack"),
)
HANDS = (("right", "right"), ("left", "left"))

VALVE = (
    Blank("shaft_mm", "Shaft where the shims sit", help="Diameter of shaft, bolt or sleeve."),
    Blank("body_bore_mm", "Bore of the body"),
    Blank("piston_height_mm", "Height of the piston", help="Between its two seats for the stacks."),
    Blank("overlap_mm", "Overlap required", "length", help="Past the ports' edges, radial; the shop's own figure."),
)
SIDE = (
    Blank("ports_inner_mm", "Ports, inner edges", help="Diameter on which they lie."),
    Blank("ports_outer_mm", "Ports, outer edges", help="Diameter on which they lie."),
    Blank("land_outer_mm", "Land, outer diameter", help="Of the land round the ports."),
    Blank("hub_mm", "Hub", help="Diameter of the seat that carries the shim's centre."),
    Blank("other_side_feed_inner_mm", "Feed of the other side", help="Diameter at which its openings begin here."),
)
PISTON_SIDE = (
    *SIDE,
    Blank("open_fraction", "Open part of the ports' ring", "reading", help="0 to 1; for the force that lifts a stack."),
    Blank(
        "seat_mm", "Raised seat", help="Diameter at which it bends the face shim; empty where seat and hub are level."
    ),
    Blank("seat_height_mm", "Raised seat, height", help="By how much it stands proud of the hub."),
)
PLATE = (
    Blank("height_mm", "Height of the base plate"),
    Blank("contact_diameter_mm", "Contact diameter", help="On which the shims lean."),
)
WASHER = (
    Blank("name", "Washer or sleeve", "text", most=60),
    Blank("height_mm", "Height"),
    Blank("place", "Where", "choice", choices=PLACES),
)
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


def washers(path: str, rows: int, group: str = "") -> tuple[Blank, ...]:
    """The blanks of some washers or sleeves."""
    return tuple(blank for row in range(rows) for blank in under(f"{path}.{row}", WASHER, group))


def under(path: str, blanks: tuple[Blank, ...], group: str = "") -> tuple[Blank, ...]:
    """The blanks at another place of a document."""
    return tuple(replace(blank, path=f"{path}.{blank.path}", group=group or blank.group) for blank in blanks)

"""Texts of the lip rule, shared by the stack, spacer and plan questions."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "stack_height_unknown": (
        "The stack height is unknown: measure everything between the shoulder and the rebound base plate, "
        "without spacers."
    ),
    "shoulder_to_lip_unknown": "Measure the shaft from its shoulder to the end of the straight part (the lip).",
    "lip_base_plate_unknown": "Measure the thickness of the rebound base plate.",
    "on_straight_unknown": (
        "Look up in the damper's instructions how much of the base plate must at least lie on the straight part."
    ),
    "past_lip_unknown": (
        "Look up in the damper's instructions how much of the base plate must at least lie past the lip."
    ),
    "base_plate_too_thin": (
        "The base plate is {plate_max_mm:g} mm thick at most and must be {needed_mm:g} mm to lie on both sides of the "
        "lip. Do not proceed: ask someone who knows this damper."
    ),
    "base_plate_may_be_thin": (
        "The base plate is {plate_min_mm:g} to {plate_max_mm:g} mm thick and must be {needed_mm:g} mm to lie on both "
        "sides of the lip: measure the base plate more closely."
    ),
    "stack_too_tall": (
        "Even at best the stack leaves the base plate {by_mm:g} mm short on the straight part. Do not proceed: ask "
        "someone who knows this damper."
    ),
    "stack_may_be_too_tall": (
        "The stack may be too tall: the base plate has {min_mm:g} to {max_mm:g} mm to spare on the straight part, and "
        "below zero it is short. Measure the stack, shim by shim where thicknesses were not measured, and the "
        "shoulder to the lip more closely; do not proceed before."
    ),
    "lip_spread_too_wide": (
        "No spacer is safe at every corner of the readings: at least {add_min_mm:g} mm and at most {add_max_mm:g} mm "
        "would have to be added. Measure the reading that spreads most: stack height {height_spread_mm:g} mm, "
        "shoulder to lip {lip_spread_mm:g} mm, base plate {plate_spread_mm:g} mm."
    ),
    "lip_needs_spacers": (
        "Spacers of {add_min_mm:g} to {add_max_mm:g} mm are needed under the rebound base plate. Each must be larger "
        "than the clamp shim."
    ),
    "lip_straddled": (
        "The rebound base plate straddles the lip without spacers; up to {add_max_mm:g} mm could be added."
    ),
}

METHODS: dict[str, str] = {
    "lip": (
        "The base plate must lie on the straight part and past the lip by the damper's least lengths at every corner "
        "of the readings; what may be added under it follows by subtraction."
    ),
}

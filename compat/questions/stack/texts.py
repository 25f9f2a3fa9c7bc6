"""Texts of the stack question; those of cover and lip stand in `face_shim` and `lip`."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "side_not_told": "The stack of the {side} side is not written down yet: type it, the face shim first.",
    "side_without_shims": "The {side} side has no shims: its ports would stay open.",
    "side_may_be_empty": "The {side} side has no shims: check whether a plate and spring close its ports.",
    "inner_base_plate_height_unknown": "Measure the height of the {part} base plate.",
    "piston_height_unknown": "Measure the piston's height between its two seats for the stacks.",
    "spacing_height_unknown": "Measure the height of the washer or sleeve: {part}.",
    "valve_height_not_known": "A part's height is not known, so the valve's height is not given; no lip rule needs it.",
    "floating_shims_not_in_height": "A mid-valve's shims float and do not count in the height; its sleeve does.",
    "reverse_taper": (
        "On the {side} side a {above_od_mm:g} mm shim lies above a smaller one of {below_od_mm:g} mm: a reverse taper. "
        "Keep it if it is meant."
    ),
    "crossover_gap_small": (
        "The crossover gap after group {after} of the {side} side is {gap_min_mm:g} to {gap_max_mm:g} mm, too little "
        "to be sure that it is open: measure its shims, and hold the piston to the light after assembly."
    ),
    "clamp_not_smallest": (
        "On the {side} side the last shim is {clamp_od_mm:g} mm, but a shim of {smallest_od_mm:g} mm is smaller and "
        "sets the clamp of the whole stack."
    ),
    "no_clamp_shim": "The {side} side has one diameter only ({od_mm:g} mm): the base plate itself is the clamp.",
    "base_plate_contact_unknown": (
        "The contact diameter of the {side} base plate is unknown: measure it to know what clamps the stack."
    ),
    "clamp_over_base_plate": (
        "The {side} clamp shim ({clamp_od_mm:g} mm) may be larger than the base plate's contact diameter "
        "({contact_mm:g} mm): then the base plate is the clamp, and the stack is softer than written."
    ),
    "bores_of_two_shafts": (
        "The {side} shims have bores from {smallest_mm:g} to {largest_mm:g} mm: they are made for different shafts."
    ),
    "bores_differ": (
        "The {side} shims have bores from {smallest_mm:g} to {largest_mm:g} mm: the wider ones lie off centre."
    ),
    "bore_under_shaft": (
        "A {side} shim's bore of {bore_mm:g} mm does not pass the shaft ({shaft_min_mm:g} mm or more)."
    ),
    "bore_close_to_shaft": (
        "A {side} shim's bore of {bore_mm:g} mm may not pass the shaft ({shaft_min_mm:g} to {shaft_max_mm:g} mm): "
        "measure the shaft and try the shim."
    ),
    "bore_of_larger_shaft": (
        "The {side} shims' bore of {bore_mm:g} mm is made for a larger shaft than this one ({shaft_max_mm:g} mm at "
        "most)."
    ),
    "bore_may_be_loose": (
        "The {side} shims' bore of {bore_mm:g} mm may be made for a larger shaft than this one ({shaft_min_mm:g} to "
        "{shaft_max_mm:g} mm): measure the shaft."
    ),
    "face_bleed": "Line {line} of the {side} side, {od_mm:g} mm, is cut at the face: a bleed, left on purpose.",
    "cut_shim_taken_as_round": (
        "Line {line} of the {side} side, {od_mm:g} mm, is notched or slotted away from the face; it is taken as round."
    ),
    "ring_shim_in_stack": (
        "Line {line} of the {side} side, {od_mm:g} mm, is a ring: cover, gaps and height with it cannot be computed. "
        "Measure the assembled stack's height and judge it by hand."
    ),
    "polygon_shim_in_stack": (
        "Line {line} of the {side} side, {od_mm:g} mm, is not round: what it covers and carries cannot be computed. "
        "A qualified person decides."
    ),
    "shim_touches_body": (
        "A {od_mm:g} mm shim of the {side} side can touch the body: it clears the bore by {max_mm:g} mm at most."
    ),
    "shim_clearance_doubtful": (
        "A {od_mm:g} mm shim of the {side} side clears the body by {min_mm:g} to {max_mm:g} mm: measure the body's "
        "bore and the shaft."
    ),
}

METHODS: dict[str, str] = {
    "stack": (
        "Neighbouring shims of one diameter are merged; cover, crossover gaps, bores and height follow from the "
        "geometry at every corner of the readings, unmeasured thickness spread by the strip's tolerance."
    ),
}

REFUSALS: dict[str, str] = {
    "side_unknown": "The valve has no {side} side.",
    "too_many_shims_asked": "These are {pieces} shims, and a stack has {most} at most: check the counts.",
    "line_without_shims": "A line of a stack holds at least one shim.",
    "shim_size_impossible": (
        "A shim has a thickness above zero and a bore smaller than its diameter; this one reads {od_mm:g} mm outside "
        "and {bore_mm:g} mm in the bore."
    ),
    "sides_unknown": "The valve's sides are {known}; these are {sides}.",
    "main_valve_one_sided": "A main valve has a compression and a rebound side.",
    "base_plate_of_no_side": "A base plate belongs to one side of the valve.",
}

"""Texts of diameters read at several depths, of bore and shaft alike."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "diameters_missing": "Measure the diameter at three depths or more, in three directions each.",
    "too_few_depths": (
        "Depths read {apart_mm:g} mm or more apart: {depths}; a taper needs {least}. Measure at more of them."
    ),
    "too_few_directions": (
        "At depth {depth_mm:g} mm too few directions were read: measure {least}, at least {turn_deg:g} degrees apart, "
        "best 60. Between two directions an ellipse of any size can hide."
    ),
    "travel_missing": "Say over which depths the seal travels: from the first to the last, as the readings count them.",
    "travel_not_read": (
        "The seal travels from {from_mm:g} to {to_mm:g} mm: read within {end_mm:g} mm of both ends, and every "
        "{step_mm:g} mm between, in enough directions."
    ),
    "reading_looks_like_inches": (
        "{diameter_mm:g} and the nominal {nominal_mm:g} mm agree only if one is in inches. Every length here is in "
        "millimetres."
    ),
    "diameter_far_off": (
        "{diameter_mm:g} mm at depth {depth_mm:g} mm lies far from the nominal {nominal_mm:g} mm: measure it again."
    ),
    "wear_limit_far_off": (
        "The limit of {limit_mm:g} mm lies far from the nominal {nominal_mm:g} mm: is it in millimetres? Look it up "
        "again."
    ),
    "form_far_off": (
        "Out of round or tapered by up to {high_mm:.3f} mm (from {low_mm:.3f}), and wear may be {allowed_mm:.3f} mm: "
        "read it again, then let a qualified person decide."
    ),
    "three_lobes_unseen": "A gauge with two points does not see a shape of three lobes.",
}

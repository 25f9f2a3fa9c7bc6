"""Texts of plans and of the spacer question."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "pieces_missing": (
        "{valve} valve, {side} side, line {line}: {missing} of {quantity} shims {od_mm:g} x {thickness_mm:g} mm "
        "(bore {bore_mm:g} mm) are not on the shelf."
    ),
    "also_missing": "{missing} of {quantity} {part} are not on the shelf.",
    "also_age_to_check": (
        "{pieces} more of {part} lie there whose shelf life is not sure: inspect them or find their cure date, then "
        "hold them by their lot."
    ),
    "no_such_shims": (
        "Spacers of {add_min_mm:.3f} to {add_max_mm:.3f} mm are needed under the rebound base plate, and no free "
        "shims larger than the clamp shim and within the plate's contact diameter add up to that."
    ),
    "clamp_reaches_contact": (
        "Spacers are needed under the rebound base plate, and none can serve: each must be larger than the clamp shim "
        "of {clamp_od_mm:g} mm and lie within the plate's contact diameter of {contact_mm:g} mm. Taking in shims does "
        "not help: measure the contact diameter again, or choose a smaller clamp shim."
    ),
    "spacer_bore_close": (
        "The spacers' bore of {bore_mm:g} mm may be smaller than the shaft, which is {shaft_min_mm:g} to "
        "{shaft_max_mm:g} mm: measure both."
    ),
    "spacer_bore_loose": (
        "The spacers' bore of {bore_mm:g} mm may have more than {play_mm:g} mm of play on the shaft, which is "
        "{shaft_min_mm:g} to {shaft_max_mm:g} mm: measure the shaft."
    ),
    "spacer_not_found": (
        "Spacers of {add_min_mm:.3f} to {add_max_mm:.3f} mm are needed under the rebound base plate, and no free "
        "shims larger than the clamp shim and within the plate's contact diameter add up to that: take some in, or "
        "measure what the height and the lip really are."
    ),
    "spacer_not_chosen": (
        "Spacers of {add_min_mm:.3f} to {add_max_mm:.3f} mm are needed under the rebound base plate, and none is safe "
        "for every lot that lies in the drawers: take readings of the lots that have none, and plan again."
    ),
    "spacer_not_asked": (
        "Spacers are needed under the rebound base plate, and this plan was asked to leave them out: ask for it with "
        "spacers."
    ),
    "spacer_spread": (
        "The spacers add up to {total_min_mm:.3f} to {total_max_mm:.3f} mm, and {add_min_mm:.3f} to {add_max_mm:.3f} "
        "mm are safe: measure the spacers with a micrometer before they go on."
    ),
    "spacer_may_reach": (
        "Spacers of {add_min_mm:.3f} to {add_max_mm:.3f} mm are safe as the readings stand, and no free shims add up "
        "to that. What comes nearest, {total_min_mm:.3f} to {total_max_mm:.3f} mm, may be right: measure stack height, "
        "shaft and base plate more closely, and the shims with a micrometer."
    ),
    "contact_diameter_unknown": (
        "The contact diameter of the rebound base plate is unknown, and no spacer may be larger: measure it."
    ),
    "lip_from_model": (
        "The lip is computed with sizes of the damper model where this damper was not read: {sizes}. Measure them "
        "before the nut is tightened."
    ),
    "reading_far_off": (
        "The reading {name} of {reading_mm:g} mm is far from the damper model's {model_mm:g} mm: read it again, and "
        "look whether this is that damper."
    ),
    "stand_ins_used": (
        "Positions with stand-ins of the same diameter: {count}. The worst changes the sum of t^3 of its position by "
        "{worst_percent:.1f} %. Within one diameter that is exact for stiffness; it says nothing of friction."
    ),
    "stand_ins_by_curve": (
        "Positions with stand-ins: {count}. With the lots drawn the force of their side changes by "
        "{drawn_percent:+z.1f} % where it changes most; they were chosen by nominal sizes, by which it is "
        "{worst_percent:.1f} %."
    ),
    "stand_ins_curve_open": (
        "Positions with stand-ins: {count}. With the spacers behind them the curve of their side is not known to "
        "its end."
    ),
    "role_replaced_curve_open": (
        "{position} ({role}) gets {shims} mm in its place, as was allowed; what that does to its side's curve is not "
        "known. Check the cover, the light gap and the clamp at the bench."
    ),
    "role_replaced": (
        "{position} ({role}) gets {shims} mm in its place, as was allowed: with the lots drawn the force of its side "
        "changes by {drawn_percent:+z.1f} % where it changes most (by nominal sizes {percent:.1f} %). Check the cover, "
        "the light gap and the clamp at the bench."
    ),
    "best_of_curves_solved": (
        "Best found, not proven best: the nearest stand-ins by prediction were solved ({solved} curves)."
    ),
    "curve_hub_unknown_for_plan": (
        "Stand-ins are compared by sums of t^3 within one diameter: for curves, measure the piston's hub on the {side} "
        "side."
    ),
    "curve_seat_unknown_for_plan": (
        "Stand-ins are compared by sums of t^3 within one diameter: for curves, measure both sizes of the raised seat "
        "on the {side} side."
    ),
    "curve_contact_diameter_unknown_for_plan": (
        "Stand-ins are compared by sums of t^3 within one diameter: for curves, measure the diameter at which the "
        "{side} base plate touches the stack."
    ),
    "curve_ports_inner_unknown_for_plan": (
        "Stand-ins are compared by sums of t^3 within one diameter: for curves, measure the inner edge of the {side} "
        "side's ports."
    ),
    "curve_ports_outer_unknown_for_plan": (
        "Stand-ins are compared by sums of t^3 within one diameter: for curves, measure the outer edge of the {side} "
        "side's ports."
    ),
    "nut_is_another": (
        "{part} is {nut}, and the shaft is {shaft}: it is another thread's nut. It may start, then strip or back off."
    ),
    "nut_missing": "No {part} is free on the shelf: the nut {thread} is missing.",
    "nut_not_on_file": (
        "No nut {thread}, {hand} hand, is in the catalogue, so nothing is known of the nut that would go on: take one "
        "in, or name it."
    ),
    "nut_thread_unknown": "Which nut belongs on this shaft is not known: {reason}. Gauge the shaft's thread.",
    "nut_readings_of_which": (
        "Readings of a nut are told, but not of which nut, so they count for none: name the part number of the nut "
        "that was read."
    ),
    "nut_readings_of_another": (
        "The readings are of {part}, which is not the nut that this plan asks for: read the one that goes on, or ask "
        "for {part}."
    ),
    "nut_left_out": (
        "This plan was asked to leave the nut out: whether it has enough thread on this stack was not looked at."
    ),
    "search_cut_short": "The search was cut short: this is the best plan found, not proven to be the best there is.",
}

CONFIRM: dict[str, str] = {
    "gauge_shaft_pitch": "Gauge the pitch of the shaft's thread.",
    "gauge_nut_pitch": "Gauge the pitch of the nut's thread.",
    "read_shaft_crest": "Read the outer diameter of the shaft's thread.",
    "read_nut_crest": "Read the bore of the nut's thread.",
    "see_shaft_end": "Look that the shaft's end is plain: not peened, not damaged.",
    "see_nut_new": "Look that the nut is new.",
    "measure_nut": "Measure the nut: its height, and the depth of its chamfers.",
    "measure_lip": "Measure the shaft from shoulder to lip.",
    "measure_base_plate": "Measure the thickness of the rebound base plate.",
    "measure_spacer": "Measure the spacers with a micrometer before they go on.",
    "see_straddle": "Look that the base plate straddles the lip: some of it on the straight part, some past it.",
}

METHODS: dict[str, str] = {
    "plan": (
        "Every piece asked for is looked for like for like first; what is short gets the stand-ins that change the "
        "curve of force against lift least (or the sum of t^3, where a curve is not known), chosen together with the "
        "spacer in one height window by one written order; cover, order and lip are then checked with the lots chosen, "
        "and the nut where they put it, with what only the bench can read taken from the labels."
    ),
}

REFUSALS: dict[str, str] = {
    "spacer_too_high": (
        "Spacers up to {high_mm:g} mm high would be allowed, and {most_mm:g} mm is the most that can be: check the "
        "height of the stack and the shoulder to the lip."
    ),
    "too_many_pieces": "Too many pieces for one plan: ask for fewer shims, or in two plans.",
}

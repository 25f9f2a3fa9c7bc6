"""Texts of a stack's curve, wherever one is computed; those of a fit to a measured one stand in `curve_calibration`."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "curve_hub_unknown": "Measure the piston's hub that carries the stack from below on this side: its diameter.",
    "curve_contact_diameter_unknown": "Measure the diameter at which the base plate touches the stack on this side.",
    "curve_ports_inner_unknown": "Measure the diameter of the inner edge of this side's ports.",
    "curve_ports_outer_unknown": "Measure the diameter of the outer edge of this side's ports.",
    "curve_seat_unknown": (
        "Of the raised seat on this side only one size is on file: measure the diameter at which it meets the face "
        "shim, and how far it stands proud of the hub."
    ),
    "curve_of_floating": "A mid-valve's shims float and are clamped by nothing: their curve is not computed.",
    "curve_of_no_disc": "A ring or a three-cornered shim lies in this stack: how it bends cannot be computed.",
    "curve_not_round": (
        "Line {line}, {od_mm:g} mm, is not a round disc: how it bends cannot be computed. A qualified person decides."
    ),
    "curve_cut_shim": (
        "Line {line}, {od_mm:g} mm, is notched or slotted; computed as round, it is softer than the curve says."
    ),
    "curve_gap_uncertain": (
        "The crossover gap after group {after} is {gap_min_mm:g} to {gap_max_mm:g} mm: 0.01 mm more or less moves the "
        "force by some percent. Measure the shims that make it."
    ),
    "clamp_edge_at_centre": (
        "The clamp of {clamp_radius_mm:g} mm radius is no larger than what its edge would give way: check the smallest "
        "shim and the slip of the edge."
    ),
    "clamp_inside_bore": (
        "The clamp of {clamp_radius_mm:g} mm radius lies inside the shims' bore of {bore_mm:g} mm: check the hub, the "
        "base plate and the smallest shim."
    ),
    "clamp_reaches_face": (
        "The clamp of {clamp_radius_mm:g} mm radius reaches the face shim's rim ({face_radius_mm:g} mm): nothing is "
        "free to bend. Check the order of the stack, the hub and the base plate."
    ),
    "ring_without_width": (
        "The pressure ring from {inner_radius_mm:g} to {outer_radius_mm:g} mm has no width: check the ports' edges."
    ),
    "ring_beyond_face": (
        "The pressure ring ends at {outer_radius_mm:g} mm, beyond the face shim's rim ({face_radius_mm:g} mm): the "
        "shim does not cover the ports. Check the ports' outer edge and the face shim."
    ),
    "ring_inside_clamp": (
        "The pressure ring ends at {outer_radius_mm:g} mm, inside the clamp ({clamp_radius_mm:g} mm): it lifts "
        "nothing. Check the ports' edges, the hub and the base plate."
    ),
    "seat_beside_face": (
        "The seat at {seat_radius_mm:g} mm lies beside the free part of the face shim (rim {face_radius_mm:g} mm): "
        "check its radius."
    ),
    "seat_above_stop": (
        "The seat stands {seat_height_mm:g} mm proud where the base plate leaves {room_mm:g} mm: the stack cannot be "
        "closed. Check both heights."
    ),
    "too_many_shims": "The stack has {shims} shims, more than the {most} that are computed.",
    "stack_on_stop": (
        "The base plate is as large as the face shim and nothing smaller lies between: the stack cannot lift. Check "
        "the base plate's contact diameter."
    ),
    "too_many_diameters": (
        "With so many different diameters the stack has {contacts} places of contact, more than the {most} that are "
        "computed."
    ),
    "curve_not_solved": "The contacts of this stack do not settle in the computation, so there is no curve.",
    "lift_beyond_stop": (
        "The stack rests on its base plate at {stop_mm:.3g} mm: a lift of {lift_mm:g} mm is not reached."
    ),
    "lift_beyond_plates": (
        "From {lift_mm:g} mm on the shims stretch as well as bend (the face shims from about {most_mm:.2g} mm): forces "
        "there are larger than given, and by how much is not known. Ask for smaller lifts, or measure."
    ),
    "stress_over_fatigue": (
        "The peak stress is up to {mpa:.0f} MPa, in group {group} at {radius_mm:g} mm radius: over what spring strip "
        "bears for ever (500-700 MPa), so count on replacing it."
    ),
    "stress_near_yield": (
        "The peak stress is up to {mpa:.0f} MPa, in group {group} at {radius_mm:g} mm radius: near what bends spring "
        "strip for good (from {yield_min_mpa:.0f} MPa). Do not run this stack so far open."
    ),
    "stress_may_yield": (
        "At {lift_mm:.3g} mm the peak stress is {low_mpa:.0f} to {high_mpa:.0f} MPa, in group {group} at "
        "{radius_mm:g} mm radius; spring strip bends for good from {yield_min_mpa:.0f} to {yield_max_mpa:.0f} MPa. "
        "Beyond {from_mm:.3g} mm a shim may stay bent, and the numbers are not to be trusted. Ask for smaller lifts, "
        "or tell the yield strength of the strip."
    ),
    "stress_past_yield": (
        "At {lift_mm:.3g} mm the peak stress is {low_mpa:.0f} MPa at least, in group {group} at {radius_mm:g} mm "
        "radius, over what any spring strip bears ({yield_max_mpa:.0f} MPa): the shims stay bent, from {from_mm:.3g} "
        "mm on perhaps already. Do not open this stack so far."
    ),
    "curve_ends_at_yield": (
        "The lifts end at {lift_mm:.3g} mm: a little beyond, a shim of this stack may bear {mpa:.0f} MPa, from which "
        "spring strip may bend for good."
    ),
    "youngs_mpa_unusual": (
        "E of {min:g} to {max:g} GPa lies outside what spring strip has ({usual_min:g} to {usual_max:g} GPa): check "
        "what was told, or leave it out."
    ),
    "poisson_unusual": (
        "A Poisson's ratio of {min:g} to {max:g} lies outside what steel has ({usual_min:g} to {usual_max:g}): check "
        "what was told, or leave it out."
    ),
    "yield_mpa_unusual": (
        "A yield strength of {min:g} to {max:g} MPa lies outside what spring strip has ({usual_min:g} to "
        "{usual_max:g} MPa): check what was told, or leave it out."
    ),
    "curve_bore_unknown": (
        "Say the bore of the shims (first untold in line {line}) or the damper model: a clamp that lies inside the "
        "bore means that a size is wrong."
    ),
    "curve_seat_not_told": (
        "Say whether a raised seat bends the face shim: its radius and height as preload, or null for none."
    ),
    "open_fraction_unknown": (
        "State which part of the ring the ports leave open: until then pressures are those of a ring that is open all "
        "round, and forces are left out. Shares and comparisons hold."
    ),
    "band_by_thickness": (
        "Thickness leaves most open: the shims' spread moves the force by up to {percent:.0f} %. Measure the lots."
    ),
    "band_by_edge": (
        "The clamp's edge leaves most open: how far it gives way moves the force by up to {percent:.0f} %. Measure one "
        "stack of this piston to calibrate it."
    ),
    "band_by_stretch": (
        "Stretching leaves most open: at the largest lift the shims may be up to {percent:.0f} % stiffer than given."
    ),
    "band_by_steel": (
        "The steel leaves most open: E of spring strip is 180 to 220 GPa, which moves the force by up to {percent:.0f} "
        "%. Tell what the strip has, or measure one stack of this piston to calibrate it."
    ),
    "band_by_hub": (
        "The hub's size leaves most open: its range moves the force by up to {percent:.0f} %. Measure it more closely."
    ),
    "band_by_base": (
        "The base plate's size leaves most open: its range moves the force by up to {percent:.0f} %. Measure the "
        "diameter at which it touches the stack more closely."
    ),
    "band_by_ports": (
        "The ports' edges leave most open: their range moves the pressure by up to {percent:.0f} %. Measure them more "
        "closely."
    ),
    "band_by_seat": (
        "The raised seat leaves most open: its range moves the force by up to {percent:.0f} %. Measure its diameter "
        "and height more closely."
    ),
    "band_beside_ports": (
        "Once the face shim is off its land, oil presses on it beside the ports too, by how much is not known: with "
        "that the same lift needs up to {percent:.0f} % less, which the lower end of the band holds."
    ),
    "band_by_friction": (
        "Friction between the shims leaves most open: up to {percent:.0f} % more force opening and less closing."
    ),
    "calibrated": (
        "The piston of the {valve} valve was calibrated on {on} by a curve measured on its {measured_side} side: E "
        "{youngs_gpa:.0f} GPa, the clamp's edge gives way by {edge_slip:.2f} thicknesses; that leaves {percent:.1f} % "
        "of the force open."
    ),
    "calibration_outdated": (
        "The {measured_side} side of the {valve} valve was measured on {on}, and its sizes on file have changed since: "
        "that fit is not used. Fit the measured points again."
    ),
    "band_by_calibration": (
        "Most of what is open is what the measured curve of this piston could not settle: up to {percent:.0f} % of the "
        "force. Measured again with measured shims and more points it is less."
    ),
    "force_is_not_damping": (
        "Force against lift is not damping force: it knows no bleed, no flow and no speed. Ports are taken as a ring, "
        "so the lift is the mean round the rim."
    ),
}

METHODS: dict[str, str] = {
    "stack-curve": (
        "Neighbouring shims of one diameter bend as one plate; all plates are clamped at the smallest radius and press "
        "on each other where they touch, which is solved at every radius of a part and followed from rest to each "
        "lift. The band lies between two more stacks: one with every shim, size, steel and the oil's pressure beside "
        "the ports at the soft end, one with all of them at the stiff end."
    ),
}

REFUSALS: dict[str, str] = {
    "curve_without_side": "The valve has no {side} side.",
}

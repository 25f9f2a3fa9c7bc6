"""Texts of a fit to a measured curve; those of the curve itself stand in `stack_curve`."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "calibration_poor": (
        "The points lie {percent:.1f} % off (root mean square) even the nearest curve of this stack: check its order "
        "and thicknesses, the hub, the base plate and the ring, and how lift and force were measured."
    ),
    "calibration_at_bound_youngs": (
        "The stiffness that explains the points lies outside what spring strip has (180-220 GPa), so it was held at "
        "the end of that range: check the thicknesses, the ring, and how force was measured."
    ),
    "calibration_at_bound_edge_slip": (
        "The slip of the clamp's edge that explains the points best is at the end of its range (0 to 1 thicknesses)."
    ),
    "calibration_for_this_piston": (
        "These numbers hold for stacks on this piston, hub and base plate. Kept for its damper model they count for "
        "every curve from then on."
    ),
    "calibration_beyond_plates": (
        "From {lift_mm:g} mm on the shims stretch as well as bend (from about {most_mm:.2g} mm), which the fit does "
        "not know: leave those points out."
    ),
    "calibration_span_small": (
        "The points lie from {first_mm:g} to {last_mm:g} mm, too near each other to tell a curve: measure to "
        "{reach_mm:.2g} mm at least, the last lift {span:g} times the first."
    ),
    "calibration_thickness_open": (
        "The thickness of the measured shims leaves {percent:.0f} % of the force open, for every stack that uses this "
        "fit: measure them, and say what the micrometer may be off."
    ),
    "calibration_of_cut_shim": (
        "Line {line}, {od_mm:g} mm, is notched or slotted, which is computed as round: a fit would take that for soft "
        "steel. Measure a stack of round shims."
    ),
    "calibration_too_many": (
        "The stack has {groups} different diameters one after the other, more than the {most} that are fitted: measure "
        "a simpler stack."
    ),
    "calibration_sizes_open": (
        "So many sizes of this piston are known only between limits that no curve can be fitted on it: measure the "
        "hub, the base plate, the ports' edges and the seat."
    ),
}

METHODS: dict[str, str] = {
    "curve-calibration": (
        "The curve of the stack is computed for a slip of the clamp's edge, E follows from it by relative least "
        "squares within the range of spring strip, and the slip that leaves least is searched for."
    ),
}

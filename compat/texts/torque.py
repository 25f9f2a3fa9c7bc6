"""Texts of the torque question."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "torque_source_missing": (
        "Say where the torque comes from: the maker's instructions for this very application. There is no usual figure."
    ),
    "prevailing_unknown": (
        "Measure what turns the nut before it clamps (its prevailing torque; 0 for a free nut): it is added to "
        "the figure."
    ),
    "prevailing_added": (
        "The prevailing torque of {n_m:g} N.m is added to the figure, unless the maker says that it is in it."
    ),
    "nut_factor_unknown": (
        "The friction is not known: K is taken from {low:g} to {high:g}. A locking compound or oil changes it; its "
        "maker's figure replaces this range."
    ),
    "torque_over_proof": (
        "This torque loads the shaft to {low:.0f} to {high:.0f} % of its proof load (class {property_class}): do not "
        "tighten it so."
    ),
    "torque_may_be_over_proof": (
        "This torque may load the shaft over its proof load: {low:.0f} to {high:.0f} % (class {property_class}). Find "
        "the friction's figure, or ask the damper's maker."
    ),
    "torque_near_proof": (
        "This torque loads the shaft to {low:.0f} to {high:.0f} % of its proof load; {usual:g} % is usual for a joint "
        "that is taken apart again."
    ),
    "engagement_unknown": (
        "Measure how much full thread is engaged: the question “May this nut go on this shaft?” gives it."
    ),
    "torque_may_strip": (
        "The preload is {low:.0f} to {high:.0f} % of what strips the weaker thread over this engagement; half is the "
        "most here. Use a higher nut or more engagement."
    ),
}

METHODS: dict[str, str] = {
    "torque": (
        "Preload from torque by T = K d F over the whole range of K, or by the long form where friction and bearing "
        "face are known; compared with the proof load of the stress area less the hole, and with what strips the "
        "weaker thread at the widest usual classes, in a nut of the class that goes with the shaft's."
    ),
}

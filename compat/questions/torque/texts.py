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
    "prevailing_middle_added": (
        "Of the prevailing torque, read as {low:g} to {high:g} N.m, the middle, {n_m:g} N.m, is added to the figure, "
        "unless the maker says that it is in it. The {off_n_m:g} N.m that the nut may turn heavier or lighter with are "
        "counted either way."
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
    "torque_over_yield": (
        "Pulled and twisted together this torque loads the shaft to {low:.0f} to {high:.0f} % of its yield stress; "
        "{most:g} % is the most: do not tighten it so."
    ),
    "torque_may_be_over_yield": (
        "Pulled and twisted together this torque may load the shaft to {high:.0f} % of its yield stress ({low:.0f} % "
        "at best); {most:g} % is the most. Find the friction of thread and bearing face, or use a wrench of known "
        "error."
    ),
    "wrench_error_assumed": (
        "The wrench's error is not known: {percent:g} % either way is taken. A wrench that was checked says its own."
    ),
    "friction_contradicts_factor": (
        "Friction and bearing face give a nut factor of {low:g} to {high:g}, which the nut factor told lies outside "
        "of: look again which compound they are for."
    ),
    "engagement_unknown": (
        "Measure how much full thread is engaged: the nut's height less its chamfers and what of it is not thread."
    ),
    "torque_strips": (
        "The preload is {low:.0f} to {high:.0f} % of what strips the weaker thread over this engagement; half is the "
        "most here. Use a higher nut or more engagement."
    ),
    "torque_may_strip": (
        "The preload may be {high:.0f} % of what strips the weaker thread over this engagement ({low:.0f} % at best); "
        "half is the most here. Measure the engagement and find the friction's figure, or use a higher nut."
    ),
}

METHODS: dict[str, str] = {
    "torque": (
        "Preload from torque by T = K d F over the whole range of K, or by the long form where friction and bearing "
        "face are known, with the wrench's error; compared with the proof load of the least section, the stress area "
        "or the relief groove less the hole, with the yield stress under tension and torsion together while the nut is "
        "tightened, and with what strips the weaker thread at the widest usual classes of tolerance."
    ),
}

REFUSALS: dict[str, str] = {
    "wrench_arm": "An adapter of {adapter_mm:g} mm leaves no arm on a wrench of {wrench_mm:g} mm: measure both again.",
    "wrench_error": "A wrench's error is 0 to {most:g} %: one that is further off is not used.",
}

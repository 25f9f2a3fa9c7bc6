"""Texts of the nut-on-shaft question. `{part}` is `shaft` or `nut`."""

from __future__ import annotations

_PITCH_GAUGE = "Gauge the pitch of the {0} with a leaf gauge over at least ten threads, against the light."
_HAND = "State the hand of the {0}: does it turn away from you clockwise (right) or not (left)?"

TEXTS: dict[str, str] = {
    # what is written
    "shaft_thread_not_known": "State the shaft's thread with its pitch, for example M12x1.25.",
    "nut_thread_not_known": "State the nut's thread with its pitch, for example M12x1.25.",
    "thread_not_understood": "The {part}'s thread is not understood: {text!r}. Write it like M12x1.25 or 1/2-20 UNF.",
    "thread_form_missing": (
        "{text!r} on the {part} does not say which thread it is: write M for metric, or UNC, UNF or UNEF."
    ),
    "thread_form_unknown": "{text!r} on the {part} is a thread form that is not covered: a qualified person decides.",
    "diameter_not_standard": "{text!r} on the {part}: {nominal} is no tabulated thread diameter. Measure it again.",
    "pitch_not_standard": "{text!r} on the {part}: {pitch:g} is no tabulated pitch of that diameter ({usual}).",
    "pitch_ambiguous": "{text!r} on the {part} could mean any of the pitches {usual} mm: gauge it and write it down.",
    "pitch_is_per_inch": (
        "{text!r} on the {part}: {pitch:g} is no pitch in millimetres ({usual}). Is it a number of threads per inch or "
        "a length?"
    ),
    "series_missing": "{text!r} on the {part} could be unified or Whitworth: write UNC, UNF or UNEF if it is unified.",
    "series_contradicts_pitch": "{text!r} on the {part}: that number of threads per inch is not {series}. Gauge it.",
    "metric_series_contradicts": "{text!r} on the {part}: that pitch is no {series} one of its diameter. Gauge it.",
    "class_is_a_pair": "{text!r} on the {part} names the classes of two parts: write only that of the {part}.",
    "class_not_for_part": (
        "Class {tolerance_class} cannot belong to the {part}: capital letters are nuts, small shafts."
    ),
    "class_outside_tables": "Class {tolerance_class} of {thread} is not tabulated: state another, or leave it out.",
    "class_contradicts_label": "The {part}'s class is given as {tolerance_class} but its label says {written}: which?",
    "class_assumed": "The {part}'s tolerance class is unknown: {tolerance_class}, the widest usual one, is taken.",
    "coarse_pitch_taken": (
        "{thread} is taken for the {part}: a metric thread written without pitch is coarse, never fine."
    ),
    # gauge and hand
    "shaft_pitch_not_gauged": _PITCH_GAUGE.format("shaft"),
    "nut_pitch_not_gauged": _PITCH_GAUGE.format("nut") + " In a small nut, gauge a tap or screw that runs through it.",
    "gauge_looks_per_inch": (
        "The {part}'s gauged pitch reads {gauged_mm:g}, which is threads per inch ({mm:g} mm), but {thread} has "
        "{pitch_mm:g} mm: gauge it with metric leaves."
    ),
    "gauge_near_another_leaf": (
        "The {part} was gauged at {gauged_mm:g} mm, near the {pitch_mm:g} mm of {thread} but not the same leaf. "
        "1.25 mm and 20 per inch (1.27 mm) are easily confused: gauge again over the longest thread there is."
    ),
    "gauge_contradicts_label": (
        "The {part} was gauged at {gauged_mm:g} mm but {thread} has {pitch_mm:g} mm: the label or the gauging is "
        "wrong. Gauge again and identify the {part} before it is used."
    ),
    "shaft_hand_unknown": _HAND.format("shaft"),
    "nut_hand_unknown": _HAND.format("nut"),
    "hand_contradicts_label": (
        "The {part} is said to be {hand}-handed but its label says {written}: look at the thread."
    ),
    # identity
    "threads_differ": (
        "The threads are not the same: shaft {shaft}, nut {nut} (differs: {differs}). Do not use this nut."
    ),
    "gauged_pitches_differ": (
        "The gauge reads {shaft_mm:g} mm on the shaft and {nut_mm:g} mm on the nut: never use them."
    ),
    "hands_differ": "The shaft is {shaft}-handed and the nut {nut}-handed.",
    "false_friend": (
        "A false friend: a {nut} nut spins freely on {shaft} for {turns_low:.0f} to {turns_high:.0f} turns, more than"
        " it has, while only {percent_low} to {percent_high} % of the thread overlaps. It will strip. That it spins "
        "on proves nothing."
    ),
    "false_friend_never_binds": (
        "A false friend: {nut} has the pitch of {shaft} and spins over its whole length, while only {percent_low} to "
        "{percent_high} % of the thread overlaps. It will strip. That it spins on proves nothing."
    ),
    "binds_after_turns": (
        "A {nut} nut on {shaft} binds after about {turns_low:.1f} to {turns_high:.1f} turns past the lead-in; below "
        "zero it may not start. It can be started and forced: that ruins both threads."
    ),
    # geometry
    "shaft_major_not_read": "Measure the outside diameter of the shaft's thread.",
    "nut_minor_not_read": (
        "Measure the nut's bore over the crests, or try a plug gauge: it separates M12x1.25 (10.65 to 10.91 mm) from "
        "1/2-20 (11.33 to 11.61 mm), which a leaf gauge does not."
    ),
    "shaft_crest_outside_limits": (
        "The shaft's thread measures {reading_mm:g} mm outside, but {thread} has {low_mm:g} to {high_mm:g} mm: worn, "
        "or another thread. Measure again at several places."
    ),
    "nut_crest_outside_limits": (
        "The nut's bore measures {reading_mm:g} mm, but {thread} has {low_mm:g} to {high_mm:g} mm: worn, or another "
        "thread. Measure again."
    ),
    "shaft_crest_partly_outside": (
        "The shaft's thread measures {read_low_mm:g} to {read_high_mm:g} mm outside, the caliper's error included, but "
        "{thread} has {low_mm:g} to {high_mm:g} mm: measure it more closely."
    ),
    "nut_crest_partly_outside": (
        "The nut's bore measures {read_low_mm:g} to {read_high_mm:g} mm, the caliper's error included, but {thread} "
        "has {low_mm:g} to {high_mm:g} mm: measure it more closely."
    ),
    "shaft_could_be_another_thread": "By that diameter and a pitch so near, the shaft could be {names}: identify it.",
    "nut_could_be_another_thread": "By that bore and a pitch so near, the nut could be {names}: identify it.",
    "overlap_too_small": "The threads overlap by {low:.0f} to {high:.0f} % of their depth; {least:g} % is the least.",
    "overlap_not_proven": (
        "The threads may overlap by only {low:.0f} % of their depth ({high:.0f} % at best); {least:g} % is the least. "
        "Measure the shaft's outside diameter and the nut's bore."
    ),
    "no_play": "There is no play between the threads ({low_mm:g} to {high_mm:g} mm): the nut would jam.",
    "play_not_proven": (
        "The play between the threads is {low_mm:g} to {high_mm:g} mm: gauge the pitch diameters, or run the nut down "
        "by hand over the full thread."
    ),
    "play_by_gauge": (
        "The play between the threads may be none by their limits ({low_mm:g} to {high_mm:g} mm); the thread was "
        "gauged over its whole length. Run the nut down by hand first."
    ),
    "caliper_cannot_tell": (
        "A caliper cannot tell {thread} from {names}: their outside diameters overlap. Gauge the pitch."
    ),
    "leaf_gauge_cannot_tell": (
        "A leaf gauge can take {pitch_mm:g} mm for {per_inch} threads per inch: read the nut's bore."
    ),
    # reuse
    "end_condition_unknown": "Look at the shaft's end: plain, peened, peened and dressed, or damaged?",
    "shaft_end_peened": "The shaft's end is peened. Dress it and gauge the thread before any nut goes on.",
    "shaft_end_damaged": (
        "The shaft's end is damaged: no nut goes on it until a qualified person has repaired and passed it."
    ),
    "dressed_end_not_gauged": (
        "The peened end was dressed: gauge the thread over its full length and run the nut down by hand first."
    ),
    "dressed_end_gauged": "The dressed end is gauged over its full length; run the nut down by hand before tightening.",
    "nut_condition_unknown": "Is the nut new or used?",
    "nut_locking_unknown": "How does the nut lock: not at all, prevailing torque, staked, or by locking compound?",
    "nut_unthreaded_unknown": (
        "Measure what of the nut's height is not thread: nylon ring, insert, collar or counterbore (0 for a nut of one "
        "metal whose turns are squeezed)."
    ),
    "used_locking_nut": "A used {locking} nut is not reused: fit a new one.",
    "used_nut": "The nut is used: clean it of old compound, look at every thread, and run it down by hand first.",
    "no_locking": (
        "Nothing locks this nut: high-strength locking compound on degreased threads is the trade's practice."
    ),
    # engagement
    "full_thread_start_unknown": "Measure from the shoulder to where the shaft's full thread begins.",
    "shaft_end_unknown": "Measure from the shoulder to the shaft's end.",
    "nut_underside_unknown": "Measure from the shoulder to where the nut's underside sits: everything under it.",
    "nut_height_unknown": "Measure the nut's height.",
    "nut_chamfer_unknown": "Measure the depth of the nut's chamfer (0 if there is none).",
    "shaft_hole_unknown": "Measure the hole in the shaft's end (0 if it is solid).",
    "positions_contradict": (
        "The full thread begins at {start_mm:g} mm, past the shaft's end at {end_mm:g} mm: measure both."
    ),
    "nut_runs_out_of_thread": (
        "The nut's underside sits at {underside_mm:g} mm, before the full thread begins at {start_mm:g} mm, and there "
        "is no relief groove: it meets the run-out of the thread and does not clamp."
    ),
    "nut_may_run_out_of_thread": (
        "The nut's underside at {underside_mm:g} mm lies, or may lie, before the full thread begins at {start_mm:g} "
        "mm: measure both closely, and look whether a relief groove lies there that is deeper than the thread."
    ),
    "nut_overhangs_relief": (
        "The nut reaches from {underside_mm:g} mm over the relief groove; only the turns past {start_mm:g} mm count as "
        "engaged."
    ),
    "too_little_protrusion": (
        "The shaft protrudes {protrusion_mm:g} mm past the nut; at least one pitch, {pitch_mm:g} mm."
    ),
    "protrusion_not_proven": (
        "The shaft may protrude less than one pitch, {pitch_mm:g} mm (about {protrusion_mm:g} mm): measure the "
        "shaft's end, the nut and what lies under it."
    ),
    "no_engagement": "No full thread is engaged.",
    "engagement_under_a_turn": (
        "Less than one full turn of thread is engaged ({least_mm:g} mm at least, one turn is {pitch_mm:g} mm)."
    ),
    "engagement_may_be_under_a_turn": (
        "Less than one full turn of thread may be engaged ({least_mm:g} mm at least, one turn is {pitch_mm:g} mm): "
        "measure the nut, what of it is not thread, and where it sits."
    ),
    "wall_too_thin_to_judge": (
        "A hole of {hole_mm:g} mm leaves {wall_mm:g} mm of wall under {thread}. Under {least_mm:g} mm nothing here "
        "says what its thread carries: measure the hole closely, and a qualified person decides."
    ),
    "thin_wall_load_unknown": (
        "A hole of {hole_mm:g} mm leaves {wall_mm:g} mm of wall under {thread}. Under {thin_mm:g} mm the shaft is a "
        "thin tube: tell the preload that the torque gives."
    ),
    "thin_wall": (
        "A hole of {hole_mm:g} mm leaves {wall_mm:g} mm of wall under {thread}, a thin tube: it was judged by its net "
        "section at this load."
    ),
    "hole_leaves_no_wall": "A hole of {hole_mm:g} mm leaves no wall under {thread}: measure it again.",
    "thread_relief_unknown": (
        "Look whether a relief groove lies before the full thread. If it does, measure the diameter in it: the shaft "
        "is weakest there. Until then only the thread itself is judged."
    ),
    "relief_diameter_unknown": (
        "Measure the diameter in the relief groove before the full thread: the shaft is weakest there. Until then only "
        "the thread itself is judged."
    ),
    "groove_wall_too_thin_to_judge": (
        "A hole of {hole_mm:g} mm leaves {wall_mm:g} mm of wall in the relief groove of {thread}. Under {least_mm:g} "
        "mm nothing here says what it carries: measure both closely, and a qualified person decides."
    ),
    "groove_thin_wall_load_unknown": (
        "A hole of {hole_mm:g} mm leaves {wall_mm:g} mm of wall in the relief groove of {thread}. Under {thin_mm:g} mm "
        "the shaft is a thin tube there: tell the preload that the torque gives."
    ),
    "groove_thin_wall": (
        "A hole of {hole_mm:g} mm leaves {wall_mm:g} mm of wall in the relief groove of {thread}, a thin tube: it was "
        "judged by its section at this load."
    ),
    "hole_leaves_no_wall_in_groove": (
        "A hole of {hole_mm:g} mm leaves no wall in the relief groove of {thread}: measure both again."
    ),
    "under_full_strength": (
        "The engaged {available_mm:g} mm give {percent} % of the {full_mm:g} mm at which the shaft would break before "
        "its thread strips. That is usual for standard nuts."
    ),
    "needed_engagement_open": (
        "No preload is told, so the thread must carry as much as the strongest shaft of its class. What the torque "
        "does to the joint is another question."
    ),
    "engagement_under_full_strength": (
        "{available_mm:g} mm of thread are engaged at least; {full_mm:g} mm carry as much as the shaft itself, which "
        "may be {factor:g} times as strong as the least of its class. Tell the preload that the torque gives, or take "
        "a higher nut."
    ),
    "thin_nut": "The nut is thin (under 0.8 of the diameter); it was judged by the preload entered.",
    "thin_nut_at_full_strength": (
        "The nut is thin (under 0.8 of the diameter), which is not made to carry what a whole shaft of its thread "
        "does; without a preload it was judged by what breaks this shaft."
    ),
    "shaft_strength_unknown": "State the shaft's property class ({known}): without it nothing says what it carries.",
    "nut_strength_unknown": "State the nut's property class ({known}): without it stripping cannot be judged.",
    "classes_do_not_pair": "A class {nut_class} nut is weaker than its pair for a class {shaft_class} shaft.",
    "engagement_too_short": (
        "{available_mm:g} mm of thread are engaged, {needed_mm:g} mm are needed to strip no sooner than at {factor:g} "
        "times the largest preload."
    ),
    "engagement_may_be_too_short": (
        "{available_mm:g} mm of thread are engaged at least, {needed_mm:g} mm are needed to strip no sooner than at "
        "{factor:g} times the largest preload: measure the nut and where it sits more closely, or take a higher nut."
    ),
    "preload_may_be_over_proof": (
        "The preload may reach {preload_n} N, above the proof load {proof_n} N that a {shaft_class} shaft may have: "
        "measure the hole more closely, or find the friction's figure."
    ),
    "preload_over_proof": (
        "The preload reaches {preload_n} N, above the proof load {proof_n} N of a {shaft_class} shaft."
    ),
    # beside the catalogue
    "nut_reading_contradicts": (
        "The nut's {reading} was read as {reading_mm:g} mm, but the catalogue says {label_mm:g} mm of {part}: measure "
        "again, or name the nut that this is."
    ),
    "nut_reading_may_contradict": (
        "The nut's {reading} was read as {low_mm:g} to {high_mm:g} mm, which reaches further than a {part} may be from "
        "the {label_mm:g} mm of the catalogue: measure it again, more closely."
    ),
    "nut_marking_contradicts": (
        "The nut's {reading} was read as {read}, but the catalogue says {label} of {part}: look again, or name the nut "
        "that this is."
    ),
    # plausibility
    "thread_reading_in_inches": (
        "The {reading} of the {part} reads {value:g}: is that in inches ({mm:g} mm)? Enter millimetres."
    ),
    "bore_over_outside": (
        "The nut's bore reads {bore_mm:g} mm, more than the shaft measures outside ({outside_mm:g} mm): such a nut "
        "slides over the shaft. Measure both again; are the two readings swapped?"
    ),
    "thread_reading_implausible": (
        "The {reading} of the {part} reads {value:g} mm, which no such part has: measure it again."
    ),
}

METHODS: dict[str, str] = {
    "nut-on-shaft": (
        "Identity first: same form, diameter, pitch, hand and starts, with both pitches gauged. Then the limits of "
        "size of both threads, narrowed by the readings, give play, turns before binding and overlap at their worst; "
        "then reuse rules, and what the full thread in the nut carries: the preload told, or what breaks the strongest "
        "shaft of its class in its least section, under the thread or in the relief groove."
    ),
}

REFUSALS: dict[str, str] = {
    "not_a_length": "{value:g} is not a length in millimetres here: measure it again, or leave it empty.",
    "groove_of_none": "This is the diameter in a relief groove, and it is said that there is none: which of the two?",
    "not_one_of": "{value} is not one of {known}.",
}

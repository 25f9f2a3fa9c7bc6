"""Texts of the thread-reading question. `{part}` is `shaft` or `nut`."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "reading_diameter_missing": (
        "Measure the diameter over the crests: of a shaft outside, of a nut its bore, with a calliper at three places."
    ),
    "reading_pitch_missing": "Gauge the pitch with a leaf gauge over at least ten threads, against the light.",
    "reading_in_inches": "{value:g} mm is no thread here; if it was read in inches it is {mm:g} mm. Which is it?",
    "reading_outside_tables": (
        "{value:g} mm lies outside what is tabulated here ({least:g} to {most:g} mm): check the reading and its unit."
    ),
    "pitch_looks_per_inch": (
        "{value:g} is no pitch in millimetres; as threads per inch it is {mm:g} mm. Give it as threads per inch, or "
        "gauge again with metric leaves."
    ),
    "pitch_too_fine": "A pitch of {value:g} mm is finer than any here ({least:g} mm): is it in inches?",
    "readings_swapped": (
        "A diameter of {diameter_mm:g} mm is smaller than its pitch of {pitch_mm:g} mm. Swapped they would be "
        "{threads}: were they typed into each other's field?"
    ),
    "no_thread_matches": (
        "No thread of the tables has these readings: measure again at three places. A worn, peened or plated {part} "
        "reads beside its thread, and pipe, Whitworth and special threads are not in these tables; a qualified person "
        "decides."
    ),
    "several_threads_match": "{count} threads have these readings: {threads}. See which reading tells them apart.",
    "another_thread_is_near": (
        "The readings are those of {thread}, and {threads} is so near that a reading slightly off would name it: "
        "measure again as said below."
    ),
    "reading_partly_outside": (
        "Only {thread} comes near, but the readings are not all its own: {read_low_mm:g} to {read_high_mm:g} mm with "
        "the caliper's error, where it has {low_mm:g} to {high_mm:g} mm, and a pitch of {read_pitch_mm:g} mm for "
        "{pitch_mm:g}. Measure again more closely; a worn or plated {part} may read beside its thread."
    ),
    "one_thread_matches": (
        "Of the tabulated threads only {thread} has these readings. Look at the hand and count the starts as well, and "
        "gauge the other part too before they are put together."
    ),
    "separate_by_pitch": (
        "{best} or {thread}: measure over {threads} threads. It is {best_mm:g} mm for the first and {other_mm:g} mm "
        "for the second."
    ),
    "separate_by_diameter": (
        "{best} or {thread}: the diameter over the crests is {low_mm:g} to {high_mm:g} mm for the first and "
        "{other_low_mm:g} to {other_high_mm:g} mm for the second. Measure it again, at three places."
    ),
    "separate_by_flank": (
        "{best} or {thread}: neither diameter nor pitch tells them apart. Try a gauge or a part that is known to be "
        "one of them; never by force."
    ),
    "whitworth_twin": (
        "A Whitworth thread (55 degrees) of the same size has the same diameter and pitch as {thread}: look at the "
        "{part} with a thread template before a nut goes on."
    ),
}

METHODS: dict[str, str] = {
    "thread-reading": (
        "Every tabulated thread whose limits of size, in its usual classes, touch the readings with their gauges' "
        "errors is a candidate; the nearest to the middle comes first. It is that thread only where every reading lies "
        "within its limits. Threads that twice those errors would reach are named too. For each the reading is given "
        "that tells it from the first."
    ),
}

"""Texts of the inspection sheet."""

from __future__ import annotations

ITEMS = {
    "bore": "The body's bore",
    "band": "The band and its O-ring",
    "shaft": "The shaft",
    "seal": "The ring in the seal head",
    "joint": "The nut",
}

# What no reading of a part tells.
REUSED = {
    "bore": "By the readings nothing speaks against it, if it is free of scores to eye and finger.",
    "band": "By the readings nothing speaks against it, if neither is nicked, hard or torn.",
    "seal": "By the readings nothing speaks against it, if it is neither nicked nor hard.",
}

TEXTS: dict[str, str] = {
    "rod_not_read": "The ring is judged on a nominal shaft: measure the shaft where the seal runs.",
    "shaft_bad_for_seal": "No ring seals on this shaft: its surface is {surface}.",
    "bore_not_sure": "{why} Until then nobody knows in which bore the band must seal.",
    "rod_not_sure": "{why} Until then nobody knows on which shaft the ring must seal.",
    "inspected_reuse": "{title}: {why} Verdict: reuse.",
    "inspected_replace": "{title}: {why} Verdict: replace.",
    "inspected_unsure": "{title}: {why} Verdict: cannot tell.",
    "not_inspected": "{title}: nothing of it was read. {why} Verdict: cannot tell.",
    "mend_by_energiser": "A new O-ring under the same band would seal in this bore.",
    "mend_by_energiser_maybe_band": (
        "A new O-ring and a new band would seal in this bore; whether the O-ring alone would is open."
    ),
    "mend_by_energiser_and_band": "A new O-ring and a new band would seal in this bore; the O-ring alone would not.",
    "mend_by_body": "Neither a new O-ring nor a new band would seal in this bore: the body is worn out.",
}

# What to read first of a part of which nothing was read.
FIRST: dict[str, str] = {
    "bore": "Measure its diameter at three depths or more, in three directions each, over the travel of its piston.",
    "band": "Measure over the band on its O-ring with the caliper only touching, or the section of the O-ring.",
    "shaft": "Measure its diameter at three places, in three directions each, its run-out, and look at its surface.",
    "seal": "Measure the section of the ring at three places, or fit a new one.",
    "joint": "Gauge the pitch of shaft and nut.",
}

METHODS: dict[str, str] = {
    "inspection": (
        "Each part is judged by its own question, at every corner of its readings: bore, band, shaft, seal ring, nut "
        "on shaft. The band is judged in the bore that was read, the seal ring on the shaft that was read. What the "
        "model tells is taken as it stands; a part of which nothing was read is never reused."
    ),
}

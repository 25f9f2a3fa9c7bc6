"""Texts of the bore question."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "bore_under_nominal": (
        "A reading of {diameter_mm:g} mm lies under the nominal {nominal_mm:g} mm, and a bore does not wear smaller: "
        "measure it again."
    ),
    "bore_nominal_missing": "Give the bore's nominal diameter: from it wear is calculated.",
    "bore_limit_missing": (
        "No standard says how much a bore may wear. Enter the largest diameter from the maker's instructions, or the "
        "band and its energiser, from which a limit follows."
    ),
    "bore_limit_under_nominal": (
        "The largest diameter allowed, {max_mm:g} mm, is less than the nominal {nominal_mm:g} mm: look it up again."
    ),
    "bore_worn_out": "The bore is {largest_mm:g} mm at its largest; {max_mm:g} mm is the most. The body is worn out.",
    "bore_at_limit": (
        "The bore is {low_mm:g} to {high_mm:g} mm at its largest; {max_mm:g} mm is the most. Measure more closely."
    ),
    "bore_band_does_not_seal": "At {largest_mm:g} mm the band in it does not seal.",
    "bore_band_unsure": (
        "Whether the band seals at {largest_mm:g} mm is open. Ask about the band alone: it says what to measure."
    ),
    "bore_band_follows": "The band still follows, with {left_mm:.2f} mm of wear to spare: little.",
}

METHODS: dict[str, str] = {
    "bore": (
        "From readings at several depths, in three directions or more each, over the travel: the largest diameter of "
        "the ellipse through them less the nominal one, the largest difference in one depth, and between the means of "
        "the depths; compared with the maker's limit, or with what the band in it can follow."
    ),
}

"""Texts of the question of a worn shaft."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "shaft_over_nominal": (
        "A reading of {diameter_mm:g} mm lies over the nominal {nominal_mm:g} mm, and a shaft does not wear thicker: "
        "measure it again."
    ),
    "runout_limit_large": "A run-out of {max_mm:g} mm is allowed to no damper's shaft: look the limit up again.",
    "shaft_nominal_missing": "Give the shaft's nominal diameter: from it wear is calculated.",
    "shaft_limit_missing": "Enter the least diameter from the maker's instructions; no standard gives one.",
    "shaft_limit_over_nominal": (
        "The least diameter allowed, {min_mm:g} mm, is more than the nominal {nominal_mm:g} mm: look it up again."
    ),
    "shaft_worn_thin": "The shaft is {smallest_mm:g} mm at its thinnest; {min_mm:g} mm is the least. Replace it.",
    "shaft_at_limit": (
        "The shaft is {low_mm:g} to {high_mm:g} mm at its thinnest; {min_mm:g} mm is the least. Measure more closely."
    ),
    "runout_missing": "Measure the run-out: turn the shaft between centres under a dial gauge.",
    "runout_limit_missing": (
        "The run-out is {runout_mm:g} mm. Enter the most that is allowed, from the maker's instructions."
    ),
    "shaft_bent": "The shaft runs out by {runout_mm:g} mm; {max_mm:g} mm is the most. It is bent.",
    "runout_at_limit": (
        "The shaft runs out by {low_mm:g} to {high_mm:g} mm; {max_mm:g} mm is the most. Measure more closely."
    ),
    "surface_missing": "Look at the surface and feel it with a fingernail: is it sound, pitted or worn?",
    "shaft_pitted": "The surface is pitted: pits cut the seal. Replace the shaft, or have it replated by a specialist.",
    "shaft_worn": "The surface is worn through or scored: it cuts the seal. Replace the shaft, or have it replated.",
}

METHODS: dict[str, str] = {
    "shaft": (
        "From readings at several places, in three directions or more each, over the travel: the nominal diameter less "
        "the smallest one of the ellipse through them, and the differences; run-out between centres and surface beside "
        "the maker's limits."
    ),
}

"""Texts of the clearance question."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "bore_size_missing": "Measure the bore.",
    "shaft_size_missing": "Measure the shaft.",
    "bore_not_measured": (
        "The bore is known by its class {tolerance_class} only, which says how it was meant: measure it."
    ),
    "shaft_not_measured": (
        "The shaft is known by its class {tolerance_class} only, which says how it was meant: measure it."
    ),
    "nominal_missing": "Give the nominal diameter that the class {tolerance_class} of the {part} belongs to.",
    "size_outside_class": (
        "The {part} measures {size_mm:g} mm, which is not surely {tolerance_class} ({low_mm:.3f} to {high_mm:.3f} mm): "
        "is it that part, and is it worn?"
    ),
    "size_looks_like_inches": (
        "The {part} of {size_mm:g} is far from the other: was it measured in inches? Every length here is in "
        "millimetres."
    ),
    "bore_does_not_pass": "The shaft does not pass through the bore: the play is {low_mm:.3f} to {high_mm:.3f} mm.",
    "bore_may_not_pass": (
        "The shaft may not pass through the bore: the play is {low_mm:.3f} to {high_mm:.3f} mm. Measure both."
    ),
    "most_clearance_unknown": (
        "It passes with {low_mm:.3f} to {high_mm:.3f} mm of play in diameter. Say how much play this joint may have: "
        "the maker's instructions tell."
    ),
    "play_too_large": "The play is {low_mm:.3f} to {high_mm:.3f} mm in diameter; {most_mm:g} mm is the most.",
    "play_may_be_large": (
        "The play is {low_mm:.3f} to {high_mm:.3f} mm in diameter, and {most_mm:g} mm is the most: measure both."
    ),
}

REFUSALS: dict[str, str] = {
    "class_not_tabulated": ("{written}: a {part} takes {known} with a grade from 5 to 11, up to {largest_mm:g} mm."),
}

METHODS: dict[str, str] = {
    "clearance": (
        "The bore less the shaft in diameter, at every corner, as measured. A class of ISO 286 at the nominal diameter "
        "narrows what was measured, and stands for no reading."
    ),
}

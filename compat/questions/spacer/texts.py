"""Texts of the spacer question; those of spacers in a plan too stand in `compat/texts/plan.py`."""

from __future__ import annotations

METHODS: dict[str, str] = {
    "spacer": (
        "The window of the lip rule, then the pieces whose measured thicknesses add up nearest to its middle, counted "
        "in steps of 0.025 mm; then the fewest pieces, then the fewest drawers, then the oldest stock."
    ),
}

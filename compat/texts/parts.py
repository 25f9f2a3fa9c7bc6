"""Texts of the question which parts fit a damper model."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "damper_shaft_unknown": "The damper model does not state a shaft diameter: measure the shaft.",
    "shim_bore_right": "The bore of {bore_mm:g} mm is made for this damper's shaft.",
    "shim_bore_other": "The bore of {bore_mm:g} mm is made for another shaft; this damper's is {shafts_mm} mm.",
}

METHODS: dict[str, str] = {
    "part-on-damper": "The shim's nominal bore against the shaft diameters of the damper model.",
}

"""Texts of the question which parts fit a damper model."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "damper_shaft_unknown": "The damper model does not state a shaft diameter: measure the shaft.",
    "shim_bore_right": (
        "It passes the shaft of the {valve} valve (bore {bore_mm:g} mm) and clears its body (diameter {od_mm:g} mm). "
        "Whether it covers ports is a question of the stack."
    ),
    "shim_bore_close": (
        "The bore of {bore_mm:g} mm may be smaller than the shaft of the {valve} valve, which is {shaft_min_mm:g} to "
        "{shaft_max_mm:g} mm: measure both."
    ),
    "shim_bore_other": "The bore of {bore_mm:g} mm is made for another shaft; this damper's is {shafts_mm} mm.",
    "shim_reaches_body": (
        "The diameter of {od_mm:g} mm reaches the bore of the body, {bodies_mm} mm, wherever the shim passes the shaft."
    ),
    "shim_body_unknown": (
        "The damper model does not state the bore of the body round the {valve} valve: measure it, for the shim is "
        "{od_mm:g} mm across."
    ),
}

METHODS: dict[str, str] = {
    "part-on-damper": (
        "Valve by valve, the shim's nominal bore against the shaft diameter of the damper model, and its outer "
        "diameter against the bore of the body. Ports are not looked at."
    ),
}

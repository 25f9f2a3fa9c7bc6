"""Which letter stands for which field of a question; I and O are left out, as they look like figures."""

from __future__ import annotations

from types import MappingProxyType

FACE_SHIM = MappingProxyType(
    {
        "shim_od_mm": "A",
        "shim_bore_mm": "B",
        "shaft_mm": "C",
        "hub_mm": "D",
        "ports_inner_mm": "E",
        "ports_outer_mm": "F",
        "land_outer_mm": "G",
        "other_side_feed_inner_mm": "H",
        "body_bore_mm": "J",
        "overlap_mm": "K",
    }
)
SPACER = MappingProxyType(
    {
        "stack_height_mm": "A",
        "shoulder_to_lip_mm": "B",
        "base_plate_mm": "C",
        "on_straight_mm": "D",
        "past_lip_mm": "E",
        "clamp_od_mm": "F",
        "spacer_max_od_mm": "G",
        "shaft_mm": "H",
    }
)
STACK = MappingProxyType(
    {
        "washers.height_mm": "A",
        "base_plates.compression.height_mm": "B",
        "base_plates.compression.contact_diameter_mm": "C",
        "piston_height_mm": "D",
        "base_plates.rebound.height_mm": "E",
        "base_plates.rebound.contact_diameter_mm": "F",
        "shaft_mm": "G",
        "body_bore_mm": "H",
        "stacks.od_mm": "J",
        "stacks.bore_mm": "K",
        "stacks.thickness_mm": "L",
    }
)
QUESTIONS = MappingProxyType(
    {
        "face-shim": FACE_SHIM,
        "spacer": SPACER,
        "stack": STACK,
    }
)

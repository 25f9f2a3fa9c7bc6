"""Which letter stands for which field of a question; I and O are left out, as they look like figures."""

from __future__ import annotations

from types import MappingProxyType

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
        "stack": STACK,
    }
)

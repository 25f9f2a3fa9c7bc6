"""Texts of the O-ring question; those of rings in glands stand in `compat/texts/seals.py`."""

from __future__ import annotations

METHODS: dict[str, str] = {
    "oring": (
        "Stretch over the groove, squeeze of the section that stretching leaves, and fill of the groove, at every "
        "corner of the ring's and the gland's tolerances; each compared with its limits for a standing or moving "
        "seal, the squeeze also as cold shrinks the ring, and where the parts lie to one side by half the gap. Sizes "
        "of the ring by AS568 unless read. The compound is compared with fluid and temperatures, the gap beside the "
        "groove with what its hardness bears at the pressure."
    ),
}

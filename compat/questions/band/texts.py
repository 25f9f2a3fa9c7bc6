"""Texts of the band question."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "band_bore_missing": "Measure the bore, or give the body's nominal one with its wear.",
    "band_groove_missing": "Measure the diameter of the groove's bottom.",
    "band_band_thickness_missing": "Measure how thick the band is, radially.",
    "band_energiser_missing": "Say which O-ring lies under the band, by its size or as read.",
    "band_od_missing": (
        "Measure the diameter over the band on its energiser, with the caliper only touching, or the energiser's "
        "section: a worn ring is flat, and the book does not know it."
    ),
    "band_wear_missing": "Measure how much the band has worn: its thickness against a new one.",
    "bore_wear_missing": "Measure how much the bore has worn in diameter (0 where bore is the worn bore itself).",
    "band_looks_like_inches": (
        "One size is {size_mm:g} beside another of {other_mm:g} mm: was it measured in inches? Every length here is in "
        "millimetres."
    ),
    "band_groove_may_have_no_room": (
        "At one end of the readings groove, band and bore leave no room for the energiser: measure them more closely."
    ),
    "band_far_too_small": (
        "The band would be far too small for this bore (squeeze at best {high:.0f} %): one of the sizes is wrong. "
        "Measure again."
    ),
    "band_groove_has_no_room": "Groove, band and bore leave no room for the energiser: measure them again.",
    "energiser_worn_flat": (
        "Lightly touched, the band measures {measured_mm:g} mm, not more than the bore's {bore_mm:g} mm: the O-ring "
        "under it is worn flat. Replace it."
    ),
    "energiser_may_be_flat": (
        "Lightly touched, the band measures about {measured_mm:g} mm, and the bore {bore_mm:g} mm: measure again, with "
        "the caliper only touching."
    ),
    "touch_is_not_enough": (
        "The band stands above the bore ({measured_mm:g} over {bore_mm:g} mm). That is needed and not enough: the "
        "squeeze decides."
    ),
    "band_does_not_seal": (
        "The energiser is squeezed by {low:.1f} to {high:.1f} %; under {reject:g} % the band does not seal. Replace "
        "the energiser, then look at band and bore."
    ),
    "band_may_not_seal": (
        "At the worst corner the energiser is squeezed by {low:.1f} % (at best {high:.1f}); {least:g} % is needed. "
        "Replace the energiser, or measure more closely."
    ),
    "band_does_not_seal_cold": (
        "At the coldest the energiser has shrunk, and is squeezed by {low:.1f} to {high:.1f} %; under {reject:g} % the "
        "band does not seal. A new energiser, or a thicker one, before the cold."
    ),
    "band_may_not_seal_cold": (
        "At the coldest the energiser has shrunk, and is squeezed by {low:.1f} % at the worst corner (at best "
        "{high:.1f}); {least:g} % is needed. Replace the energiser, or measure more closely."
    ),
    "band_od_contradicts": (
        "The band measures {measured_mm:g} mm, and its parts make {least_mm:.2f} to {most_mm:.2f} mm: one of the "
        "readings may be wrong. Measure again, and read the section of the O-ring."
    ),
}

METHODS: dict[str, str] = {
    "band": (
        "The band's free diameter from groove, energiser and band, or as measured with the caliper only touching, "
        "which governs; its interference with the worn bore and the energiser's squeeze at every corner of the "
        "tolerances. The section's loss by stretch is taken off. The band covers the gap beside the piston, so the "
        "O-ring under it has none to be driven into."
    ),
}

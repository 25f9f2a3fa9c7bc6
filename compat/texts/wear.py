"""Texts of bands, bores and shafts as they wear."""

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
    "diameters_missing": "Measure the diameter at three depths or more, in three directions each.",
    "too_few_depths": (
        "Depths read {apart_mm:g} mm or more apart: {depths}; a taper needs {least}. Measure at more of them."
    ),
    "too_few_directions": (
        "At depth {depth_mm:g} mm too few directions were read: measure {least}, at least {turn_deg:g} degrees apart, "
        "best 60. Between two directions an ellipse of any size can hide."
    ),
    "travel_missing": "Say over which depths the seal travels: from the first to the last, as the readings count them.",
    "travel_not_read": (
        "The seal travels from {from_mm:g} to {to_mm:g} mm: read within {end_mm:g} mm of both ends, and every "
        "{step_mm:g} mm between, in enough directions."
    ),
    "reading_looks_like_inches": (
        "{diameter_mm:g} and the nominal {nominal_mm:g} mm agree only if one is in inches. Every length here is in "
        "millimetres."
    ),
    "diameter_far_off": (
        "{diameter_mm:g} mm at depth {depth_mm:g} mm lies far from the nominal {nominal_mm:g} mm: measure it again."
    ),
    "wear_limit_far_off": (
        "The limit of {limit_mm:g} mm lies far from the nominal {nominal_mm:g} mm: is it in millimetres? Look it up "
        "again."
    ),
    "form_far_off": (
        "Out of round or tapered by up to {high_mm:.3f} mm (from {low_mm:.3f}), and wear may be {allowed_mm:.3f} mm: "
        "read it again, then let a qualified person decide."
    ),
    "bore_under_nominal": (
        "A reading of {diameter_mm:g} mm lies under the nominal {nominal_mm:g} mm, and a bore does not wear smaller: "
        "measure it again."
    ),
    "shaft_over_nominal": (
        "A reading of {diameter_mm:g} mm lies over the nominal {nominal_mm:g} mm, and a shaft does not wear thicker: "
        "measure it again."
    ),
    "runout_limit_large": "A run-out of {max_mm:g} mm is allowed to no damper's shaft: look the limit up again.",
    "rod_not_read": "The ring is judged on a nominal shaft: measure the shaft where the seal runs.",
    "shaft_bad_for_seal": "No ring seals on this shaft: its surface is {surface}.",
    "bore_not_sure": "{why} Until then nobody knows in which bore the band must seal.",
    "rod_not_sure": "{why} Until then nobody knows on which shaft the ring must seal.",
    "three_lobes_unseen": "A gauge with two points does not see a shape of three lobes.",
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
    "band": (
        "The band's free diameter from groove, energiser and band, or as measured with the caliper only touching, "
        "which governs; its interference with the worn bore and the energiser's squeeze at every corner of the "
        "tolerances. The section's loss by stretch is taken off. The band covers the gap beside the piston, so the "
        "O-ring under it has none to be driven into."
    ),
    "bore": (
        "From readings at several depths, in three directions or more each, over the travel: the largest diameter of "
        "the ellipse through them less the nominal one, the largest difference in one depth, and between the means of "
        "the depths; compared with the maker's limit, or with what the band in it can follow."
    ),
    "shaft": (
        "From readings at several places, in three directions or more each, over the travel: the nominal diameter less "
        "the smallest one of the ellipse through them, and the differences; run-out between centres and surface beside "
        "the maker's limits."
    ),
}

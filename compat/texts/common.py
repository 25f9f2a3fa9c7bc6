"""Sources and cautions that several questions share."""

from __future__ import annotations

SOURCES: dict[str, str] = {
    "iso_68_1": "ISO 68-1, basic profile of ISO general-purpose screw threads",
    "iso_261": "ISO 261, general plan of ISO metric screw threads",
    "iso_4759_1": "ISO 4759-1, tolerances of bolts, screws and nuts (heights; from memory)",
    "iso_965_1": "ISO 965-1, tolerances of ISO metric screw threads (limits as tabulated, not by its formulas)",
    "asme_b1_1": "ASME B1.1, unified inch screw threads (limits by its formulas)",
    "nsts_08307a": "NSTS 08307A, preloaded bolts: the short form with its scatter",
    "nasa_std_5020b": "NASA-STD-5020B, B.5.8: a compound changes the nut factor and must be tested",
    "vdi_2230": "VDI 2230, the long form of torque and preload",
    "fed_std_h28_2b": "FED-STD-H28/2B, stripping of threads and length of engagement",
    "iso_898_1": "ISO 898-1, mechanical properties of bolts; tensile strengths from memory of it",
    "iso_898_2": "ISO 898-2, mechanical properties of nuts; strengths from memory of it, by ISO 18265 from hardness",
    "as568": "AS568, sizes of O-rings, which ISO 3601-1 repeats in millimetres; inch sizes from memory of it",
    "iso_3601_2": "ISO 3601-2, housings of O-rings: the form of stretch, squeeze and fill; limits as handbooks give",
    "seal_makers": "Makers' tables of compounds, which agree within a few degrees; brake fluid from memory of them",
    "extrusion_chart": (
        "Seal makers' tables of the gap in diameter against pressure and hardness, rows for 70 and 90 Shore A as they "
        "stand openly; without back-up rings."
    ),
    "iso_2230": "ISO 2230, storage of rubber: years by compound, as tabulated openly",
    "arp5316d": "SAE ARP5316D, storage of elastomer seals: years by compound, as tabulated openly",
    "iso_286_1": "ISO 286-1, limits and fits to 80 mm; from memory of it, compared with an open table",
    "makers_limit": "The limit entered, from the damper maker's instructions",
    "trade": "Common practice of the damper trade; no published source.",
    "contact_model": "Plate theory: shims as annular plates in one-sided contact, clamped at the smallest radius.",
    "roark": "Roark's Formulas for Stress and Strain, flat annular plates, cases 1l and 2l (letters from memory)",
    "von_karman": "Plates of von Karman, which stretch as they bend: an upper bound computed for the annulus",
    "iso_9445_1": "ISO 9445-1, thickness tolerance of narrow cold-rolled strip, normal class, as tabulated openly.",
}

CAUTIONS: dict[str, str] = {
    "wrong_nut": (
        "A wrong or reused nut can start, be forced, back off and let the damper come apart: people get hurt."
        " Gauge the pitch of both parts."
    ),
    "peened_or_locking": "Peened or staked ends and used locking nuts are not reused unchecked.",
    "locking_compound": (
        "A skipped locking compound can let the damper come apart. Degrease the threads first. Solvents, "
        "compounds and used oil: gloves, eye protection, ventilation, local disposal rules."
    ),
    "pressurised_gas": "Pressurised gas: release it as the maker says before anything is loosened, and sign for it.",
    "makers_instructions": (
        "The maker's instructions and local codes outrank this tool; its computations are advice for trained "
        "people. Where a reading is missing or doubtful a qualified person decides."
    ),
    "clean_face": (
        "Cover says nothing of sealing: the piston's face is lapped flat, bleed holes deburred, shim and face clean."
    ),
    "new_seals": (
        "A seal that is nicked, flat, hard or of unknown compound is replaced, whatever its size; oil it and guard it "
        "from sharp edges when it is fitted."
    ),
    "worn_body": "A band that blew off means a worn body: check the bore by feel and by gauge, also for scores.",
    "light_gap": (
        "After assembly hold the piston to the light: every crossover gap must be open all round. A speck or "
        "burr closes it."
    ),
}

REFUSALS: dict[str, str] = {
    "diameter_not_above_zero": "It is a diameter above zero: measure it again.",
    "length_not_above_zero": "It is a length above zero: measure it again.",
    "length_negative": "It is not below zero.",
}

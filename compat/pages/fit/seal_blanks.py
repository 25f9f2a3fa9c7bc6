"""The blanks of seals, bands, bores, shafts and clearances, in the order in which they are measured at the bench."""

from __future__ import annotations

from compat.asking.blanks import Blank
from compat.engineering.seals.compounds import COMPOUNDS
from compat.engineering.seals.gland import KINDS
from compat.engineering.seals.limits import MOTIONS
from compat.engineering.shaft_wear import SURFACES
from inventory.api.damper_sealing import OILS

RING, GLAND, FACE_GROOVE, DUTY = "The ring", "Its gland", "A face groove, if it is one", "What it does"
PISTON, BAND_ITSELF, ENERGISER, WEAR = "Body and piston", "The band", "The energiser, the O-ring under the band", "Wear"
SIZES, READ, BAND_IN_IT = "Sizes", "What was read", "The band in it, if the maker gives no limit"
RUN_OUT = "Run-out and surface"
WORDS = {
    "piston": "a piston's, in a bore",
    "rod": "a rod's, in a housing",
    "face": "between two faces",
    "static": "stands still",
    "dynamic": "moves to and fro",
    "mineral_oil": "mineral oil",
    "synthetic_oil": "synthetic oil",
    "other": "another",
    "glycol_brake_fluid": "glycol brake fluid",
    "ok": "sound to eye and fingernail",
    "pitted": "pitted",
    "worn": "worn through or scored",
}
SIZE = "Its three digits of AS568, as in 222."
AS_READ = "In place of the size, or for a metric ring."
ROWS = (
    "A line for each depth D in mm, then the diameters C read there, as in 20: 46.02 46.01 46.02. Directions E are "
    "equally spread, three of them 60 degrees apart, unless said, as in 46.02@45."
)
HARDNESS = "Shore A, as in 70; it stands on the bag."
PRESSURE = "The highest, by gauge."


def words(known: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Words of the request with what the page calls them."""
    return tuple((word, WORDS.get(word, word)) for word in known)


ORING = (
    Blank("ring.size", "Size", "text", help=SIZE, group=RING, first=True),
    Blank("ring.id_mm", "or inner diameter", help=AS_READ, group=RING, first=True),
    Blank("ring.section_mm", "and section", help="With it, at three places.", group=RING, first=True),
    Blank("reused", "It is a used one", "yes_no", group=RING, first=True),
    Blank(
        "compound", "Made of", "word", choices=words(COMPOUNDS), help="It stands on the bag.", group=RING, first=True
    ),
    Blank("hardness_shore_a", "How hard", "reading", unit="Shore A", help=HARDNESS, group=RING, first=True),
    Blank("ring.cure_date", "Cured in", "text", help="As in 2026-Q3.", group=RING, first=True, most=7),
    Blank("gland.kind", "The gland is", "choice", choices=words(KINDS), group=GLAND, first=True),
    Blank("gland.bore_mm", "Bore", help="Of a piston's gland.", group=GLAND, first=True),
    Blank("gland.rod_mm", "Rod", help="Of a rod's gland.", group=GLAND, first=True),
    Blank("gland.groove_mm", "Groove, diameter", help="Of its bottom.", group=GLAND, first=True),
    Blank("gland.width_mm", "Groove, width", group=GLAND, first=True),
    Blank("gland.land_mm", "Part beside the groove", help="Piston, or hole of the housing.", group=GLAND, first=True),
    Blank("gland.extrusion_gap_mm", "or the gap there", help="In diameter; of a face, between the two.", group=GLAND),
    Blank("gland.depth_mm", "Groove, depth", help="With its lid closed.", group=FACE_GROOVE),
    Blank("gland.inner_mm", "Groove, inner diameter", group=FACE_GROOVE),
    Blank("gland.outer_mm", "Groove, outer diameter", group=FACE_GROOVE),
    Blank(
        "gland.pressure_from", "Pressure comes from", "word", choices=words(("inside", "outside")), group=FACE_GROOVE
    ),
    Blank("motion", "The seal", "word", choices=words(MOTIONS), group=DUTY, first=True),
    Blank("fluid", "Seals against", "word", choices=words(OILS), group=DUTY, first=True),
    Blank("temperature_c", "Hottest", "reading", unit="°C", group=DUTY, first=True),
    Blank("coldest_c", "Coldest", "reading", unit="°C", group=DUTY, first=True),
    Blank("pressure_bar", "Pressure", "reading", unit="bar", help=PRESSURE, group=DUTY, first=True),
    Blank("backup_rings", "Back-up rings on both sides", "yes_no", group=DUTY),
)


BAND = (
    Blank("bore_mm", "Bore of the body", help="Nominal, or as read; then its wear is 0.", group=PISTON, first=True),
    Blank("groove_mm", "Groove, diameter of its bottom", group=PISTON, first=True),
    Blank("band_thickness_mm", "Thickness when new", help="Radial.", group=BAND_ITSELF, first=True),
    Blank(
        "measured_od_mm",
        "Over the band, lightly touched",
        help="On its energiser, the caliper only touching.",
        group=BAND_ITSELF,
        first=True,
    ),
    Blank("energiser.size", "Size", "text", help=SIZE, group=ENERGISER, first=True),
    Blank("energiser.id_mm", "or inner diameter", help=AS_READ, group=ENERGISER, first=True),
    Blank(
        "energiser.section_mm", "and section when new", called="energiser_new_section_mm", group=ENERGISER, first=True
    ),
    Blank(
        "energiser_section_mm", "Section as read", help="At three places; the flattest.", group=ENERGISER, first=True
    ),
    Blank("band_wear_radial_mm", "Worn off the band", help="Radial; 0 if it is new.", group=WEAR, first=True),
    Blank("bore_wear_diametral_mm", "Bore worn by", help="In diameter, beyond the bore above.", group=WEAR, first=True),
    Blank("coldest_c", "Coldest", "reading", unit="°C", help="Of the oil.", group=WEAR, first=True),
)

TRAVEL = (
    Blank("travel_from_mm", "The seal travels from", help="In the same depths.", group=READ, first=True),
    Blank("travel_to_mm", "to", help="The last depth that it reaches.", group=READ, first=True),
)
BORE = (
    Blank("nominal_mm", "Nominal diameter", group=SIZES, first=True),
    Blank("max_diameter_mm", "Largest allowed", help="From the maker's instructions.", group=SIZES, first=True),
    Blank("readings", "Diameters by depth", "diameters", help=ROWS, group=READ, first=True),
    *TRAVEL,
    Blank("band.groove_mm", "Groove, diameter of its bottom", group=BAND_IN_IT),
    Blank("band.band_thickness_mm", "Band, thickness when new", group=BAND_IN_IT),
    Blank("band.energiser.size", "O-ring under it, size", "text", help=SIZE, group=BAND_IN_IT),
    Blank("band.energiser.id_mm", "or its inner diameter", group=BAND_IN_IT),
    Blank(
        "band.energiser.section_mm",
        "and its section when new",
        called="band_energiser_new_section_mm",
        group=BAND_IN_IT,
    ),
    Blank("band.energiser_section_mm", "O-ring, section as read", group=BAND_IN_IT),
    Blank("band.measured_od_mm", "Over the band, lightly touched", group=BAND_IN_IT),
    Blank("band.band_wear_radial_mm", "Worn off the band", help="0 if it is new.", group=BAND_IN_IT),
    Blank("band.coldest_c", "Coldest", "reading", unit="°C", help="Of the oil.", group=BAND_IN_IT),
)

SHAFT = (
    Blank("nominal_mm", "Nominal diameter", group=SIZES, first=True),
    Blank("min_diameter_mm", "Least allowed", help="From the maker's instructions.", group=SIZES, first=True),
    Blank("readings", "Diameters by depth", "diameters", help=ROWS.replace("46.0", "15.9"), group=READ, first=True),
    *TRAVEL,
    Blank("runout_mm", "Run-out", help="The gauge's whole swing in a turn.", group=RUN_OUT, first=True),
    Blank("max_runout_mm", "Most allowed", help="From the maker's instructions.", group=RUN_OUT, first=True),
    Blank("surface", "The surface is", "word", choices=words(SURFACES), group=RUN_OUT, first=True),
)

"""Texts of O-rings: the ring in its gland, its compound, its age."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "ring_missing": "Say which ring: its size of AS568 as in 222, or its inner diameter and section as read.",
    "gland_bore_missing": "Measure the bore that the ring seals against.",
    "gland_groove_missing": "Measure the diameter of the groove's bottom.",
    "gland_rod_missing": "Measure the rod that the ring seals on.",
    "gland_depth_missing": "Measure how deep the groove is with its lid closed.",
    "gland_inner_missing": "Measure the groove's inner diameter.",
    "gland_outer_missing": "Measure the groove's outer diameter.",
    "gland_width_missing": "Measure the groove's width: without it nobody knows how full the groove is.",
    "gland_width_contradicts": (
        "The width of {width_mm:g} mm and the {between_mm:g} mm between the two diameters contradict: measure again."
    ),
    "gland_looks_like_inches": (
        "The gland's {seat_mm:g} and the ring's {id_mm:g} mm agree only if the gland was measured in inches. Every "
        "length here is in millimetres."
    ),
    "ring_looks_like_inches": (
        "The ring's {id_mm:g} and the gland's {seat_mm:g} mm agree only if the ring was measured in inches. Every "
        "length here is in millimetres."
    ),
    "piston_gland_has_no_room": "Between the groove's bottom and the bore is no room for a ring: measure both again.",
    "rod_gland_has_no_room": "Between the rod and the groove is no room for a ring: measure both again.",
    "face_gland_has_no_room": "Between the groove's two diameters is no room for a ring: measure both again.",
    "groove_narrower_than_ring": "The groove is {width_mm:g} mm wide, the ring's section {section_mm:g} mm: no room.",
    "groove_may_be_narrow": (
        "The groove is {width_mm:g} mm wide, the ring's section {section_mm:g} mm: measure both more closely."
    ),
    "motion_missing": "Say whether the seal stands still or moves: the limits of squeeze differ.",
    "face_gland_moves": "A ring in a face groove seals parts that stand still; a moving seal needs another gland.",
    "face_ring_floats": (
        "The ring touches neither wall of the groove, and pressure drives it until it does. Say from which side it "
        "comes, and take a ring that lies against the wall it is driven to."
    ),
    "face_ring_off_outer_wall": (
        "Pressure from inside drives the ring outward, and it is up to {off:.1f} % smaller than the outer wall: take "
        "one that lies against it."
    ),
    "face_ring_off_inner_wall": (
        "Pressure from outside drives the ring inward, and it is up to {off:.1f} % larger than the inner wall: take "
        "one that lies against it."
    ),
    "section_contradicts_size": (
        "The section reads {section_mm:g} mm, and a new ring of this size has {new_mm:g} mm: is it that size, or "
        "swollen, or worn out? Look at it, and measure it again."
    ),
    "cure_date_missing": "The cure quarter is not told: a seal too old looks like a new one. Read it off the bag.",
    "used_ring_is_old": "Cured {cured}: by now it would be past its years on the shelf. A new one costs little.",
    "cured_in_future": "Cured {cured}, which is yet to come: read the bag again.",
    "face_pressure_side_missing": (
        "Say from which side the pressure comes: it drives the ring to a wall, and the ring lies near one of them only."
    ),
    "face_pressure_side": (
        "The ring should lie against the wall that the pressure drives it to: the outer one for pressure from inside."
    ),
    "reused_unknown": "Say whether the ring is new: a used one has taken a set.",
    "reused_by_size": (
        "A used ring has taken a set: measure its section at three places, or fit a new one. Its size by the book "
        "says nothing of it."
    ),
    "ring_reused": "The ring is a used one: a new one costs little, and what is measured today sets further.",
    "squeeze_too_little": (
        "The ring is squeezed by {low:.1f} to {high:.1f} %; at least {least:g} % is needed. It does not seal."
    ),
    "squeeze_may_be_little": (
        "The ring may be squeezed by as little as {low:.1f} % (up to {high:.1f}); at least {least:g} % is needed. "
        "Measure the ring's section and the gland more closely."
    ),
    "squeeze_below_usual": "The ring is squeezed by {low:.1f} to {high:.1f} %; {least:g} % or more is usual.",
    "squeeze_too_much": (
        "The ring is squeezed by {low:.1f} to {high:.1f} %; {most:g} % is the most. It sets, tears or binds."
    ),
    "squeeze_may_be_much": (
        "The ring may be squeezed by as much as {high:.1f} % (from {low:.1f}); {most:g} % is the most. Measure the "
        "ring's section and the gland more closely."
    ),
    "cold_squeeze_too_little": (
        "At the coldest the ring has shrunk, and is squeezed by {low:.1f} to {high:.1f} %; at least {least:g} % is "
        "needed. It does not seal in the cold."
    ),
    "cold_squeeze_may_be_little": (
        "At the coldest the ring has shrunk, and may be squeezed by as little as {low:.1f} % (up to {high:.1f}); at "
        "least {least:g} % is needed. Measure the ring's section and the gland more closely."
    ),
    "off_centre_squeeze_may_be_little": (
        "On one axis the ring is squeezed by {central:.1f} % or more; where the parts lie to one side, half the gap "
        "beside the groove takes of that, and {low:.1f} % may be left; at least {least:g} % is needed. Measure the gap "
        "more closely, make it smaller, or keep the parts on one axis."
    ),
    "off_centre_cold_squeeze_may_be_little": (
        "At the coldest, on one axis, the ring is squeezed by {central:.1f} % or more; where the parts lie to one "
        "side, half the gap beside the groove takes of that, and {low:.1f} % may be left; at least {least:g} % is "
        "needed. Measure the gap more closely, make it smaller, or keep the parts on one axis."
    ),
    "off_centre_squeeze_may_be_much": (
        "On one axis the ring is squeezed by {central:.1f} % at most; where the parts lie to one side, half the gap "
        "beside the groove adds to that, and it may become {high:.1f} %; {most:g} % is the most. Measure the gap more "
        "closely, make it smaller, or keep the parts on one axis."
    ),
    "pressure_missing": "Say the highest pressure at the ring, by gauge, in MPa or bar: it drives the ring into a gap.",
    "pressure_past_table": "The tables of gaps end at {most_mpa:.1f} MPa: past it the seal's maker says what holds.",
    "hardness_missing": "Say how hard the ring is, in Shore A as in 70: it stands on the bag, as in NBR 70.",
    "hardness_contradicts": (
        "{compound} and a hardness of {low:g} to {high:g} Shore A contradict each other: read the bag again."
    ),
    "gap_missing": (
        "Measure the gap beside the groove: the part in which the groove is cut, or the gap in diameter that is left "
        "there; between faces their distance."
    ),
    "land_contradicts": (
        "The part beside the groove may be larger than what it runs in (gap from {gap_mm:g} mm): measure both again."
    ),
    "gap_too_wide": (
        "The gap beside the groove is {low_mm:.3f} to {high_mm:.3f} mm in diameter; at this pressure and hardness "
        "{most_mm:.3f} mm is the most. The ring is driven into it: a harder ring, back-up rings, or a smaller gap."
    ),
    "gap_may_be_wide": (
        "The gap beside the groove may be {high_mm:.3f} mm in diameter (from {low_mm:.3f}); at this pressure and "
        "hardness {sure_mm:.3f} mm is sure and more than {most_mm:.3f} mm is too wide. Measure it more closely, or fit "
        "back-up rings."
    ),
    "backup_rings_close_gap": "Back-up rings on both sides close the gap: each must lie in the groove, and be sound.",
    "extrusion_table_hot": (
        "The gap of up to {high_mm:.2f} mm is within the table, tried up to {hottest_c:g} C. Hotter rubber is "
        "softer: {sure_mm:.2f} mm is sure. Ask the seal's maker, take a harder ring or back-up rings."
    ),
    "extrusion_table_warm": (
        "The table of gaps was tried up to {hottest_c:g} C; hotter rubber is softer, so keep well under it."
    ),
    "fill_too_much": "The ring fills {low:.0f} to {high:.0f} % of the groove; {most:g} % is the most, as it swells.",
    "fill_may_be_much": (
        "The ring may fill {high:.0f} % of the groove (from {low:.0f}); {most:g} % is the most, as it swells. Measure "
        "the groove's width and the ring's section more closely."
    ),
    "stretch_too_much": "The ring is stretched by {low:.1f} to {high:.1f} %; {most:g} % is the most.",
    "stretch_may_be_much": (
        "The ring may be stretched by as much as {high:.1f} % (from {low:.1f}); {most:g} % is the most. Measure its "
        "inner diameter."
    ),
    "stretch_over_usual": "The ring is stretched by {low:.1f} to {high:.1f} %; up to {usual:g} % is usual.",
    "ring_loose": (
        "The ring is {least:.1f} to {most:.1f} % larger than the groove's bottom: it hangs loose, and is cut on "
        "entering."
    ),
    "ring_may_be_loose": (
        "The ring may hang loose in the groove (stretch {low:.1f} to {high:.1f} %): measure its inner diameter."
    ),
    "crush_too_much": (
        "The ring is {low:.1f} to {high:.1f} % too large for the groove's outer wall; {most:g} % is the most: it "
        "buckles."
    ),
    "crush_may_be_much": (
        "The ring may be {high:.1f} % too large for the groove's outer wall (from {low:.1f}); {most:g} % is the most. "
        "Measure the ring."
    ),
    "crush_over_usual": (
        "The ring is {low:.1f} to {high:.1f} % larger than the groove's outer wall; up to {usual:g} % is usual."
    ),
    "compound_missing": "Say what the ring is made of, as in NBR: it stands on its bag, not on the ring.",
    "compound_unknown": "Nothing is known here of {compound}: known are {known}. Its maker says what it bears.",
    "compound_not_tabulated": "Nothing is tabulated here for {compound} in {fluid}: ask the seal's maker.",
    "compound_swells": "{compound} does not bear {fluid}: it swells or dissolves. Use another compound.",
    "fluid_missing": "Say what it seals against ({known}).",
    "fluid_unknown": "Nothing is known here of {fluid}: known are {known}. The seal's maker says what bears it.",
    "temperature_missing": "Say how hot the oil becomes.",
    "coldest_missing": "Say how cold it becomes: rubber shrinks and stiffens in the cold.",
    "coldest_above_room": (
        "The coldest is told as {coldest_c:g} C, and parts are measured and fitted at {room_c:g} C: it becomes that "
        "cold at least. Is a minus missing?"
    ),
    "seal_too_hot": "{compound} bears {highest_c:g} C; the oil becomes {hottest_c:g} C hot.",
    "seal_nearly_too_hot": "{compound} bears {highest_c:g} C, and the oil becomes {hottest_c:g} C hot: little is left.",
    "seal_too_cold": "{compound} stays elastic to {lowest_c:g} C; it becomes {coldest_c:g} C cold.",
    "shelf_life_over": "Cured {cured}, {compound}: past its shelf life ({until}). Do not fit it.",
    "shelf_life_inspect": (
        "Cured {cured}, {compound}: its first years ended on {until}. Inspect it; a sound one may be used until "
        "{after_inspection}."
    ),
    "shelf_life_soon": "Cured {cured}, {compound}: its shelf life ends on {until}.",
    "shelf_life_good": "Cured {cured}, {compound}: good until {until}.",
    "shelf_life_unknown": (
        "Its age is not known, or the standard chosen lists no years for its compound: read cure quarter and compound "
        "off the bag."
    ),
    "no_ring_fits": "No ring on the shelf fits this gland; of the catalogue {searched} were looked at.",
    "rings_may_fit": (
        "Rings that may fit: {count}, and none that surely does. The nearest is {part}; what leaves it open follows."
    ),
    "ring_tolerances_unknown": (
        "No tolerances are on file of {parts}, so the widest usual ones count: measure inner diameter and section, or "
        "enter what the maker states."
    ),
    "ring_size_contradicts": (
        "{part} is on file as size {size} and as {id_mm:g} x {section_mm:g} mm; size {size} is {size_id_mm:g} x "
        "{size_section_mm:g} mm. Measure a ring, then correct the part."
    ),
    "rings_over_age": "Of the right size, but past their shelf life: {pieces} in {lots} lots. Do not fit them.",
    "rings_do_not_bear": (
        "Of the right size, but of a compound or hardness that does not bear fluid, temperature or gap: {pieces} "
        "({compounds})."
    ),
}

REFUSALS: dict[str, str] = {
    "no_such_ring_size": (
        "There is no O-ring size {size} in AS568. A metric or special ring is told by its inside diameter and its "
        "section, as read."
    ),
}

"""Texts of parts by size: what was typed, what matches, and what is nearly it."""

from __future__ import annotations

from inventory.common.sizes.refusals import REFUSALS

TEXTS: dict[str, str] = {
    **REFUSALS,
    "size_is": "Of this size: {part}, and nothing else in the catalogue.",
    "size_nothing": "Nothing in the catalogue has this size.",
    "size_only_near": "Nothing in the catalogue has this size; {part} comes nearest and is not it.",
    "size_measure": "{part} or {other}? Measure the {what} ({tool}): {one} mm is {part}, {two} mm is {other}.",
    "size_measure_again": (
        "{part} or {other}? Measure the {what} again, more closely ({tool}): {one} mm is {part}, {two} mm is {other}."
    ),
    "size_not_told": "{part} or {other}? No tool of a workshop tells them apart: go by the bag, or do not use it.",
    "size_more_match": "{count} more sizes match: read one more size, or say what kind of part it is.",
    "size_hand_open": "{part} has a left-hand thread, {other} a right-hand one: try which way it turns, and say it.",
    "size_not_on_file": "The {what} of {part} is not on file, so it was not compared: measure one from its bag.",
    "size_one_reading": "These sizes do not name one part yet: measure the {missing} too.",
    "size_read_closer": (
        "The {what} was read to within {error:.2g} mm, which leaves other sizes open: read it more closely."
    ),
    "size_hand_unsaid": "Try which way it turns, and add right hand or left hand: both look the same.",
    "size_retired": "{part} is retired: it is not handed out any more.",
    "size_rubber_unknown": "The rubber of {part} is not on file, {read} was said: read it from the bag.",
    "size_pitch_unread": "Gauge the pitch: the size of a nut alone says nothing of its thread.",
    "size_threads_alike": (
        "A pitch gauge takes {other} for {part} ({thread}): measure the bore; {thread} has {one} mm, {bores}."
    ),
    "size_as568_also": (
        "These readings are also those of {sizes} of AS568, which the catalogue does not have: read the ring's bag."
    ),
    "size_as568_called": "{sizes} of AS568 has these sizes; the catalogue does not have it.",
    "size_same_but": "{count} parts have this size and differ in {what}, which no caliper reads: look at the bag.",
    "size_two_ways": "Numbers without a name were read in more than one way: each part says which size is meant.",
    "size_cut": "Only the nearest {most} parts are listed: say more of the part.",
    "near_pitch": (
        "{part} has the pitch {has} mm, {read} mm was read: it starts on the wrong shaft, binds, strips, backs off."
    ),
    "near_thread": (
        "{part} ({thread}) has nearly the same pitch on another diameter: it turns on freely and holds by the tips of "
        "the thread."
    ),
    "near_flats": (
        "{part} ({thread}) has this pitch and {has} mm across flats, {read} mm was read: near enough for a spanner, "
        "another nut for the thread."
    ),
    "near_hand": "{part} is of the other hand: it does not start on this thread, or jams when forced.",
    "near_compound": (
        "{part} has this size in {has} rubber, {read} was said: another rubber swells or hardens in the wrong fluid."
    ),
    "near_section": (
        "{part} has a section of {has} mm, {read} mm was read: it looks the same in the groove, and does not seal or "
        "is crushed."
    ),
    "near_standard": (
        "{part} is {has}, {other} is {as_other}: rings of two standards that look alike and do not fit each other's "
        "grooves."
    ),
    "near_ring": "{part} differs a little in diameter and in section: it is another ring.",
    "near_thickness": (
        "{part} is {has} mm thick, {read} mm was read: to the eye the same, and stiffer or softer by the cube."
    ),
    "near_bore": "{part} has {has} mm inside, {read} mm was read: it binds on the shaft, or sits off centre.",
    "near_diameter": "{part} has {has} mm across, {read} mm was read: it covers, seals or clears otherwise.",
    "near_height": "{part} is {has} mm high, {read} mm was read: what sits on it ends elsewhere.",
}

METHODS: dict[str, str] = {
    "parts-by-size": (
        "Every part of the kinds named whose sizes lie within the readings, each reading with its error (caliper 0.05, "
        "micrometer 0.01 up to 25 mm, ruler 0.5 mm; leaf gauge 3 % of a pitch; about: 1 %, at least 0.2 mm) and the "
        "part's own tolerance. Numbers without a name are tried in every order in which the trade says them. A near "
        "miss agrees in all but what is named, and differs there by so little that it is taken for the part."
    ),
}

WHAT: dict[str, str] = {
    "od_mm": "outer diameter",
    "id_mm": "inner diameter",
    "bore_mm": "bore it is for",
    "section_mm": "section",
    "thickness_mm": "thickness",
    "height_mm": "height",
    "across_flats_mm": "width across flats",
    "pitch_mm": "pitch",
    "thread_mm": "thread diameter",
}
OF_KIND: dict[tuple[str, str], str] = {
    ("nut", "id_mm"): "bore",
    ("shim", "id_mm"): "bore",
    ("piston", "id_mm"): "bore",
    ("seal_head", "id_mm"): "shaft it is for",
    ("bush", "height_mm"): "length",
    ("bush", "thickness_mm"): "wall",
    ("band", "height_mm"): "width",
}

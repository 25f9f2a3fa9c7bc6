"""What may be left out of a request without being missed, one list for all questions, with the reason of each.

`choice`: no reading of these parts but what somebody wants to know; the answer without it is another answer, and
`docs/reference/fits-means.md` says which. `alternative`: other evidence of the same thing stands in the request.
"""

from __future__ import annotations

_LINES = "a choice: a stack without one of its lines is another stack, which is judged as it stands"
_SPOTS = "alternative: the readings that are left must still cover every direction and the whole length by themselves"
_LABEL = (
    "alternative: the readings themselves; a label can only contradict them, and without it the widest class counts"
)
_PART = "alternative: the readings themselves; what the catalogue says of a part can only contradict them"
_THREAD = "alternative: how the nut locks says that it has no collar; a nut with one must tell it"
_CLASS = "alternative: the size was read; a class and its nominal size can only contradict it"
_OD = "alternative: the diameter over the band and the section under it are two ways to know one thing"
_STEEL = "alternative: the whole range of spring strip stands in; what is told outside it is asked about"
_STRIP = "alternative: the tolerance of the strip stands in for the readings of a lot"
_KIND = "a choice: what is built, not a reading of it; round without one"
_TOOL = "a choice: how exact the tool is; without it the usual error counts"

CHOICES: dict[tuple[str, str], str] = {
    ("nut-on-shaft", "preload_n"): "a choice: without a load the thread must carry the shaft's own strength",
    ("nut-on-shaft", "shaft.tolerance_class"): _LABEL,
    ("nut-on-shaft", "nut.tolerance_class"): _LABEL,
    ("nut-on-shaft", "shaft.hand"): _LABEL,
    ("nut-on-shaft", "nut.hand"): _LABEL,
    ("nut-on-shaft", "nut.unthreaded_mm"): _THREAD,
    ("nut-on-shaft", "nut.part"): _PART,
    ("thread-reading", "diameter_error_mm"): _TOOL,
    ("thread-reading", "pitch_error_mm"): _TOOL,
    ("torque", "adapter_offset_mm"): "a choice: the tool, which changes what it is set to and not the joint",
    ("stack", "stacks.compression[]"): _LINES,
    ("stack", "stacks.rebound[]"): _LINES,
    ("stack", "stacks.compression[].lot"): _STRIP,
    ("stack", "stacks.rebound[].lot"): _STRIP,
    ("stack", "stacks.compression[].form"): _KIND,
    ("stack", "stacks.rebound[].form"): _KIND,
    ("spacer", "take_offs"): "a choice: of which stock spacers may be",
    ("stack-curve", "stack[]"): _LINES,
    ("stack-curve", "stack[].lot"): _STRIP,
    ("stack-curve", "stack[].form"): _KIND,
    ("stack-curve", "lifts_mm"): "a choice: without lifts the curve ends where the shims still spring back",
    ("stack-curve", "lifts_mm[]"): "a choice: at which lifts the curve is told",
    ("stack-curve", "youngs_gpa"): _STEEL,
    ("stack-curve", "poisson"): _STEEL,
    ("stack-curve", "yield_mpa"): _STEEL,
    ("oring", "shelf_life_policy"): "a choice: which standard's years count; the shop's setting without one",
    ("oring", "gland.width_mm"): "alternative: of a face groove its two diameters tell the width",
    ("oring", "hardness_shore_a"): "alternative: the hardness may stand behind the compound, as in NBR 70",
    ("rings-for-gland", "compound"): "a choice: which rings are looked for",
    ("rings-for-gland", "most"): "a choice: how many are shown",
    ("rings-for-gland", "over_age"): "a choice: whether lots past their life are shown",
    ("rings-for-gland", "shelf_life_policy"): "a choice: which standard's years count; the shop's setting without one",
    ("rings-for-gland", "gland.width_mm"): "alternative: of a face groove its two diameters tell the width",
    ("band", "measured_od_mm"): _OD,
    ("band", "energiser_section_mm"): _OD,
    ("band", "band_wear_radial_mm"): "alternative: the diameter over the band, once it is read, holds the wear",
    ("bore", "readings[]"): _SPOTS,
    ("bore", "max_diameter_mm"): "alternative: the band in it gives a limit where the maker's is not told",
    ("bore", "band"): "alternative: the maker's limit",
    ("shaft", "readings[]"): _SPOTS,
    ("clearance", "bore_class"): _CLASS,
    ("clearance", "shaft_class"): _CLASS,
    ("clearance", "nominal_mm"): _CLASS,
    ("inspection", "bore.readings[]"): _SPOTS,
    ("inspection", "shaft.readings[]"): _SPOTS,
    ("inspection", "band.measured_od_mm"): _OD,
    ("inspection", "band.energiser_section_mm"): _OD,
    ("inspection", "band.band_wear_radial_mm"): "alternative: the diameter over the band, once read, holds the wear",
    ("inspection", "joint.shaft.tolerance_class"): _LABEL,
    ("inspection", "joint.nut.tolerance_class"): _LABEL,
    ("inspection", "joint.shaft.hand"): _LABEL,
    ("inspection", "joint.nut.hand"): _LABEL,
    ("inspection", "joint.nut.unthreaded_mm"): _THREAD,
    ("inspection", "joint.nut.part"): _PART,
}


def is_choice(question: str, path: str) -> bool:
    """Whether a field, or one that it stands in, is named above. A row of a list is named alone: what stands in it is
    a reading like any other."""
    return any(
        question == asked and (path == name or (path.startswith(f"{name}.") and not name.endswith("[]")))
        for asked, name in CHOICES
    )

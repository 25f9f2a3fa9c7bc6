"""The parts on the inspection sheet: each by its own question, on what was read of its neighbour."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from compat import rendering, replacements, seal_questions
from compat.asked.fit import ranges
from compat.asking.requests import made
from compat.engineering.answers import Answer, Finding, Severity, Verdict, ask, note
from compat.engineering.band import mending
from compat.engineering.roundness import Shape, Travel, are_plausible, reading_findings, shape_of
from compat.engineering.seals.ring import Ring, section_findings
from compat.engineering.threads.readings import read_part
from compat.engineering.units import Range
from compat.questions import nut_on_shaft
from compat.questions.nut_on_shaft import Nut, Shaft

Asked = Mapping[str, Any]
Offered = dict[str, Any]
MENDED = {
    ("energiser",): "mend_by_energiser",
    ("energiser", "band"): "mend_by_energiser_and_band",
    ("energiser", "maybe", "band"): "mend_by_energiser_maybe_band",
    (): "mend_by_body",
}
SOUND_ENDS = ("plain", "peened_dressed")  # of a shaft on which a nut may go at all
# Of these something must have been read on this damper; all else may come from its model.
READ = {
    "bore": ("readings",),
    "band": ("measured_od_mm", "energiser_section_mm"),
    "shaft": ("readings", "runout_mm", "surface"),
    "seal": ("section_mm",),
}
# What is open of the gland or of its duty, not of the ring that would go in.
OF_DUTY = {"pressure_missing", "gap_missing", "temperature_missing", "coldest_missing"}
READ_OF_JOINT = ("gauged_pitch_mm", "gauged_threads_per_inch", "major_mm", "minor_mm", "end_condition")


@dataclass(frozen=True, slots=True)
class Item:
    """One part: its answer, whether anything of it was read, and what would take its place."""

    name: str
    answer: Answer
    read: bool
    offered: Callable[[], list[Offered]] = list
    mend: Finding | None = None
    needs: str = ""  # what must be told before anything on the shelf can be offered: oil or thread

    @property
    def verdict(self) -> Verdict:
        """Of the question; a part of which nothing was read is never reused, and not condemned by its model."""
        return self.answer.verdict if self.read else Verdict.CANNOT_TELL


def _bore(asked: Asked) -> Item:
    """The bore by its maker's limit; without one, by what a new band on a new O-ring could still follow."""
    told, on_it = _part(asked, "bore"), ranges(_part(asked, "band"))
    free = seal_questions.free_ring(on_it.get("energiser") or {}, "band.energiser")
    sized = {name: on_it[name] for name in ("groove_mm", "band_thickness_mm", "energiser") if name in on_it}
    if told.get("max_diameter_mm") is None and free is not None and len(sized) == 3:
        new = {"energiser_section_mm": free.section_mm, "band_wear_radial_mm": Range.exact(0.0)}
        told = {**told, "band": {**sized, **new, **_coldest(asked)}}
    return Item("bore", seal_questions.ask_bore(told), _was_read("bore", told))


def _band(asked: Asked) -> Item:
    bore, told, oil = ranges(_part(asked, "bore")), ranges(_part(asked, "band")), _part(asked, "oil")
    nominal = bore.get("nominal_mm")
    shape, doubts = _shape(bore)
    sizes = {**told, **_coldest(asked)}
    if shape is not None:
        # Squeezed least where the bore is largest, most where it is smallest.
        sizes |= {"bore_mm": shape.whole, "bore_wear_diametral_mm": Range.exact(0.0)}
    elif nominal is not None and not bore.get("readings"):
        sizes["bore_mm"] = nominal
    answer = _with(seal_questions.ask_band(sizes), doubts, "bore_not_sure")
    band, read = seal_questions.band_told(sizes, "energiser"), _was_read("band", told)
    mend = mending(band, nominal) if read and shape is not None and not doubts else None

    def offered() -> list[Offered]:
        found: list[Offered] = []
        if band.energiser is not None and (mend is None or "energiser" in mend):
            heat = (oil.get("temperature_c"), oil.get("coldest_c"))
            found += replacements.on_shelf(replacements.ring(band.energiser, oil.get("fluid"), *heat))
        thickness = band.band_thickness_mm
        if nominal is not None and thickness is not None and mend is not None and "band" in mend:
            found += replacements.on_shelf(replacements.band(nominal, thickness, told.get("width_mm")))
        return found

    told_how = None if mend is None else note(MENDED[mend], "trade", item="band")
    return Item("band", answer, read, offered, told_how, "" if oil.get("fluid") else "oil")


def _shaft(asked: Asked) -> Item:
    told = _part(asked, "shaft")
    return Item("shaft", seal_questions.ask_shaft(told), _was_read("shaft", told))


def _seal(asked: Asked) -> Item:
    told, shaft, oil = ranges(_part(asked, "seal")), ranges(_part(asked, "shaft")), _part(asked, "oil")
    free = seal_questions.free_ring(told.get("ring") or {}, "ring")
    section = told.get("section_mm")
    as_read = None if free is None else Ring(free.id_mm, section or free.section_mm, free.size)
    shape, doubts = _shape(shaft)
    rod = shaft.get("nominal_mm") if not shaft.get("readings") else None
    if shape is not None:
        rod = shape.whole
    body_bore = ranges(_part(asked, "bore")).get("nominal_mm")
    needed = {"rod_mm": rod, "groove_mm": told.get("groove_mm"), "width_mm": told.get("width_mm")}
    beside = {name: told.get(name) for name in ("land_mm", "extrusion_gap_mm")}
    gland = {"kind": "rod", **needed, **beside}
    # Whatever lies in a stripped damper has been used.
    ring = {name: told.get(name) for name in ("motion", "compound", "hardness_shore_a")}
    body = {**oil, "gland": gland, **ring, "reused": True}
    answer = _with(seal_questions.oring_told(body, as_read, by_size=section is None), doubts, "rod_not_sure")
    more = [] if free is None or section is None else section_findings(free.section_mm, section)
    if not shaft.get("readings"):
        more.append(ask("rod_not_read", "trade"))
    if shaft.get("surface") in ("pitted", "worn"):
        more.append(ask("shaft_bad_for_seal", "trade", surface=shaft["surface"]))
    answer = replace(answer, findings=(*answer.findings, *more))

    def offered() -> list[Offered]:
        found: list[Offered] = []
        if oil.get("fluid") and None not in needed.values():
            search = {**oil, "gland": gland, "motion": told["motion"], "most": replacements.MOST, "over_age": False}
            found += _fitting(seal_questions.ask_rings_for_gland(search))
        if shaft.get("nominal_mm") is not None and body_bore is not None:
            found += replacements.on_shelf(replacements.seal_head(shaft["nominal_mm"], body_bore))
        return found

    return Item("seal", answer, _was_read("seal", told), offered, needs="" if oil.get("fluid") else "oil")


def _fitting(answer: Answer) -> list[Offered]:
    """The rings of the shelf that fit a gland by all that is known of it and of them, in the form of a replacement."""
    return [
        {
            "part": ring["part"],
            "name": ring["name"],
            "kind": "oring",
            "unit": "piece",
            "available": ring["available"],
            "drawers": list(dict.fromkeys(lot["drawer"] for lot in ring["lots"])),
            "age": ring["lots"][0]["shelf_life"],
        }
        for ring in answer.values["rings"]
        if set(ring["measure"]) <= OF_DUTY
    ]


def _joint(asked: Asked) -> Item:
    told = _part(asked, "joint")
    shaft = made(Shaft, _part(told, "shaft"))
    # Whatever lies in a stripped damper has been used.
    nut = made(Nut, {"condition": "used", **_part(told, "nut")})
    answer = nut_on_shaft.answer(nut_on_shaft.NutOnShaft(shaft=shaft, nut=nut, preload_n=None))
    read = any(getattr(part, name, None) is not None for part in (shaft, nut) for name in READ_OF_JOINT)

    found, doubts = read_part("shaft", shaft.thread, shaft.tolerance_class, shaft.hand, shaft.pitch_mm)
    doubted = any(one.severity in (Severity.ASK, Severity.STOP) for one in doubts)
    thread, hand = found.thread, found.hand
    if doubted or thread is None or hand is None or shaft.end_condition not in SOUND_ENDS:
        return Item("joint", answer, read, needs="thread")
    return Item("joint", answer, read, lambda: replacements.on_shelf(replacements.nut(thread, hand)))


def _shape(told: Asked) -> tuple[Shape | None, list[Finding]]:
    """The shape that a part's readings show, None where there are none or one is doubted; and what is open of them."""
    readings = seal_questions.readings_of(told.get("readings") or ())
    if not readings:
        return None, []
    shape, travel = shape_of(readings), Travel(told.get("travel_from_mm"), told.get("travel_to_mm"))
    doubts = reading_findings(readings, shape, told.get("nominal_mm"), travel)
    return (shape if are_plausible(doubts) else None), doubts


def _with(answer: Answer, doubts: Sequence[Finding], code: str) -> Answer:
    """The answer, left open where the part that it stands on is not read for sure."""
    if not doubts:
        return answer
    return replace(answer, findings=(*answer.findings, ask(code, "trade", why=rendering.sentence(doubts[0]))))


def _coldest(asked: Asked) -> dict[str, Any]:
    """How cold it becomes, as the oil of the damper or its model tells."""
    return {name: value for name, value in _part(asked, "oil").items() if name == "coldest_c"}


def _part(asked: Asked, name: str) -> dict[str, Any]:
    return {key: value for key, value in (asked.get(name) or {}).items() if value is not None}


def _was_read(name: str, told: Asked) -> bool:
    return any(told.get(key) for key in READ[name])


MAKERS: dict[str, Callable[[Asked], Item]] = {
    "bore": _bore,
    "band": _band,
    "shaft": _shaft,
    "seal": _seal,
    "joint": _joint,
}

"""The parts on the inspection sheet: each by its own question, on what was read of its neighbour."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from compat.asking.requests import untold
from compat.engineering import band
from compat.engineering.answers import Answer, Finding, Severity, Verdict, ask, note
from compat.engineering.oring import RingInGland, oring
from compat.engineering.roundness import Shape, are_plausible, reading_findings, shape_of
from compat.engineering.seals.gland import Gland
from compat.engineering.seals.ring import Ring, section_findings
from compat.engineering.threads.readings import read_part
from compat.engineering.units import Range
from compat.questions import bore, nut_on_shaft, rings_for_gland, shaft
from compat.questions.bore import BoreRead
from compat.questions.inspection.request import BandRead, Inspection, JointRead, SealRead
from compat.questions.nut_on_shaft import Nut, Shaft
from compat.questions.shaft import ShaftWear
from compat.questions.told_bands import BandInBore
from compat.questions.told_readings import Readings
from compat.questions.told_rings import ring_of
from compat.questions.told_service import Service
from compat.shelf import replacements
from compat.shelf.replacements import Replacement
from compat.texts import rendering
from compat.texts.refusals import engine_errors

R = TypeVar("R")
MENDED = {
    ("energiser",): "mend_by_energiser",
    ("energiser", "band"): "mend_by_energiser_and_band",
    ("energiser", "maybe", "band"): "mend_by_energiser_maybe_band",
    (): "mend_by_body",
}
SOUND_ENDS = ("plain", "peened_dressed")  # of a shaft on which a nut may go at all
# What is open of the gland or of its duty, not of the ring that would go in.
OF_DUTY = {"pressure_missing", "gap_missing", "temperature_missing", "coldest_missing"}
READ_OF_JOINT = ("gauged_pitch_mm", "gauged_threads_per_inch", "major_mm", "minor_mm", "end_condition")


@dataclass(frozen=True, slots=True)
class Item:
    """One part: its answer, whether anything of it was read, and what would take its place."""

    name: str
    answer: Answer
    read: bool
    offered: Callable[[], list[Replacement]] = list
    mend: Finding | None = None
    needs: str = ""  # what must be told before anything on the shelf can be offered: oil or thread

    @property
    def verdict(self) -> Verdict:
        """Of the question; a part of which nothing was read is never reused, and not condemned by its model."""
        return self.answer.verdict if self.read else Verdict.CANNOT_TELL


def _bore(asked: Inspection) -> Item:
    """The bore by its maker's limit; without one, by what a new band on a new O-ring could still follow."""
    told, on_it = asked.bore or untold(BoreRead), asked.band or untold(BandRead)
    free = ring_of(on_it.energiser, "band.energiser")
    sized = None not in (on_it.groove_mm, on_it.band_thickness_mm)
    new = None
    if told.max_diameter_mm is None and free is not None and sized:
        new = BandInBore(
            groove_mm=on_it.groove_mm,
            band_thickness_mm=on_it.band_thickness_mm,
            measured_od_mm=None,
            energiser=on_it.energiser,
            energiser_section_mm=free.section_mm,
            band_wear_radial_mm=Range.exact(0.0),
            coldest_c=(asked.oil or untold(Service)).coldest_c,
        )
    with_band = bore.Bore(
        nominal_mm=told.nominal_mm,
        readings=told.readings,
        travel_from_mm=told.travel_from_mm,
        travel_to_mm=told.travel_to_mm,
        max_diameter_mm=told.max_diameter_mm,
        band=new,
    )
    return Item("bore", bore.answer(with_band), bool(told.readings))


def _band(asked: Inspection) -> Item:
    of_body, told = asked.bore or untold(BoreRead), asked.band or untold(BandRead)
    oil = asked.oil or untold(Service)
    nominal = of_body.nominal_mm
    shape, doubts = _shape(of_body)
    # Squeezed least where the bore is largest, most where it is smallest.
    size = shape.whole if shape is not None else None if of_body.readings else nominal
    worn = None if shape is None else Range.exact(0.0)
    built = told.band("energiser", coldest_c=oil.coldest_c, bore_mm=size, worn_mm=worn)
    with engine_errors("bore_mm"):
        answer = _with(band.band(built), doubts, "bore_not_sure")
    read = told.measured_od_mm is not None or told.energiser_section_mm is not None
    mend = band.mending(built, nominal) if read and shape is not None and not doubts else None

    def offered() -> list[Replacement]:
        found: list[Replacement] = []
        if built.energiser is not None and (mend is None or "energiser" in mend):
            heat = (oil.temperature_c, oil.coldest_c)
            found += replacements.on_shelf(replacements.ring(built.energiser, oil.fluid, *heat))
        thickness = built.band_thickness_mm
        if nominal is not None and thickness is not None and mend is not None and "band" in mend:
            found += replacements.on_shelf(replacements.band(nominal, thickness, told.width_mm))
        return found

    told_how = None if mend is None else note(MENDED[mend], "trade", item="band")
    return Item("band", answer, read, offered, told_how, "" if oil.fluid else "oil")


def _shaft(asked: Inspection) -> Item:
    told = asked.shaft or untold(ShaftWear)
    read = bool(told.readings or told.runout_mm or told.surface)
    return Item("shaft", shaft.answer(told), read)


def _seal(asked: Inspection) -> Item:
    told, on, oil = asked.seal or untold(SealRead), asked.shaft or untold(ShaftWear), asked.oil or untold(Service)
    free, section = ring_of(told.ring, "ring"), told.section_mm
    as_read = None if free is None else Ring(free.id_mm, section or free.section_mm, free.size)
    shape, doubts = _shape(on)
    rod = shape.whole if shape is not None else None if on.readings else on.nominal_mm
    body_bore = None if asked.bore is None else asked.bore.nominal_mm
    gland = replace(
        Gland(kind="rod"),
        rod_mm=rod,
        groove_mm=told.groove_mm,
        width_mm=told.width_mm,
        land_mm=told.land_mm,
        extrusion_gap_mm=told.extrusion_gap_mm,
    )
    with engine_errors("gland"):
        judged = oring(
            RingInGland(
                ring=as_read,
                gland=gland,
                motion=None if asked.seal is None else told.motion,
                service=oil.service(told.compound, told.hardness_shore_a),
                reused=True,  # whatever lies in a stripped damper has been used
                by_size=section is None,
            )
        )
    answer = _with(judged, doubts, "rod_not_sure")
    more = [] if free is None or section is None else section_findings(free.section_mm, section)
    if not on.readings:
        more.append(ask("rod_not_read", "trade"))
    if on.surface in ("pitted", "worn"):
        more.append(ask("shaft_bad_for_seal", "trade", surface=on.surface))
    answer = replace(answer, findings=(*answer.findings, *more))

    def offered() -> list[Replacement]:
        found: list[Replacement] = []
        if oil.fluid and None not in (rod, told.groove_mm, told.width_mm):
            found += _fitting(rings_for_gland.found_for(gland, told.motion, oil.service(), most=replacements.MOST))
        if on.nominal_mm is not None and body_bore is not None:
            found += replacements.on_shelf(replacements.seal_head(on.nominal_mm, body_bore))
        return found

    return Item("seal", answer, section is not None, offered, needs="" if oil.fluid else "oil")


def _fitting(answer: Answer) -> list[Replacement]:
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


def _joint(asked: Inspection) -> Item:
    told = asked.joint or untold(JointRead)
    end, on_it = told.shaft or untold(Shaft), told.nut or untold(Nut)
    # Whatever lies in a stripped damper has been used.
    on_it = replace(on_it, condition=on_it.condition or "used")
    answer = nut_on_shaft.answer(nut_on_shaft.NutOnShaft(shaft=end, nut=on_it, preload_n=None))
    read = any(getattr(part, name, None) is not None for part in (end, on_it) for name in READ_OF_JOINT)

    found, doubts = read_part("shaft", end.thread, end.tolerance_class, end.hand, end.pitch_mm)
    doubted = any(one.severity in (Severity.ASK, Severity.STOP) for one in doubts)
    thread, hand = found.thread, found.hand
    if doubted or thread is None or hand is None or end.end_condition not in SOUND_ENDS:
        return Item("joint", answer, read, needs="thread")
    return Item("joint", answer, read, lambda: replacements.on_shelf(replacements.nut(thread, hand)))


def _shape(told: Readings) -> tuple[Shape | None, list[Finding]]:
    """The shape that a part's readings show, None where there are none or one is doubted; and what is open of them."""
    readings = told.read
    if not readings:
        return None, []
    shape = shape_of(readings)
    doubts = reading_findings(readings, shape, told.nominal_mm, told.travel)
    return (shape if are_plausible(doubts) else None), doubts


def _with(answer: Answer, doubts: Sequence[Finding], code: str) -> Answer:
    """The answer, left open where the part that it stands on is not read for sure."""
    if not doubts:
        return answer
    return replace(answer, findings=(*answer.findings, ask(code, "trade", why=rendering.sentence(doubts[0]))))


MAKERS: dict[str, Callable[[Inspection], Item]] = {
    "bore": _bore,
    "band": _band,
    "shaft": _shaft,
    "seal": _seal,
    "joint": _joint,
}

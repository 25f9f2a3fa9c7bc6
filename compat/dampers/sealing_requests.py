"""What a damper model tells the questions of band, bore, shaft, O-ring and torque, in the form of their requests.

Nothing here is read on the damper itself: a reading goes before what the model tells. What the model does not know is
left out, and a question then asks for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from compat.engineering.seals.sizes import SizeError, ring_called
from inventory.dampers.document import DamperDocument, ShaftEnd, Valve
from inventory.dampers.document_sealing import Band, Limit, Oil, Ring, RodGland
from inventory.documents.lengths import Length
from inventory.documents.typed import Json, Measured, tells, written

# Of the shaft's end, what says which nut belongs on it.
OF_THREAD = (
    *("thread", "tolerance_class", "hand", "hole_mm", "full_thread_start_mm", "shaft_end_mm"),
    *("thread_relief", "relief_diameter_mm"),
)
# Plus or minus of a ring without tolerances: a part of the length, and at least so many mm; common practice.
ABOUT = {"id_mm": (0.01, 0.1), "section_mm": (0.0, 0.1)}
MOST_SOURCE = 200  # signs that a request takes for where a torque comes from


def limit_of(document: DamperDocument, name: str) -> Limit | None:
    """The limit of that name, such as `bore_max_mm`, or None where the model has none."""
    return next((one for one in document.limits or () if one.limit == name), None)


def citing(limit: Limit) -> str:
    """Source and date of a limit in one text, short enough for a request."""
    room = MOST_SOURCE - len(f", {limit.on}")
    source = limit.source if len(limit.source) <= room else f"{limit.source[: room - 1]}\u2026"
    return f"{source}, {limit.on}"


def band_of(document: DamperDocument) -> Json:
    """What the model tells of POST /fit/band: the main valve's bore; groove, thickness and energiser of the band."""
    return _known(bore_mm=_bore(document), **_band_in_bore(document))


def bore_request(document: DamperDocument) -> Json:
    """What the model tells of POST /fit/bore: the nominal bore, the largest allowed, and the band that runs in it."""
    return _known(
        nominal_mm=_bore(document),
        max_diameter_mm=_value(document, "bore_max_mm"),
        band=_band_in_bore(document) or None,
    )


def shaft_request(document: DamperDocument) -> Json:
    """What the model tells of POST /fit/shaft: the nominal diameter, the least allowed, and the run-out allowed."""
    return _known(
        nominal_mm=_shaft(document),
        min_diameter_mm=_value(document, "shaft_min_mm"),
        max_runout_mm=_value(document, "runout_max_mm"),
    )


def rod_gland_request(document: DamperDocument) -> Json:
    """What the model tells of POST /fit/oring for the seal head's ring, which slides on the shaft; empty where the
    model has no such groove."""
    rod, oil = document.rod_gland, document.oil or Oil()
    if rod is None or not tells(rod):
        return {}
    gland = _known(rod_mm=_shaft(document), groove_mm=sent(rod.groove_mm), width_mm=sent(rod.width_mm))
    return _known(
        ring=_ring(rod.ring),
        gland={"kind": "rod", **gland},
        motion="dynamic",
        fluid=oil.fluid,
        temperature_c=oil.hottest_c,
    )


def band_ring(document: DamperDocument) -> Json:
    """The ring under the band, in the form of a request; empty where the model does not tell it."""
    return _ring((document.band or Band()).energiser) or {}


def seal_head_ring(document: DamperDocument) -> Json:
    """The ring in the seal head, in the form of a request; empty where the model does not tell it."""
    return _ring((document.rod_gland or RodGland()).ring) or {}


def torque_request(document: DamperDocument) -> Json:
    """What the model tells of POST /fit/torque: thread, hole and groove of the shaft's end, the nut's torque and its
    source."""
    end = document.shaft_end or ShaftEnd()
    torque = limit_of(document, "nut_torque_n_m")
    return _known(
        thread=end.thread,
        hole_mm=sent(end.hole_mm),
        thread_relief=end.thread_relief,
        relief_diameter_mm=sent(end.relief_diameter_mm),
        torque_n_m=None if torque is None else torque.value,
        torque_source=None if torque is None else citing(torque),
    )


def clearance_request(document: DamperDocument, valve: Valve) -> Json:
    """What the model tells of POST /fit/clearance for a shim on this valve: its shaft, and the play allowed."""
    return _known(shaft_mm=sent(valve.shaft_mm), most_clearance_mm=_value(document, "shim_play_max_mm"))


def inspection_request(document: DamperDocument) -> Json:
    """What the model tells of POST /fit/inspection: all but what is read on a stripped damper."""
    bore = bore_request(document)
    rod, oil = document.rod_gland or RodGland(), document.oil or Oil()
    told = {} if document.shaft_end is None else written(document.shaft_end)
    end = {name: value for name, value in told.items() if name in OF_THREAD}
    seal = _known(ring=_ring(rod.ring), groove_mm=sent(rod.groove_mm), width_mm=sent(rod.width_mm))
    return _known(
        bore={name: value for name, value in bore.items() if name != "band"} or None,
        band=_band_in_bore(document) or None,
        shaft=shaft_request(document) or None,
        seal=seal or None,
        joint={"shaft": end} if end else None,
        oil=_known(fluid=oil.fluid, temperature_c=oil.hottest_c) or None,
    )


def cited(document: DamperDocument, limits: Mapping[str, str]) -> dict[str, str]:
    """{path in the request: source and date} of what a question takes from the maker's limits of this model."""
    found = {path: limit_of(document, name) for path, name in limits.items()}
    return {path: citing(limit) for path, limit in found.items() if limit is not None}


def sent(length: Length | None) -> Json | None:
    """A length as a request takes it."""
    return None if length is None else Measured().written(length)


def _bore(document: DamperDocument) -> Json | None:
    main = document.valve("main")
    return None if main is None else sent(main.body_bore_mm)


def _shaft(document: DamperDocument) -> Json | None:
    return None if document.shaft is None else sent(document.shaft.diameter_mm)


def _band_in_bore(document: DamperDocument) -> Json:
    told = document.band or Band()
    return _known(
        groove_mm=sent(told.groove_mm),
        band_thickness_mm=sent(told.band_thickness_mm),
        energiser=_ring(told.energiser),
    )


def _ring(told: Ring | None) -> Json | None:
    """The model's ring: by a size that AS568 knows, or by its lengths, which are nominal and never exact."""
    if told is None:
        return None
    if told.size is not None:
        try:
            ring_called(told.size)
        except SizeError:
            return None
        return written(told)
    lengths = {"id_mm": told.id_mm, "section_mm": told.section_mm}
    return _known(**{name: _widened(size, *ABOUT[name]) for name, size in lengths.items()}) or None


def _widened(size: Length | None, part: float, least: float) -> Json | None:
    """A length with the tolerance that makers of metric rings state, where the model states none."""
    if size is None or not size.is_exact:
        return sent(size)
    about = max(least, part * size.low)
    return {"min": round(size.low - about, 3), "max": round(size.high + about, 3), "nominal": size.low}


def _value(document: DamperDocument, name: str) -> float | None:
    found = limit_of(document, name)
    return None if found is None else found.value


def _known(**told: Any) -> Json:
    return {name: value for name, value in told.items() if value is not None}

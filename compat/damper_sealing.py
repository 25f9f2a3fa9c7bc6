"""What a damper model tells the questions of band, bore, shaft, O-ring and torque, in the form of their requests.

Nothing here is read on the damper itself: a reading goes before what the model tells. What the model does not know is
left out, and a question then asks for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from compat.engineering.seals.sizes import SizeError, ring_called

Document = Mapping[str, Any]
# Of the shaft's end, what says which nut belongs on it.
OF_THREAD = (
    *("thread", "tolerance_class", "hand", "hole_mm", "full_thread_start_mm", "shaft_end_mm"),
    *("thread_relief", "relief_diameter_mm"),
)
# Plus or minus of a ring without tolerances: a part of the length, and at least so many mm; common practice.
ABOUT = {"id_mm": (0.01, 0.1), "section_mm": (0.0, 0.1)}
MOST_SOURCE = 200  # signs that a request takes for where a torque comes from


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit from the maker's instructions: its value in the unit that its name says, where it stands, and the date
    of that, YYYY-MM-DD."""

    value: float
    source: str
    on: str

    @property
    def cited(self) -> str:
        """Source and date in one text, short enough for a request."""
        room = MOST_SOURCE - len(f", {self.on}")
        source = self.source if len(self.source) <= room else f"{self.source[: room - 1]}\u2026"
        return f"{source}, {self.on}"


def limit_of(document: Document, name: str) -> Limit | None:
    """The limit of that name, such as `bore_max_mm`, or None where the model has none."""
    for one in document.get("limits") or ():
        if one["limit"] == name:
            return Limit(one["value"], one["source"], one["on"])
    return None


def band_of(document: Document) -> dict[str, Any]:
    """What the model tells of POST /fit/band: the main valve's bore; groove, thickness and energiser of the band."""
    return _known(bore_mm=_bore(document), **_band_in_bore(document))


def bore_request(document: Document) -> dict[str, Any]:
    """What the model tells of POST /fit/bore: the nominal bore, the largest allowed, and the band that runs in it."""
    return _known(
        nominal_mm=_bore(document),
        max_diameter_mm=_value(document, "bore_max_mm"),
        band=_band_in_bore(document) or None,
    )


def shaft_request(document: Document) -> dict[str, Any]:
    """What the model tells of POST /fit/shaft: the nominal diameter, the least allowed, and the run-out allowed."""
    return _known(
        nominal_mm=_shaft(document),
        min_diameter_mm=_value(document, "shaft_min_mm"),
        max_runout_mm=_value(document, "runout_max_mm"),
    )


def rod_gland_request(document: Document) -> dict[str, Any]:
    """What the model tells of POST /fit/oring for the seal head's ring, which slides on the shaft; empty where the
    model has no such groove."""
    rod, oil = document.get("rod_gland") or {}, document.get("oil") or {}
    if not rod:
        return {}
    gland = _known(rod_mm=_shaft(document), groove_mm=rod.get("groove_mm"), width_mm=rod.get("width_mm"))
    return _known(
        ring=_ring(rod.get("ring")),
        gland={"kind": "rod", **gland},
        motion="dynamic",
        fluid=oil.get("fluid"),
        temperature_c=oil.get("hottest_c"),
    )


def band_ring(document: Document) -> dict[str, Any]:
    """The ring under the band, in the form of a request; empty where the model does not tell it."""
    return _ring((document.get("band") or {}).get("energiser")) or {}


def seal_head_ring(document: Document) -> dict[str, Any]:
    """The ring in the seal head, in the form of a request; empty where the model does not tell it."""
    return _ring((document.get("rod_gland") or {}).get("ring")) or {}


def torque_request(document: Document) -> dict[str, Any]:
    """What the model tells of POST /fit/torque: thread, hole and groove of the shaft's end, the nut's torque and its
    source."""
    end = document.get("shaft_end") or {}
    torque = limit_of(document, "nut_torque_n_m")
    return _known(
        thread=end.get("thread"),
        hole_mm=end.get("hole_mm"),
        thread_relief=end.get("thread_relief"),
        relief_diameter_mm=end.get("relief_diameter_mm"),
        torque_n_m=None if torque is None else torque.value,
        torque_source=None if torque is None else torque.cited,
    )


def clearance_request(document: Document, valve: Document) -> dict[str, Any]:
    """What the model tells of POST /fit/clearance for a shim on this valve: its shaft, and the play allowed."""
    return _known(shaft_mm=valve.get("shaft_mm"), most_clearance_mm=_value(document, "shim_play_max_mm"))


def inspection_request(document: Document) -> dict[str, Any]:
    """What the model tells of POST /fit/inspection: all but what is read on a stripped damper."""
    bore = bore_request(document)
    rod, oil = document.get("rod_gland") or {}, document.get("oil") or {}
    end = {name: value for name, value in (document.get("shaft_end") or {}).items() if name in OF_THREAD}
    seal = _known(ring=_ring(rod.get("ring")), groove_mm=rod.get("groove_mm"), width_mm=rod.get("width_mm"))
    return _known(
        bore={name: value for name, value in bore.items() if name != "band"} or None,
        band=_band_in_bore(document) or None,
        shaft=shaft_request(document) or None,
        seal=seal or None,
        joint={"shaft": _known(**end)} if end else None,
        oil=_known(fluid=oil.get("fluid"), temperature_c=oil.get("hottest_c")) or None,
    )


def cited(document: Document, limits: Mapping[str, str]) -> dict[str, str]:
    """{path in the request: source and date} of what a question takes from the maker's limits of this model."""
    found = {path: limit_of(document, name) for path, name in limits.items()}
    return {path: limit.cited for path, limit in found.items() if limit is not None}


def _bore(document: Document) -> Any:
    main: Document = next((one for one in document.get("valves") or () if one["code"] == "main"), {})
    return main.get("body_bore_mm")


def _shaft(document: Document) -> Any:
    return (document.get("shaft") or {}).get("diameter_mm")


def _band_in_bore(document: Document) -> dict[str, Any]:
    told = document.get("band") or {}
    return _known(
        groove_mm=told.get("groove_mm"),
        band_thickness_mm=told.get("band_thickness_mm"),
        energiser=_ring(told.get("energiser")),
    )


def _ring(told: Document | None) -> dict[str, Any] | None:
    """The model's ring: by a size that AS568 knows, or by its lengths, which are nominal and never exact."""
    known = _known(**(told or {}))
    if "size" in known:
        try:
            ring_called(known["size"])
        except SizeError:
            return None
        return known
    widened = {name: _widened(size, *ABOUT[name]) for name, size in known.items()}
    return widened or None


def _widened(size: Any, part: float, least: float) -> Any:
    """A length with the tolerance that makers of metric rings state, where the model states none."""
    low, high = (size["min"], size["max"]) if isinstance(size, Mapping) else (size, size)
    if low < high:
        return size
    about = max(least, part * low)
    return {"min": round(low - about, 3), "max": round(high + about, 3), "nominal": low}


def _value(document: Document, name: str) -> float | None:
    found = limit_of(document, name)
    return None if found is None else found.value


def _known(**told: Any) -> dict[str, Any]:
    return {name: value for name, value in told.items() if value is not None}

"""Does a face shim cover its side's ports, and nothing else?"""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.answers import Answer, Finding, ask, note, stop, warn
from compat.engineering.corners import judged
from compat.engineering.refused import Refused
from compat.engineering.rounding import clean, tidy
from compat.engineering.units import Range

TRADE = "trade"
_NONE = Range.exact(0.0)


def _half_difference(outer: Range | None, inner: Range | None) -> Range | None:
    """Radial distance between two concentric edges given by their diameters."""
    return None if outer is None or inner is None else tidy((outer - inner).times(0.5))


def _play(bore_mm: Range | None, shaft_mm: Range | None) -> Range | None:
    """How far the shim may lie off centre. Where bore and shaft overlap the shim is refused or asked about anyway."""
    play = _half_difference(bore_mm, shaft_mm)
    return None if play is None else Range(max(0.0, play.low), max(0.0, play.high), max(0.0, play.nominal))


def _either_way(distance: Range | None, play: Range | None) -> Range | None:
    """Everything a radial distance can be while the shim moves within its play."""
    if distance is None or play is None:
        return None
    return tidy(Range(distance.low - play.high, distance.high + play.high, distance.nominal))


def _at_worst(distance: Range | None, play: Range | None) -> Range | None:
    """The distance with the shim at the bad end of its play: only the readings are still open.

    Play that is unknown is asked for elsewhere and left out here, so that a shim that fails even centred is refused.
    """
    return distance if distance is None or play is None else tidy(distance - play)


def _need(have: Range | None, least: Range | None, failed: str, doubtful: str, scant: str = "") -> list[Finding]:
    """`have` must reach `least`: nothing if it does at every corner, a stop if at none, else a question.

    A stop carries `short_mm`, how far `have` stays below zero even at best; `scant` is its code where it does not.
    """
    if have is None or least is None:  # asked for elsewhere
        return []
    data = {"min_mm": have.low, "max_mm": have.high, "needed_mm": least.high}
    never = stop(scant, TRADE, **data) if scant and have.high >= 0 else stop(failed, TRADE, **data, **_short(have))
    return judged(have - least, never=never, perhaps=ask(doubtful, TRADE, **data))


def _clearance(have: Range | None, failed: str, doubtful: str) -> list[Finding]:
    """`have` must stay above zero: contact is already too much."""
    if have is None:  # asked for elsewhere
        return []
    data = {"min_mm": have.low, "max_mm": have.high}
    never = stop(failed, TRADE, **data, **_short(have))
    return judged(have, never=never, perhaps=ask(doubtful, TRADE, **data), strict=True)


def _short(have: Range) -> dict[str, float]:
    """How far a distance stays below zero even at best, as a length that is not negative."""
    return {"short_mm": clean(-have.high)}


def _unknown(readings: Mapping[str, Range | None]) -> list[Finding]:
    return [ask(f"face_{name.removesuffix('_mm')}_unknown", TRADE) for name, reading in readings.items() if not reading]


def _ports(inner: Range | None, outer: Range | None, land: Range | None, hub: Range | None) -> list[Finding]:
    """Readings that contradict each other, or may: ports lie outside the hub's seat and inside the land."""
    pairs = (("ports_inner_over_outer", inner, outer), ("ports_over_land", outer, land), ("hub_over_ports", hub, inner))
    return [
        finding
        for code, smaller, larger in pairs
        if smaller and larger
        for finding in judged(larger - smaller, never=ask(code), perhaps=ask(code))
    ]


def _land(reach: Range | None, play: Range | None) -> list[Finding]:
    """Past the land when centred is the wrong shim; past it by play alone is harmless if bore and feed are clear."""
    if reach is None:
        return []
    found = _need(reach, _NONE, "face_shim_past_land", "face_shim_near_land_edge")
    if not found and play is not None and reach.low < play.high:
        found = [warn("face_shim_plays_past_land", TRADE, by_mm=clean(play.high - reach.low))]
    return found


def face_shim(
    *,
    shim_od_mm: Range | None = None,
    shim_bore_mm: Range | None = None,
    shaft_mm: Range | None = None,
    hub_mm: Range | None = None,
    ports_inner_mm: Range | None = None,
    ports_outer_mm: Range | None = None,
    land_outer_mm: Range | None = None,
    body_bore_mm: Range | None = None,
    other_side_feed_inner_mm: Range | None = None,
    overlap_mm: Range | None = None,
) -> Answer:
    """Does the face shim cover all ports of its side, wherever it lies within its play, without reaching too far?

    All arguments are millimetres, all but `overlap_mm` (a radial length, the shop's rule, no default) are diameters;
    None is unknown and asks. `fits` means: at every corner of the readings, with the shim at the bad end of its
    radial play (bore - shaft)/2, both port edges are covered by the overlap, the hub still carries the shim, its rim
    is within the land, touches no body bore and blocks no feed of the other side. Values: `outer_cover_mm`,
    `inner_cover_mm`, `hub_seat_mm`, `radial_play_mm`, radial, play counted both ways (None where unknown). Ports are
    taken as a concentric ring and the piston as concentric with the body. Raises Refused for a diameter not above
    zero or a negative overlap. Source: common practice of the trade, no published source.
    """
    readings = {
        "shim_od_mm": shim_od_mm,
        "shim_bore_mm": shim_bore_mm,
        "shaft_mm": shaft_mm,
        "hub_mm": hub_mm,
        "ports_inner_mm": ports_inner_mm,
        "ports_outer_mm": ports_outer_mm,
        "land_outer_mm": land_outer_mm,
        "body_bore_mm": body_bore_mm,
        "other_side_feed_inner_mm": other_side_feed_inner_mm,
    }
    for name, reading in readings.items():
        if reading is not None and reading.low <= 0:
            raise Refused("diameter_not_above_zero", name)
    if overlap_mm is not None and overlap_mm.low < 0:
        raise Refused("length_negative", "overlap_mm")

    play = _play(shim_bore_mm, shaft_mm)
    outer = _half_difference(shim_od_mm, ports_outer_mm)
    inner = _half_difference(ports_inner_mm, shim_bore_mm)
    seat = _half_difference(hub_mm, shim_bore_mm)
    reach = _half_difference(land_outer_mm, shim_od_mm)
    to_bore = _at_worst(_half_difference(body_bore_mm, shim_od_mm), play)
    to_feed = _at_worst(_half_difference(other_side_feed_inner_mm, shim_od_mm), play)
    least = overlap_mm or _NONE  # an unknown overlap is asked for; open ports are open whatever it is
    findings = [
        *_need(_half_difference(shim_bore_mm, shaft_mm), _NONE, "face_shim_bore_small", "face_shim_bore_close"),
        *_need(_at_worst(outer, play), least, "ports_open_outside", "outer_cover_doubtful", "outer_cover_small"),
        *_need(_at_worst(inner, play), least, "ports_open_inside", "inner_cover_doubtful", "inner_cover_small"),
        *_clearance(_at_worst(seat, play), "hub_misses_shim", "hub_seat_doubtful"),
        *_land(reach, play),
        *_clearance(to_bore, "face_shim_touches_body", "body_clearance_doubtful"),
        *_need(to_feed, _NONE, "face_shim_blocks_feed", "feed_clearance_doubtful"),
        *_ports(ports_inner_mm, ports_outer_mm, land_outer_mm, hub_mm),
        *_unknown({**readings, "overlap_mm": overlap_mm}),
    ]
    values = {
        "outer_cover_mm": _either_way(outer, play),
        "inner_cover_mm": _either_way(inner, play),
        "hub_seat_mm": _either_way(seat, play),
        "radial_play_mm": play,
    }
    if not findings:
        findings.append(note("ports_covered", TRADE))
    return Answer("face-shim", tuple(findings), values, (TRADE,), ("makers_instructions", "clean_face"))

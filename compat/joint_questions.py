"""One function a question: from the request and the shelf, through the engine, to an Answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil, floor
from typing import Any

from compat import damper_values, shelf
from compat.damper_values import gauged as gauged
from compat.engineering import spacers
from compat.engineering.answers import Answer, Finding, ask, stop
from compat.engineering.assembly.model import nut_underside
from compat.engineering.assembly.order import spacers_between
from compat.engineering.corners import judged, room
from compat.engineering.face import face_shim
from compat.engineering.groups import Ply
from compat.engineering.lip import LipRule, LipWindow, spacer_may_reach, spread_of_spacer, window
from compat.engineering.pieces import Piece, SpacerChoice
from compat.engineering.plans.problem import StockRow
from compat.engineering.stacks import stack
from compat.engineering.units import Range, um_to_mm
from compat.refusals import engine_errors
from compat.shim_wants import WIDEST_PLAY_UM, spacers_for
from inventory.common.errors import invalid
from inventory.dampers.selectors import damper_called

ALTERNATIVES = 3


def ask_face_shim(sizes: Mapping[str, Range | None]) -> Answer:
    """Does this face shim cover its ports, and nothing else?"""
    with engine_errors("shim_od_mm"):
        return face_shim(**sizes)


def ask_stack(
    *,
    damper: str | None,
    fields: Mapping[str, Any],
    valve: str,
    stacks: Mapping[str, Sequence[Mapping[str, Any]]],
    shaft_end: Mapping[str, Any] | None = None,
) -> Answer:
    """Is this stack sound, on the valve of a damper model or on a valve described in the request?

    `shaft_end` tells the lip of a valve that is described; a damper model brings its own.
    """
    rule = damper_values.lip_rule(shaft_end)
    document = fields
    if damper is not None:
        if fields:
            raise invalid("damper", "give a damper or the fields of a valve, not both")
        found = damper_called(damper).document
        document = damper_values.valve_document(found, valve)
        rule = damper_values.lip_rule(found.get("shaft_end"))
    on_file = damper_values.valve_from(document, kind=valve)
    plies = _plies(stacks, on_file.valve.shaft_mm)
    with engine_errors("stacks"):
        return stack(on_file.valve, plies, overlap_mm=on_file.overlap_mm, rule=rule)


def ask_spacer(asked: Mapping[str, Any]) -> Answer:
    """Which shims under the rebound base plate make it straddle the lip? Draws on the shelf."""
    with engine_errors("stack_height_mm"):
        rule = LipRule(
            shoulder_to_lip_mm=asked.get("shoulder_to_lip_mm"),
            base_plate_mm=asked.get("base_plate_mm"),
            on_straight_mm=_mm(asked.get("on_straight_mm")),
            past_lip_mm=_mm(asked.get("past_lip_mm")),
        )
        lip = window(asked.get("stack_height_mm"), rule)
    findings = list(lip.findings)
    added = spacers_between(lip)
    values: dict[str, Any] = {"add_mm": lip.add_mm, "lines": [], "total_mm": None, "alternatives": []}
    if lip.add_mm is not None and lip.add_mm.low > 0:
        over_um, upto_um = asked["clamp_od_mm"], asked["spacer_max_od_mm"]
        wanted = spacers_for(shaft_mm=asked["shaft_mm"], over_um=over_um, upto_um=upto_um)
        rows = shelf.shim_rows([wanted], take_offs=asked["take_offs"])
        low, high = _within(lip.add_mm)
        pieces = [_piece(row) for row in rows.rows]
        target = (low + high) / 2
        with engine_errors("stack_height_mm"):
            best = spacers.find_spacer(pieces, low, high, target)
        if over_um >= upto_um:
            sizes = {"clamp_od_mm": um_to_mm(over_um), "contact_mm": um_to_mm(upto_um)}
            findings.append(stop("clamp_reaches_contact", "trade", **sizes))
        elif best is None and (perhaps := _perhaps(rows, lip)) is not None:
            values |= {"lines": rows.lines(perhaps.taken), "total_mm": um_to_mm(perhaps.total_um)}
            added = rows.total_mm(perhaps.taken)
            findings.append(spacer_may_reach(added, lip.add_mm))
            findings += _close_bores(rows, [key for key, _ in perhaps.taken], asked["shaft_mm"])
        elif best is None:
            findings.append(stop("no_such_shims", "trade", add_min_mm=lip.add_mm.low, add_max_mm=lip.add_mm.high))
        else:
            values |= {"lines": rows.lines(best.taken), "total_mm": um_to_mm(best.total_um)}
            added = rows.total_mm(best.taken)
            findings += spread_of_spacer(added, lip.add_mm)
            findings += _close_bores(rows, [key for key, _ in best.taken], asked["shaft_mm"])
            others = spacers.alternatives(pieces, low, high, target, ALTERNATIVES)
            values["alternatives"] = [
                {"lines": rows.lines(one.taken), "total_mm": um_to_mm(one.total_um)} for one in others
            ]
    values["nut_underside_mm"] = nut_underside(asked.get("stack_height_mm"), added, asked.get("base_plate_mm"))
    return Answer("spacer", tuple(findings), values, ("trade",), ("wrong_nut", "makers_instructions"))


def _perhaps(rows: shelf.ShimRows, lip: LipWindow) -> SpacerChoice | None:
    """Pieces that may be right at some corner of the readings, theirs included, where none are by the means."""
    if lip.perhaps_mm is None:
        return None
    low, high = floor(round(lip.perhaps_mm.low * 1000, 2)), ceil(round(lip.perhaps_mm.high * 1000, 2))
    spreads = [(_piece(row), rows.places[row.key].spread_um) for row in rows.rows]
    return spacers.perhaps_spacer(spreads, low, high, (low + high) / 2)


def _piece(row: StockRow) -> Piece:
    return Piece(row.key, row.mean_um, row.available, row.newer_days, row.drawer)


def _close_bores(rows: shelf.ShimRows, taken: Sequence[str], shaft_mm: Range) -> list[Finding]:
    """Asks about spacers whose bore lies within the readings of the shaft, or may have too much play on it.

    That a bore passes at no end of the readings does not occur: the shelf is asked for those that do.
    """
    found = list[Finding]()
    limits = {"shaft_min_mm": shaft_mm.low, "shaft_max_mm": shaft_mm.high}
    for bore in sorted({um_to_mm(rows.places[key].size.bore_um) for key in taken}):
        close = ask("spacer_bore_close", "trade", bore_mm=bore, **limits)
        loose = ask("spacer_bore_loose", "trade", bore_mm=bore, play_mm=um_to_mm(WIDEST_PLAY_UM), **limits)
        found += judged(room(shaft_mm, most=Range.exact(bore)), never=close, perhaps=close)
        widest = Range.exact(bore - um_to_mm(WIDEST_PLAY_UM))
        found += judged(room(shaft_mm, least=widest), never=loose, perhaps=loose)
    return found


def _plies(stacks: Mapping[str, Sequence[Mapping[str, Any]]], shaft_mm: Range | None) -> dict[str, list[Ply]]:
    """{side: plies}. Raises DomainError `invalid` for a lot that does not exist or is of another size than its line."""
    lots = shelf.named_lots(line for lines in stacks.values() for line in lines)
    found = {}
    for side, asked in stacks.items():
        lines = damper_values.lines_from(asked, shaft_mm, f"stacks.{side}")
        found[side] = shelf.with_lots(lines, asked, f"stacks.{side}", lots)
    return found


def _mm(um: int | None) -> float | None:
    return None if um is None else um_to_mm(um)


def _within(window_mm: Range) -> tuple[int, int]:
    """The window in whole micrometres, never wider than it is."""
    low, high = round(window_mm.low * 1000, 2), round(window_mm.high * 1000, 2)
    return int(-(-low // 1)), int(high // 1)

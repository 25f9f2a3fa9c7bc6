"""Spacers from the shelf, under the rebound base plate."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor

from compat.engineering import spacers
from compat.engineering.answers import Answer, Finding, ask, stop
from compat.engineering.assembly.model import nut_underside
from compat.engineering.assembly.order import spacers_between
from compat.engineering.corners import judged, room
from compat.engineering.lip import LipRule, LipWindow, spacer_may_reach, spread_of_spacer, window
from compat.engineering.pieces import Piece, SpacerChoice
from compat.engineering.plans.problem import StockRow
from compat.engineering.units import Range, um_to_mm
from compat.questions.spacer.request import Spacer
from compat.shelf import shim_rows
from compat.shelf.shim_wants import WIDEST_PLAY_UM, spacers_for
from compat.texts.refusals import engine_errors

ALTERNATIVES = 3


def answer(asked: Spacer) -> Answer:
    """Draws on the shelf. Raises DomainError `invalid` for what cannot be read."""
    with engine_errors("stack_height_mm"):
        rule = LipRule(
            shoulder_to_lip_mm=asked.shoulder_to_lip_mm,
            base_plate_mm=asked.base_plate_mm,
            on_straight_mm=asked.on_straight_mm,
            past_lip_mm=asked.past_lip_mm,
        )
        lip = window(asked.stack_height_mm, rule)
    findings = list(lip.findings)
    added = spacers_between(lip)
    values: dict[str, object] = {"add_mm": lip.add_mm, "lines": [], "total_mm": None, "alternatives": []}
    if lip.add_mm is not None and lip.add_mm.low > 0:
        over_um, upto_um = round(asked.clamp_od_mm * 1000), round(asked.spacer_max_od_mm * 1000)
        wanted = spacers_for(shaft_mm=asked.shaft_mm, over_um=over_um, upto_um=upto_um)
        rows = shim_rows.shim_rows([wanted], take_offs=asked.take_offs)
        low, high = _within(lip.add_mm)
        pieces = [_piece(row) for row in rows.rows]
        target = (low + high) / 2
        with engine_errors("stack_height_mm"):
            best = spacers.find_spacer(pieces, low, high, target)
        if over_um >= upto_um:
            sizes = {"clamp_od_mm": asked.clamp_od_mm, "contact_mm": asked.spacer_max_od_mm}
            findings.append(stop("clamp_reaches_contact", "trade", **sizes))
        elif best is None and (perhaps := _perhaps(rows, lip)) is not None:
            values |= {"lines": rows.lines(perhaps.taken), "total_mm": um_to_mm(perhaps.total_um)}
            added = rows.total_mm(perhaps.taken)
            findings.append(spacer_may_reach(added, lip.add_mm))
            findings += _close_bores(rows, [key for key, _ in perhaps.taken], asked.shaft_mm)
        elif best is None:
            findings.append(stop("no_such_shims", "trade", add_min_mm=lip.add_mm.low, add_max_mm=lip.add_mm.high))
        else:
            values |= {"lines": rows.lines(best.taken), "total_mm": um_to_mm(best.total_um)}
            added = rows.total_mm(best.taken)
            findings += spread_of_spacer(added, lip.add_mm)
            findings += _close_bores(rows, [key for key, _ in best.taken], asked.shaft_mm)
            others = spacers.alternatives(pieces, low, high, target, ALTERNATIVES)
            values["alternatives"] = [
                {"lines": rows.lines(one.taken), "total_mm": um_to_mm(one.total_um)} for one in others
            ]
    values["nut_underside_mm"] = nut_underside(asked.stack_height_mm, added, asked.base_plate_mm)
    return Answer("spacer", tuple(findings), values, ("trade",), ("wrong_nut", "makers_instructions"))


def _perhaps(rows: shim_rows.ShimRows, lip: LipWindow) -> SpacerChoice | None:
    """Pieces that may be right at some corner of the readings, theirs included, where none are by the means."""
    if lip.perhaps_mm is None:
        return None
    low, high = floor(round(lip.perhaps_mm.low * 1000, 2)), ceil(round(lip.perhaps_mm.high * 1000, 2))
    spreads = [(_piece(row), rows.places[row.key].spread_um) for row in rows.rows]
    return spacers.perhaps_spacer(spreads, low, high, (low + high) / 2)


def _piece(row: StockRow) -> Piece:
    return Piece(row.key, row.mean_um, row.available, row.newer_days, row.drawer)


def _close_bores(rows: shim_rows.ShimRows, taken: Sequence[str], shaft_mm: Range) -> list[Finding]:
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


def _within(window_mm: Range) -> tuple[int, int]:
    """The window in whole micrometres, never wider than it is."""
    low, high = round(window_mm.low * 1000, 2), round(window_mm.high * 1000, 2)
    return int(-(-low // 1)), int(high // 1)

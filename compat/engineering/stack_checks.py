"""What is checked on one side's stack apart from cover and height: order, clamp, bores, forms, crossover gaps."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from compat.engineering.answers import Finding, ask, note, stop, warn
from compat.engineering.groups import LEAST_GAP_MM, Crossover, Group, Ply, closes
from compat.engineering.rounding import clean
from compat.engineering.shims import Form, roles_of
from compat.engineering.units import Range

TRADE = "trade"
CONTACT = "contact_model"
OTHER_SHAFT_MM = 1.0  # stock bores are 2 mm apart: half a step away a shim was made for another shaft


def order(side: str, groups: Sequence[Group]) -> list[Finding]:
    """A shim larger than the one below it, with nothing larger nearer the face: a reverse taper, not a crossover."""
    return [
        warn("reverse_taper", TRADE, side=side, below_od_mm=below.od_mm, above_od_mm=above.od_mm)
        for index, (below, above) in enumerate(pairwise(groups))
        if above.od_mm > below.od_mm and all(group.od_mm <= below.od_mm for group in groups[:index])
    ]


def crossover_gaps(side: str, crossovers: Sequence[Crossover]) -> list[Finding]:
    """A gap that may be under 0.05 mm, or under its own spread, may be shut as built."""
    return [
        warn(
            "crossover_gap_small",
            CONTACT,
            side=side,
            after=crossover.after,
            gap_min_mm=crossover.gap_mm.low,
            gap_max_mm=crossover.gap_mm.high,
            least_mm=LEAST_GAP_MM,
        )
        for crossover in crossovers
        if closes(crossover)
    ]


def clamp(side: str, groups: Sequence[Group], contact_mm: Range | None) -> list[Finding]:
    """The smallest of clamp shim, other shims and base plate is what clamps the whole stack.

    So a clamp shim larger than any of them does not do what its size says. These are warnings: the damper works, but
    softer than written down.
    """
    if not groups:
        return []
    smallest, last = min(group.od_mm for group in groups), groups[-1].od_mm
    found = []
    if smallest < last:
        found.append(warn("clamp_not_smallest", CONTACT, side=side, clamp_od_mm=last, smallest_od_mm=smallest))
    if len(groups) == 1:
        found.append(note("no_clamp_shim", TRADE, side=side, od_mm=last))
    if contact_mm is None:
        found.append(warn("base_plate_contact_unknown", TRADE, side=side))
    elif len(groups) > 1 and last > clean(contact_mm.low):
        found.append(warn("clamp_over_base_plate", CONTACT, side=side, clamp_od_mm=last, contact_mm=contact_mm.low))
    return found


def bores(side: str, plies: Sequence[Ply], shaft_mm: Range | None) -> list[Finding]:
    """Every shim passes over the shaft, and all are made for the same one. Rings have their own bore by design.

    An unknown shaft is asked for with the face shim.
    """
    sizes = sorted({ply.bore_mm for ply in plies if ply.line.size.form is not Form.RING})
    if not sizes:
        return []
    found = []
    smallest, largest = sizes[0], sizes[-1]
    if clean(largest - smallest) >= OTHER_SHAFT_MM:
        found.append(stop("bores_of_two_shafts", TRADE, side=side, smallest_mm=smallest, largest_mm=largest))
    elif smallest < largest:
        found.append(warn("bores_differ", TRADE, side=side, smallest_mm=smallest, largest_mm=largest))
    if shaft_mm is None:
        return found
    data = {"side": side, "bore_mm": smallest, "shaft_min_mm": shaft_mm.low, "shaft_max_mm": shaft_mm.high}
    if smallest < clean(shaft_mm.low):
        found.append(stop("bore_under_shaft", TRADE, **data))
    elif smallest < clean(shaft_mm.high):
        found.append(ask("bore_close_to_shaft", TRADE, **data))
    if clean(smallest - shaft_mm.low) >= OTHER_SHAFT_MM:
        loose = clean(smallest - shaft_mm.high) >= OTHER_SHAFT_MM
        say, code = (stop, "bore_of_larger_shaft") if loose else (ask, "bore_may_be_loose")
        found.append(say(code, TRADE, **data))
    return found


def forms(side: str, plies: Sequence[Ply]) -> list[Finding]:
    """Outlines other than round: a notched face is a bleed on purpose; rings and polygons cannot be judged."""
    found = []
    roles = roles_of([ply.line for ply in plies])
    for number, (ply, role) in enumerate(zip(plies, roles, strict=True), start=1):
        form = ply.line.size.form
        data = {"side": side, "line": number, "od_mm": ply.od_mm}
        if form is Form.RING:
            found.append(ask("ring_shim_in_stack", CONTACT, **data))
        elif form is Form.POLYGON:
            found.append(ask("polygon_shim_in_stack", CONTACT, **data))
        elif form is not Form.ROUND and role == "face":
            found.append(note("face_bleed", TRADE, **data))
        elif form is not Form.ROUND:
            found.append(warn("cut_shim_taken_as_round", CONTACT, **data))
    return found


def reach(side: str, plies: Sequence[Ply], shaft_mm: Range | None, body_bore_mm: Range | None) -> list[Finding]:
    """A shim larger than the face shim must clear the body as well; the face shim has its own check."""
    if not plies or body_bore_mm is None or shaft_mm is None:
        return []
    found = []
    for od, bore in sorted({(ply.od_mm, ply.bore_mm) for ply in plies if ply.od_mm > plies[0].od_mm}):
        low = clean((body_bore_mm.low - od - max(0.0, bore - shaft_mm.low)) / 2)
        high = clean((body_bore_mm.high - od - max(0.0, bore - shaft_mm.high)) / 2)
        if low <= 0:
            say, code = (stop, "shim_touches_body") if high <= 0 else (ask, "shim_clearance_doubtful")
            found.append(say(code, TRADE, side=side, od_mm=od, min_mm=low, max_mm=high))
    return found

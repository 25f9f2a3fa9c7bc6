"""What is checked on one side's stack apart from cover and height: order, clamp, bores, forms, crossover gaps."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from compat.engineering.answers import Finding, Severity, ask, note, stop, warn
from compat.engineering.corners import judged, over_corners, room
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
    limits = {"side": side, "shaft_min_mm": shaft_mm.low, "shaft_max_mm": shaft_mm.high}
    widest = smallest if found and found[0].severity is Severity.STOP else largest  # of two shafts is said already
    tight, loose = {**limits, "bore_mm": smallest}, {**limits, "bore_mm": widest}
    found += judged(
        room(shaft_mm, most=Range.exact(smallest)),
        never=stop("bore_under_shaft", TRADE, **tight),
        perhaps=ask("bore_close_to_shaft", TRADE, **tight),
    )
    return found + judged(
        room(shaft_mm, least=Range.exact(widest - OTHER_SHAFT_MM)),
        never=stop("bore_of_larger_shaft", TRADE, **loose),
        perhaps=ask("bore_may_be_loose", TRADE, **loose),
        strict=True,
    )


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
    """A shim that is larger than the face shim, or has more play, must clear the body as well; the face shim has its
    own check. What is unknown is asked for with the face shim."""
    if not plies or body_bore_mm is None or shaft_mm is None:
        return []
    face, found = plies[0], list[Finding]()
    on_shaft = {(ply.od_mm, ply.bore_mm) for ply in plies if ply.line.size.form is not Form.RING}
    for od, bore in sorted(on_shaft):
        if od <= face.od_mm and bore <= face.bore_mm:
            continue  # no further out than the face shim, wherever it lies
        shim = (Range.exact(od), Range.exact(bore))
        clear = over_corners(_clearance, body_bore_mm, shaft_mm, *shim)
        data = {"side": side, "od_mm": od, "min_mm": clean(clear.low), "max_mm": clean(clear.high)}
        found += judged(
            clear,
            never=stop("shim_touches_body", TRADE, **data),
            perhaps=ask("shim_clearance_doubtful", TRADE, **data),
            strict=True,
        )
    return found


def _clearance(body: float, shaft: float, od: float, bore: float) -> float:
    """What is left between a shim's rim and the body, radially, with the shim at the end of its play; mm."""
    return (body - od - max(0.0, bore - shaft)) / 2

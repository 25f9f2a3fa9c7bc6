"""Which parts fit a damper model, and why: by what the model and the catalogue say, before anything is gauged."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace

from compat.dampers import engine_values
from compat.engineering.answers import Answer, Finding, ask, note, stop
from compat.engineering.nut_on_shaft import nut_on_shaft
from compat.engineering.units import Range, um_to_mm
from compat.shelf import nuts
from compat.shelf.shim_wants import WIDEST_PLAY_UM
from compat.texts.refusals import engine_errors
from inventory.catalogue.kinds.nuts import Nut as NutPart
from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError
from inventory.dampers.selectors import Damper
from inventory.stock.selectors import sizes_of

KINDS = ("nut", "shim")

Outline = tuple[int, int]  # bore and outer diameter of a shim, micrometres


@dataclass(frozen=True, slots=True)
class _Seat:
    """Where a shim may sit: the shaft of a valve and the bore of the body round it, as far as they are known."""

    valve: str
    shaft: Range | None
    body: Range | None


def answers_for(damper: Damper, parts: Iterable[Part]) -> list[tuple[Part, Answer]]:
    """An answer for every nut and shim among the parts; two queries however many they are."""
    listed = list(parts)
    sizes = sizes_of(listed)
    seats = _seats(damper)
    found = []
    for part in listed:
        row = sizes[part.pk]
        if isinstance(row, NutPart):
            found.append((part, _nut(damper, row)))
        elif isinstance(row, Shim):
            found.append((part, _shim((row.bore_um, row.od_um), seats)))
    return found


def shims_for(damper: Damper, outlines: Iterable[Outline]) -> dict[Outline, Answer]:
    """An answer for every bore and diameter; a shim's thickness and form decide nothing here."""
    seats = _seats(damper)
    return {outline: _shim(outline, seats) for outline in outlines}


def dampers_for(part: Part, dampers: Iterable[Damper]) -> list[tuple[Damper, Answer]]:
    """An answer for every damper model where the part is a nut or a shim, else nothing; one query, or none.

    A model whose document contradicts itself cannot be asked, and is left out.
    """
    if part.kind not in KINDS:
        return []
    row = sizes_of([part])[part.pk]
    found = []
    for damper in dampers:
        with suppress(DomainError):
            if isinstance(row, NutPart):
                found.append((damper, _nut(damper, row)))
            elif isinstance(row, Shim):
                found.append((damper, _shim((row.bore_um, row.od_um), _seats(damper))))
    return found


def _seats(damper: Damper) -> list[_Seat]:
    """The seats of a damper's valves."""
    sizes = engine_values.length
    return [_Seat(valve.code, sizes(valve.shaft_mm), sizes(valve.body_bore_mm)) for valve in damper.document.valves]


def _nut(damper: Damper, nut: NutPart) -> Answer:
    """The nut question with the model's and the catalogue's sizes: it can rule out, and says what to gauge.

    Without the threads that would be near misses: beside every nut of the catalogue they would drown the list.
    """
    with engine_errors("shaft_end"):
        return nut_on_shaft(
            engine_values.threaded_end(damper.document.shaft_end),
            replace(nuts.by_label(nut), condition="new"),
            near_misses_too=False,
        )


def _shim(outline: Outline, seats: list[_Seat]) -> Answer:
    """A shim fits where at one valve it passes the shaft without much play and clears the body.

    Whether it covers ports depends on the side and the stack, so it is not asked here. A shim that some valve leaves
    open may yet serve there, so only where every valve is known to refuse it does it not fit.
    """
    bore, od = (um_to_mm(one) for one in outline)
    known = [seat.shaft for seat in seats if seat.shaft is not None]
    unknown = [seat for seat in seats if seat.shaft is None and _clears(outline, seat)]
    passed = [seat for seat in seats if seat.shaft is not None and _passes(outline, seat.shaft)]
    clear = [seat for seat in passed if _clears(outline, seat)]
    if clear:
        asked = [(seat, _questions(outline, seat)) for seat in clear]
        sure = next((seat for seat, questions in asked if not questions), None)
        findings = tuple(finding for _, questions in asked for finding in questions)
        if sure is not None:
            findings = (note("shim_bore_right", "trade", valve=sure.valve, bore_mm=bore, od_mm=od),)
    elif unknown:
        findings = (ask("damper_shaft_unknown", "trade"),)
    elif passed or not known:
        bodies = dict.fromkeys(f"{seat.body.low:g}" for seat in passed or seats if seat.body is not None)
        findings = (stop("shim_reaches_body", "trade", od_mm=od, bodies_mm=", ".join(bodies)),)
    else:
        named = ", ".join(dict.fromkeys(f"{shaft.nominal:g}" for shaft in known))
        findings = (stop("shim_bore_other", "trade", bore_mm=bore, shafts_mm=named),)
    values = {"bore_mm": bore, "od_mm": od}
    return Answer("part-on-damper", findings, values, ("trade",), ("makers_instructions",))


def _passes(outline: Outline, shaft: Range) -> bool:
    """Whether the bore can pass the shaft at one end of its readings, and is not so wide that it is another shaft's."""
    return round(shaft.low * 1000) <= outline[0] <= round(shaft.high * 1000) + WIDEST_PLAY_UM


def _clears(outline: Outline, seat: _Seat) -> bool:
    """Whether the shim is smaller than the body's bore at its narrowest, or that bore is unknown."""
    return seat.body is None or outline[1] < round(seat.body.low * 1000)


def _questions(outline: Outline, seat: _Seat) -> list[Finding]:
    """What is still open of a shim that no size of this valve rules out."""
    bore, od = (um_to_mm(one) for one in outline)
    found = []
    if seat.shaft is not None and outline[0] < round(seat.shaft.high * 1000):
        limits = {"shaft_min_mm": seat.shaft.low, "shaft_max_mm": seat.shaft.high}
        found.append(ask("shim_bore_close", "trade", valve=seat.valve, bore_mm=bore, **limits))
    if seat.body is None:
        found.append(ask("shim_body_unknown", "trade", valve=seat.valve, od_mm=od))
    return found

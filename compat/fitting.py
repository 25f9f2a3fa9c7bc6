"""Which parts fit a damper model, and why: by what the model and the catalogue say, before anything is gauged."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress

from compat import damper_values
from compat.engineering.answers import Answer, ask, note, stop
from compat.engineering.nut_on_shaft import Nut, nut_on_shaft
from compat.engineering.units import Range, um_to_mm
from compat.refusals import engine_errors
from compat.shelf import WIDEST_PLAY_UM
from inventory.catalogue.kinds.nuts import Nut as NutPart
from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError
from inventory.dampers.selectors import Damper
from inventory.stock.selectors import sizes_of

KINDS = ("nut", "shim")


def answers_for(damper: Damper, parts: Iterable[Part]) -> list[tuple[Part, Answer]]:
    """An answer for every nut and shim among the parts; two queries however many they are."""
    listed = list(parts)
    sizes = sizes_of(listed)
    shafts = _shafts(damper)
    found = []
    for part in listed:
        row = sizes[part.pk]
        if isinstance(row, NutPart):
            found.append((part, _nut(damper, row)))
        elif isinstance(row, Shim):
            found.append((part, _shim(row, shafts)))
    return found


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
                found.append((damper, _shim(row, _shafts(damper))))
    return found


def _shafts(damper: Damper) -> list[Range]:
    """The shaft diameters of a damper's valves, as far as they are known."""
    lengths = (damper_values.length(valve.get("shaft_mm")) for valve in damper.document["valves"])
    return [length for length in lengths if length is not None]


def _nut(damper: Damper, nut: NutPart) -> Answer:
    """The nut question with the model's and the catalogue's sizes: it can rule out, and says what to gauge."""
    with engine_errors("shaft_end"):
        return nut_on_shaft(
            damper_values.threaded_end(damper.document.get("shaft_end")),
            Nut(
                thread=nut.thread,
                tolerance_class=None if nut.tolerance_class == "unknown" else nut.tolerance_class,
                hand=nut.hand,
                height_mm=um_to_mm(nut.height_um),
                property_class=None if nut.property_class == "unknown" else nut.property_class,
                locking=nut.locking,
                condition="new",
            ),
        )


def _shim(shim: Shim, shafts: list[Range]) -> Answer:
    """A shim fits where its bore passes a shaft of the damper without much play."""
    bore = um_to_mm(shim.bore_um)
    if not shafts:
        findings = (ask("damper_shaft_unknown", "trade"),)
    elif any(0 <= round(shim.bore_um - shaft.high * 1000) <= WIDEST_PLAY_UM for shaft in shafts):
        findings = (note("shim_bore_right", "trade", bore_mm=bore),)
    else:
        named = ", ".join(f"{shaft.nominal:g}" for shaft in shafts)
        findings = (stop("shim_bore_other", "trade", bore_mm=bore, shafts_mm=named),)
    return Answer("part-on-damper", findings, {"bore_mm": bore}, ("trade",), ("makers_instructions",))

"""What a plan is asked for, as a kept plan records it; read by inventory/documents/typed.py.

It is recorded as it was sent, so a measured length of it is a number or a range.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from compat.dampers.engine_values import EndAsRead
from inventory.dampers.document import Stacks
from inventory.dampers.words import VALVES
from inventory.documents.lengths import Length
from inventory.documents.outside import outside
from inventory.documents.typed import (
    Flag,
    Measured,
    Millimetres,
    Number,
    Part,
    Several,
    Text,
    document,
    may,
    need,
    read,
)


@document
class StacksOfValve:
    """The stacks of one valve."""

    code: str = need(Text(VALVES))
    stacks: Stacks = need(Part(Stacks))


@document
class Besides:
    """A part that the job needs besides the stacks."""

    part: str = need(Text())
    quantity: int = need(Number(whole=True))


@document
class NutAsRead:
    """What was read of the very nut that goes on, and its part number. Lengths and pitch in millimetres."""

    part: str | None = may(Text())
    gauged_pitch_mm: float | None = may(Number())
    gauged_threads_per_inch: float | None = may(Number())
    minor_mm: Length | None = may(Measured())
    height_mm: Length | None = may(Measured())
    chamfer_mm: Length | None = may(Measured())
    unthreaded_mm: Length | None = may(Measured())
    property_class: str | None = may(Text())
    tolerance_class: str | None = may(Text())


@document
class Allow:
    """What may be given in place of what was asked for: within `curve_percent` of a curve, `height_mm` of the whole and
    `reach_mm` of a diameter; which roles may be stood in for; `search_ms`: the time given to the search."""

    stand_ins: bool | None = may(Flag())
    take_offs: bool | None = may(Flag())
    curve_percent: float | None = may(Number())
    height_mm: Length | None = may(Millimetres())
    reach_mm: Length | None = may(Millimetres())
    face: bool | None = may(Flag())
    crossover: bool | None = may(Flag())
    clamp: bool | None = may(Flag())
    search_ms: float | None = may(Number())


@document
class AskedPlan:
    """Build these stacks from the shelf: `stacks` of the main valve, or those of several `valves`."""

    damper: str = need(Text())
    stacks: Stacks | None = may(Part(Stacks))
    valves: tuple[StacksOfValve, ...] | None = may(Several(StacksOfValve))
    readings: EndAsRead | None = may(Part(EndAsRead))
    spacer: bool | None = may(Flag())
    also: tuple[Besides, ...] | None = may(Several(Besides))
    nut: bool | None = may(Flag())
    nut_readings: NutAsRead | None = may(Part(NutAsRead))
    allow: Allow | None = may(Part(Allow))
    job: str | None = may(Text())

    @property
    def valves_in_order(self) -> list[tuple[str, Stacks, str]]:
        """(code, stacks, path in the request) of every valve asked for, the main valve first."""
        if self.stacks is not None:
            return [("main", self.stacks, "stacks")]
        found = [(one.code, one.stacks, f"valves.{number}.stacks") for number, one in enumerate(self.valves or ())]
        return sorted(found, key=lambda one: VALVES.index(one[0]))


def asked_plan(checked: Mapping[str, Any]) -> AskedPlan:
    """A plan's request from what its check left (PlanIn)."""
    return read(AskedPlan, outside(checked))

"""The stack question: from the request and the shelf, through the engine, to an Answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from compat import damper_values, shelf
from compat.engineering.answers import Answer
from compat.engineering.groups import Ply
from compat.engineering.stacks import stack
from compat.engineering.units import Range
from compat.refusals import engine_errors
from inventory.common.errors import invalid
from inventory.dampers.document import ShaftEnd, Valve, stacks_told
from inventory.dampers.selectors import damper_called
from inventory.documents.typed import read


def ask_stack(
    *,
    damper: str | None,
    fields: Mapping[str, Any],
    valve: str,
    stacks: Mapping[str, Sequence[Mapping[str, Any]]],
    shaft_end: ShaftEnd | None = None,
) -> Answer:
    """Is this stack sound, on the valve of a damper model or on a valve described in the request?

    `shaft_end` tells the lip of a valve that is described; a damper model brings its own.
    """
    rule = damper_values.lip_rule(shaft_end)
    if damper is not None:
        if fields:
            raise invalid("damper", "give a damper or the fields of a valve, not both")
        found = damper_called(damper).document
        described = damper_values.valve_called(found, valve)
        rule = damper_values.lip_rule(found.shaft_end)
    else:
        described = read(Valve, {**fields, "code": valve})
    on_file = damper_values.valve_from(described)
    plies = _plies(stacks, on_file.valve.shaft_mm)
    with engine_errors("stacks"):
        return stack(on_file.valve, plies, overlap_mm=on_file.overlap_mm, rule=rule)


def _plies(stacks: Mapping[str, Sequence[Mapping[str, Any]]], shaft_mm: Range | None) -> dict[str, list[Ply]]:
    """{side: plies}. Raises DomainError `invalid` for a lot that does not exist or is of another size than its line."""
    lots = shelf.named_lots(line for lines in stacks.values() for line in lines)
    found, told = {}, stacks_told(stacks)
    for side, asked in stacks.items():
        lines = damper_values.lines_from(told.of(side), shaft_mm, f"stacks.{side}")
        found[side] = shelf.with_lots(lines, asked, f"stacks.{side}", lots)
    return found

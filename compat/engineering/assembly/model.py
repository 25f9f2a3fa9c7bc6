"""The assembly model: every part of a valve at its place on the shaft, as ranges counted from the shoulder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from compat.engineering.answers import Value
from compat.engineering.assembly.order import HEIGHT, Step, spacers_between, steps_of
from compat.engineering.groups import Ply, height_of
from compat.engineering.lip import LipWindow
from compat.engineering.rounding import tidy
from compat.engineering.units import Range
from compat.engineering.valves import Kind, Valve, fixed_height

NOTHING = Range.exact(0.0)
Stacks = Mapping[str, Sequence[Ply]]


@dataclass(frozen=True, slots=True)
class Assembly:
    """A valve as it stands on its shaft, millimetres from the shoulder; None is unknown.

    `steps` are the parts in the order of mounting, each with its number, its `height_mm` and the positions `from_mm`
    and `to_mm` of its ends. `stack_height_mm` is everything before spacers and outer base plate, `spacers_mm` what is
    added, `nut_underside_mm` the top of the outer base plate. A mid-valve's shims float: it has no positions.
    """

    steps: tuple[dict[str, Value], ...]
    stack_height_mm: Range | None
    spacers_mm: Range | None
    nut_underside_mm: Range | None


def height_before_spacers(valve: Valve, stacks: Stacks) -> Range | None:
    """Everything between the shoulder and the outer base plate before spacers, millimetres; None while a part's height
    is unknown or a side is not told. A mid-valve's shims float and do not count. Source: common practice of the trade,
    no published source."""
    total, _ = fixed_height(valve)
    if total is None or valve.kind is Kind.MID:
        return total
    for side in valve.sides:
        if side.name not in stacks:
            return None
        total = total + height_of(stacks[side.name])
    return tidy(total)


def nut_underside(stack_height_mm: Range | None, spacers_mm: Range | None, plate_mm: Range | None) -> Range | None:
    """Where the nut sits: stack, spacers and outer base plate together, millimetres; None while one is unknown. The
    widest case: each at the same end of its spread. Plain geometry."""
    if stack_height_mm is None or spacers_mm is None or plate_mm is None:
        return None
    return tidy(stack_height_mm + spacers_mm + plate_mm)


def assemble(
    valve: Valve,
    stacks: Stacks,
    window: LipWindow | None,
    *,
    plate_mm: Range | None = None,
    spacers_mm: Range | None = None,
    nut_height_mm: Range | None = None,
) -> Assembly:
    """The assembly of a valve, stacks face first. `window` is the lip's, None where there is no lip rule; `plate_mm` a
    reading of the outer base plate before the valve's own; `spacers_mm` the spacers that are chosen, zero for none:
    while nobody has chosen, whatever the window allows. Millimetres. Source: common practice of the trade, no published
    source.
    """
    plate = plate_mm or valve.plate(valve.outer).height_mm
    height = height_before_spacers(valve, stacks)
    spacers = spacers_between(window) if spacers_mm is None else spacers_mm
    steps = steps_of(valve, stacks, window, spacers_mm=spacers_mm, nut_height_mm=nut_height_mm)
    floats = valve.kind is Kind.MID
    under = None if floats else nut_underside(height, spacers, plate)
    placed = _placed(steps, None if floats else height, plate, under)
    return Assembly(tuple(placed), height, spacers, under)


def _placed(
    steps: Sequence[Step], height: Range | None, plate: Range | None, under: Range | None
) -> list[dict[str, Value]]:
    """The steps with their numbers and positions, which add up from the shoulder; none while the height is unknown."""
    at: Range | None = None if height is None else NOTHING
    found = []
    for number, step in enumerate(steps, start=1):
        outer_plate = step["part"] == "base_plate" and step["face_towards"] == "shoulder"
        at = under if step["part"] == "nut" else at
        own = plate if outer_plate else step[HEIGHT]
        top = None if at is None or own is None else tidy(at + own)
        found.append({"step": number, **step, HEIGHT: own, "from_mm": at, "to_mm": top})
        at = top
    return found

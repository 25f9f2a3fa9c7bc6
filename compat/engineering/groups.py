"""A side's stack as merged groups of one diameter, and the gaps that its crossovers leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from compat.engineering.refused import Refused
from compat.engineering.rounding import clean, tidy
from compat.engineering.shims import Line, strip_tolerance_um
from compat.engineering.units import Range, um_to_mm

LEAST_GAP_MM = 0.05  # a smaller crossover gap may be shut as built


@dataclass(frozen=True, slots=True)
class Ply:
    """A line of a stack and the thickness of one of its pieces, millimetres.

    Raises Refused for a quantity under one, a thickness not above zero, or a bore not smaller than the diameter.
    """

    line: Line
    thickness_mm: Range

    def __post_init__(self) -> None:
        size = self.line.size
        if self.line.quantity < 1:
            raise Refused("line_without_shims")
        if self.thickness_mm.low <= 0 or not 0 < size.bore_um < size.od_um:
            raise Refused("shim_size_impossible", od_mm=self.od_mm, bore_mm=self.bore_mm)

    @property
    def height_mm(self) -> Range:
        """Of all pieces, every piece at the same end of its spread: the widest case."""
        return tidy(self.thickness_mm.times(self.line.quantity))

    @property
    def od_mm(self) -> float:
        return um_to_mm(self.line.size.od_um)

    @property
    def bore_mm(self) -> float:
        return um_to_mm(self.line.size.bore_um)


def unmeasured(line: Line) -> Ply:
    """A line whose lot is unknown: nominal thickness with the strip's tolerance (ISO 9445-1)."""
    nominal = line.size.thickness_um
    return gauged(line, min(strip_tolerance_um(nominal), nominal - 1))


def gauged(line: Line, error_um: int) -> Ply:
    """A line whose thickness was read by a gauge that may be off by so much."""
    nominal = line.size.thickness_um
    low, high = max(nominal - error_um, 1), nominal + error_um
    return Ply(line, Range(um_to_mm(low), um_to_mm(high), um_to_mm(nominal)))


@dataclass(frozen=True, slots=True)
class Group:
    """Neighbouring shims of one diameter: without friction they bend as one plate of D ~ sum t^3."""

    od_mm: float
    pieces: int
    thickness_mm: Range
    sum_t3_mm3: Range


@dataclass(frozen=True, slots=True)
class Crossover:
    """Two plates that face each other across what is absent at their smaller radius.

    `after` counts groups from the face: the gap lies after that group. `below_od_mm` is the plate on the face's side,
    `above_od_mm` the one on the clamp's side, `between` the number of groups that hold them apart.
    """

    after: int
    gap_mm: Range
    below_od_mm: float
    above_od_mm: float
    between: int


def height_of(plies: Sequence[Ply]) -> Range:
    """Height of one side's stack, millimetres; an empty one is zero."""
    total = Range.exact(0.0)
    for ply in plies:
        total = total + ply.height_mm
    return tidy(total)


def _cubes(plies: Sequence[Ply]) -> Range:
    low = high = nominal = 0.0
    for ply in plies:
        low += ply.line.quantity * ply.thickness_mm.low**3
        high += ply.line.quantity * ply.thickness_mm.high**3
        nominal += ply.line.quantity * ply.thickness_mm.nominal**3
    return Range(round(low, 9), round(high, 9), round(nominal, 9))


def groups_of(plies: Sequence[Ply]) -> list[Group]:
    """Merge neighbouring lines of equal diameter, face first: exact for frictionless round plates.

    Notched and slotted shims are taken as round. Source: plate theory, D adds as sum t^3 and thickness as sum t.
    """
    merged = [list(run) for _, run in groupby(plies, key=lambda ply: ply.line.size.od_um)]
    return [Group(run[0].od_mm, sum(ply.line.quantity for ply in run), height_of(run), _cubes(run)) for run in merged]


def crossovers_of(groups: Sequence[Group]) -> list[Crossover]:
    """Every pair of groups with only smaller ones between them, face first.

    At the smaller one's rim nothing lies between the two, so the gap is the thickness of all that is absent there,
    not of one shim. Source: contact of plates, plain geometry.
    """
    found = []
    for below, lower in enumerate(groups):
        gap, largest_between = Range.exact(0.0), 0.0
        for above in range(below + 1, len(groups)):
            upper = groups[above]
            if above > below + 1 and largest_between < min(lower.od_mm, upper.od_mm):
                found.append(Crossover(below + 1, tidy(gap), lower.od_mm, upper.od_mm, above - below - 1))
            if upper.od_mm >= lower.od_mm:
                break  # nothing beyond faces this plate directly
            gap, largest_between = gap + upper.thickness_mm, max(largest_between, upper.od_mm)
    return found


def closes(crossover: Crossover) -> bool:
    """Is the gap too small to trust: possibly under LEAST_GAP_MM, or under its own spread?"""
    gap = crossover.gap_mm
    return clean(gap.low) < LEAST_GAP_MM or gap.nominal < clean(gap.high - gap.low)

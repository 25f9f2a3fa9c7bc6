"""The search problem of a request on today's shelf."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from compat.dampers.mounts import fits_of
from compat.engineering.answers import Finding
from compat.engineering.lip import LipLimits
from compat.engineering.plans.problem import MOST_SOLVES, SOLVES, STOOD_IN, BentSide, Lip, Problem
from compat.engineering.plans.shelf import short_sizes
from compat.engineering.shims import Size
from compat.plans.request import PlanRequest
from compat.shelf import shim_rows
from compat.shelf.shim_rows import Read, ShimRows
from compat.shelf.shim_wants import Family, Spacers, families_of


@dataclass(frozen=True, slots=True)
class Posed:
    """The problem, the rows it draws on, whether the lip is part of it, what curves would need to be known, and what
    calibrations of the pistons tell of those that are."""

    problem: Problem
    rows: ShimRows
    lip: Lip | None
    unknown: tuple[Finding, ...] = ()
    told: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class AsWritten:
    """The problem on the shelf without the neighbouring diameters of what is short. short: the sizes for which
    stand-ins are to be looked for; empty where all is there or none are allowed. read: to read more to."""

    posed: Posed
    short: Sequence[Size]
    read: Read


def pose(request: PlanRequest, *, taken: Mapping[int, int], lapsed: Mapping[int, int] | None = None) -> Posed:
    """Reads the shelf and poses the problem; `taken` is what other lines of the plan have drawn already, `lapsed` what
    lapsed holds keep, where that was read before.

    Reads the neighbouring diameters of what is short besides, only where stand-ins are needed and curves can rank them.
    """
    return with_neighbours(request, pose_as_written(request, taken=taken, lapsed=lapsed), taken=taken)


def pose_as_written(
    request: PlanRequest, *, taken: Mapping[int, int], lapsed: Mapping[int, int] | None = None
) -> AsWritten:
    """Reads what the request names, and the spacers."""
    read = shim_rows.read_shims(wanted_of(request), take_offs=request.allowed.take_offs, lapsed=lapsed)
    posed = posed_on(request, read.rows(), taken=taken)
    return AsWritten(posed, short_sizes(posed.problem) if request.allowed.stand_ins else [], read)


def with_neighbours(request: PlanRequest, written: AsWritten, *, taken: Mapping[int, int]) -> Posed:
    """With the curves by which stand-ins are ranked, and the diameters within reach of what is short."""
    if not written.short:
        return written.posed
    posed = written.posed
    sides, unknown, told = request.bent_sides(fits_of(request.damper.code))
    if sides:
        more = families_of(written.short, short=written.short, reach_um=request.allowed.reach_um)
        posed = posed_on(request, written.read.with_more(more).rows(), taken=taken, sides=sides)
    return replace(posed, unknown=tuple(unknown), told=tuple(told))


def wanted_of(request: PlanRequest) -> list[Family | Spacers]:
    """What a plan may use of the shelf, without the diameters within reach of what is short."""
    families = families_of(position.size for position in request.positions())
    lip = _lip(request)
    return [*families, *([] if lip is None else [Spacers(lip.bore_um, lip.bore_um, lip.od_over_um, lip.od_upto_um)])]


def posed_on(
    request: PlanRequest, rows: ShimRows, *, taken: Mapping[int, int], sides: Sequence[BentSide] = ()
) -> Posed:
    """The problem on rows that were read already."""
    lip = _lip(request)
    drawn = {str(balance): pieces for balance, pieces in taken.items()}
    free = [replace(row, available=row.available - drawn[row.key]) if row.key in drawn else row for row in rows.rows]
    problem = Problem(
        positions=tuple(request.positions()),
        rows=tuple(row for row in free if row.available > 0),
        spread_um=rows.widest_spreads(),
        allow_take_offs=request.allowed.take_offs,
        allow_stand_ins=request.allowed.stand_ins,
        curve_limit_ppm=round(request.allowed.curve_percent * 10_000),
        height_limit_um=request.allowed.height_um,
        lip=lip,
        sides=tuple(sides),
        reach_um=request.allowed.reach_um if sides else 0,
        roles=request.allowed.roles if sides else STOOD_IN,
        solves=SOLVES if request.allowed.search_ms is None else MOST_SOLVES,
    )
    return Posed(problem, rows, lip)


def _lip(request: PlanRequest) -> Lip | None:
    """The lip rule with the shims that may serve as spacers; None where a spacer cannot be asked for."""
    limits: LipLimits | None = request.lip_limits()
    main, contact = request.main, request.contact_mm()
    if limits is None or main is None or contact is None or not request.spacer:
        return None
    clamp = main.lines["rebound"][-1].size
    return Lip(limits.floor_um, limits.ceiling_um, clamp.od_um, int(round(contact.low * 1000, 2)), clamp.bore_um)

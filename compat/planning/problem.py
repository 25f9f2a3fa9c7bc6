"""The search problem of a request on today's shelf."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from compat import shelf
from compat.engineering.lip import LipLimits
from compat.engineering.plans.problem import Lip, Problem
from compat.planning.request import PlanRequest
from compat.shelf import Family, ShimRows, Spacers


@dataclass(frozen=True, slots=True)
class Posed:
    """The problem, the rows it draws on, and whether the lip is part of it."""

    problem: Problem
    rows: ShimRows
    lip: Lip | None


def pose(request: PlanRequest, *, taken: Mapping[int, int]) -> Posed:
    """Reads the shelf once and poses the problem; `taken` is what other lines of the plan have drawn already."""
    positions = request.positions()
    lip = _lip(request)
    sizes: list[Family | Spacers] = [*shelf.families_of(position.size for position in positions)]
    if lip is not None:
        sizes.append(Spacers(lip.bore_um, lip.bore_um, lip.od_over_um, lip.od_upto_um))
    rows = shelf.shim_rows(sizes, take_offs=request.allowed.take_offs)
    free = [replace(row, available=row.available - taken.get(int(row.key), 0)) for row in rows.rows]
    problem = Problem(
        positions=tuple(positions),
        rows=tuple(row for row in free if row.available > 0),
        spread_um=rows.widest_spreads(),
        allow_take_offs=request.allowed.take_offs,
        allow_stand_ins=request.allowed.stand_ins,
        curve_limit_ppm=round(request.allowed.curve_percent * 10_000),
        height_limit_um=request.allowed.height_um,
        lip=lip,
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

"""What a stack-curve answer shows of a band: rows, crossovers, stresses, and what the band is made of."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from compat.engineering.bending.band import Band, most_lift_mm
from compat.engineering.bending.path import Path
from compat.engineering.bending.shape import Stress
from compat.engineering.groups import Crossover


def values_of(
    found: Band, gaps: Sequence[Crossover], peaks: Sequence[Stress], open_fraction: float | None
) -> dict[str, Any]:
    """The values of a stack-curve answer. Pressures are those behind the ports; of an open ring where unknown."""
    path = found.path
    mount, groups = path.contacts.mount, path.contacts.groups
    known = open_fraction or 1.0
    crossovers = _crossovers(path, gaps)
    inside = np.flatnonzero(found.inside)
    at = int(inside[-1]) if len(inside) else 0
    what, _ = found.dominated_by()
    return {
        "curve": _rows(found, open_fraction),
        "gap_closes_at_mm": min((one for _, one in crossovers if one is not None), default=None),
        "crossovers": [{**gap, "closes_at_mm": closes} for gap, closes in crossovers],
        "opens_at_mpa": _opening(path) / known if mount.preload is not None else None,
        "peak_stress_mpa": max((peak.mpa for peak in peaks), default=0.0),
        "stresses": [{"group": peak.group + 1, "radius_mm": peak.radius_mm, "mpa": peak.mpa} for peak in peaks],
        "scatter": {
            "low_percent": _percent(found.thickness[at, 0]),
            "high_percent": _percent(found.thickness[at, 1]),
            "lift_mm": float(found.lifts_mm[at]),
        },
        "stiffening_bound": _percent(found.stretch[at]) if len(inside) else None,
        "dominated_by": what,
        "most_lift_mm": most_lift_mm(groups),
        "clamp_radius_mm": mount.clamp_radius_mm(groups),
        "height_mm": float(groups.height_mm.sum()),
    }


def _rows(found: Band, open_fraction: float | None) -> list[dict[str, Any]]:
    """A row a lift. `share_of_last` is the force over that at the last lift, which holds whatever the ports leave."""
    path, known = found.path, open_fraction or 1.0
    area = path.contacts.mount.ring_area_mm2
    low, high, last = found.low, found.high, float(path.lift_mm[-1])
    ends = float(path.pressures_at(np.array([min(found.lifts_mm[-1], last)]))[0])
    rows = []
    for at, lift in enumerate(found.lifts_mm.tolist()):
        pressure = float(found.pressures_mpa[at])
        there = np.isfinite(pressure)
        forced = there and open_fraction is not None
        topped = bool(found.inside[at]) and np.isfinite(high[at])
        rows.append(
            {
                "lift_mm": lift,
                "pressure_mpa": pressure / known if there else None,
                "force_n": pressure * area if forced else None,
                "force_min_n": float(low[at]) * area if forced and np.isfinite(low[at]) else None,
                "force_max_n": float(high[at]) * area if forced and topped else None,
                "share_of_last": pressure / ends if there and ends > 0 else None,
                "low_percent": _percent(low[at] / pressure - 1) if there and pressure > 0 else None,
                "high_percent": _percent(high[at] / pressure - 1)
                if there and pressure > 0 and found.inside[at]
                else None,
                "stiffening_percent": _percent(found.stretch[at]) if found.inside[at] else None,
                "in_range": bool(found.inside[at]),
            }
        )
    return rows


def _crossovers(path: Path, gaps: Sequence[Crossover]) -> list[tuple[dict[str, Any], float | None]]:
    """Every crossover and the lift at which its gap first closes, None where it stays open."""
    closings = {(closing.below, closing.above): closing.lift_mm for closing in path.closings}
    return [
        (
            {
                "after": gap.after,
                "gap_mm": gap.gap_mm,
                "below_od_mm": gap.below_od_mm,
                "above_od_mm": gap.above_od_mm,
            },
            closings.get((gap.after - 1, gap.after + gap.between)),
        )
        for gap in gaps
    ]


def _opening(path: Path) -> float:
    """The pressure up to which a preloaded seat stays shut, MPa."""
    return float(path.pressure_mpa[path.lift_mm <= 0].max())


def _percent(share: Any) -> float | None:
    value = float(share)
    return 100 * value if np.isfinite(value) else None

"""What a stack-curve answer shows of a band: rows, crossovers, stresses, and what the band is made of."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from compat.engineering.answers import Value
from compat.engineering.bending.band import Band, most_lift_mm
from compat.engineering.bending.path import Path
from compat.engineering.bending.shape import Stress
from compat.engineering.groups import Crossover
from compat.engineering.units import Range


def values_of(
    found: Band, gaps: Sequence[Crossover], peaks: Sequence[Stress], open_fraction: float | None, yield_mpa: Range
) -> dict[str, Value]:
    """The values of a stack-curve answer. Pressures are those behind the ports; of an open ring where unknown."""
    path = found.path
    mount, groups = path.contacts.mount, path.contacts.groups
    known = open_fraction or 1.0
    crossovers = _crossovers(path, gaps)
    inside, at = np.flatnonzero(found.inside), found.at
    what, _ = found.dominated_by()
    peak = max((peak.mpa for peak in peaks), default=0.0)
    low, high = float(found.stress_low[-1]), float(found.stress_high[-1])
    thickness = found.shares.get("thickness", np.zeros((len(found.lifts_mm), 2)))
    widths = sorted(found.widths().items(), key=lambda one: one[1][0] - one[1][1])
    return {
        "curve": _rows(found, open_fraction, found.stress_high <= yield_mpa.low),
        "gap_closes_at_mm": min((one for _, one in crossovers if one is not None), default=None),
        "crossovers": [{**gap, "closes_at_mm": closes} for gap, closes in crossovers],
        "opens_at_mpa": _opening(path) / known if mount.preload is not None else None,
        "peak_stress_mpa": peak,
        "peak_stress_band_mpa": Range(low, high, min(max(peak, low), high)),
        "yield_mpa": yield_mpa,
        "may_yield_at_mm": found.yields_mm(found.stress_high, yield_mpa.low),
        "yields_at_mm": found.yields_mm(found.stress_low, yield_mpa.high),
        "stresses": [{"group": peak.group + 1, "radius_mm": peak.radius_mm, "mpa": peak.mpa} for peak in peaks],
        "scatter": {
            "low_percent": _percent(thickness[at, 0]),
            "high_percent": _percent(thickness[at, 1]),
            "lift_mm": float(found.lifts_mm[at]),
        },
        "stiffening_bound": _percent(found.stretch[at]) if len(inside) else None,
        "dominated_by": what,
        "open_by": [
            {"what": name, "low_percent": _percent(least), "high_percent": _percent(most)}
            for name, (least, most) in widths
        ],
        "most_lift_mm": most_lift_mm(groups),
        "clamp_radius_mm": mount.clamp_radius_mm(groups),
        "height_mm": float(groups.height_mm.sum()),
    }


def _rows(found: Band, open_fraction: float | None, elastic: npt.NDArray[np.bool_]) -> list[dict[str, Value]]:
    """A row a lift. `share_of_last` is the force over that at the last lift, which holds whatever the ports leave.

    Where a shim may yield it gives way more easily than computed: there is no lower end.
    """
    path, known = found.path, open_fraction or 1.0
    area = path.contacts.mount.ring_area_mm2
    ends = float(path.pressures_at(np.array([min(found.lifts_mm[-1], float(path.lift_mm[-1]))]))[0])
    rows = []
    for at, lift in enumerate(found.lifts_mm.tolist()):
        pressure = _number(found.pressures_mpa[at])
        forced = pressure is not None and open_fraction is not None
        low = found.low[at] if elastic[at] else np.nan
        high = found.high[at] if found.inside[at] else np.nan
        base = pressure if pressure else np.nan
        rows.append(
            {
                "lift_mm": lift,
                "pressure_mpa": _number(found.pressures_mpa[at] / known),
                "pressure_min_mpa": _number(low / known),
                "pressure_max_mpa": _number(high / known),
                "force_n": _number(found.pressures_mpa[at] * area) if forced else None,
                "force_min_n": _number(found.low_n[at]) if forced and elastic[at] else None,
                "force_max_n": _number(found.high_n[at]) if forced and found.inside[at] else None,
                "share_of_last": _number(found.pressures_mpa[at] / ends) if ends > 0 else None,
                "low_percent": _percent(low / base - 1),
                "high_percent": _percent(high / base - 1),
                "stiffening_percent": _percent(found.stretch[at]) if found.inside[at] else None,
                "in_range": bool(found.inside[at] and elastic[at]),
            }
        )
    return rows


def _crossovers(path: Path, gaps: Sequence[Crossover]) -> list[tuple[dict[str, Value], float | None]]:
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


def _number(value: Any) -> float | None:
    return float(value) if np.isfinite(value) else None


def _percent(share: Any) -> float | None:
    value = float(share)
    return 100 * value if np.isfinite(value) else None

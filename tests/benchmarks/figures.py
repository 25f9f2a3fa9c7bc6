"""What a benchmark gives back: a figure, the figure to reach, and whether it does.

A reach of time is stated for the reference machine, where a plain loop takes REFERENCE_S, and holds on any other, and
on a busy day, for as much longer as the same loop takes there.
"""

from __future__ import annotations

import statistics
import time
from dataclasses import dataclass, replace

REFERENCE_S = 0.05
LOOP = 2_000_000
LOOPS = 3


@dataclass(frozen=True)
class Figure:
    """One measured figure. `reach` says in words what it has to be; `ok` says whether it is.

    under: of a time that has a reach, the reach on the reference machine, in the figure's unit. factor: how many times
    longer this machine takes; scaled: the reach here.
    """

    name: str
    figure: float
    unit: str
    reach: str
    ok: bool
    under: float | None = None
    factor: float = 1.0
    scaled: float | None = None

    def at(self, factor: float) -> Figure:
        """The figure judged on a machine that takes `factor` times as long; one that is no time stands as it is."""
        if self.under is None:
            return self
        scaled = self.under * factor
        return replace(self, factor=factor, scaled=scaled, ok=self.figure < scaled)


def timed(name: str, figure: float, unit: str, under: float, *, digits: int = 1, why: str = "") -> Figure:
    """A time that has to stay under a reach of the reference machine, both in `unit`; `why` is said beside it."""
    reach = f"under {under:g}" + (f", {why}" if why else "")
    return Figure(name, round(figure, digits), unit, reach, figure < under, under)


def calibration() -> float:
    """Seconds that a plain loop of LOOP additions takes here and now, the median of some."""
    return statistics.median(_loop() for _ in range(LOOPS))


def factor_of(*seconds: float) -> float:
    """How many times longer than the reference machine this one takes, by calibrations about what was measured."""
    return statistics.fmean(seconds) / REFERENCE_S


def _loop() -> float:
    started = time.perf_counter()
    total = 0
    for number in range(LOOP):
        total += number
    return time.perf_counter() - started

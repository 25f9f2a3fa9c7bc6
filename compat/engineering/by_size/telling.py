"""Which reading tells one part from another, and what else the tables know of this size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from compat.engineering.by_size.judging import EPSILON, Judged, Known, bore_of, off, ring_sizes
from compat.engineering.by_size.measures import MEASURES, MICROMETER_MOST, TOOLS, Way
from compat.engineering.seals.sizes import known as as568
from compat.engineering.threads.designation import Thread, known_threads, parse
from compat.engineering.threads.pairing import LEAF_GAUGE
from compat.engineering.units import Range

TEN_THREADS = 0.005  # of a pitch that is read over ten threads
ALIKE_MM = 1.5  # nuts whose threads differ by more in diameter are not taken for each other
SAME_RING_MM = 0.02


@dataclass(frozen=True, slots=True)
class Telling:
    """A reading that separates two parts: what is measured, with which tool, and what either would show, mm."""

    measure: str
    tool: str
    one: Range
    other: Range
    again: bool  # it was read already, only not closely enough


def telling(one: Judged, other: Known) -> Telling | None:
    """The reading that tells a part from another best; None where no tool of a workshop does.

    What was not read yet comes before what has to be read again, and a caliper before a micrometer; of equals the first
    of MEASURES.
    """
    best: tuple[tuple[int, bool, float], Telling] | None = None
    both = one.part.sizes.keys() & other.sizes.keys() - {"thread_mm"}
    for measure in (name for name in MEASURES if name in both):
        here, there = one.part.sizes[measure], other.sizes[measure]
        gap = max(here.low - there.high, there.low - here.high)
        reading = one.way.get(measure)
        for fine, (tool, error) in enumerate(_tools(measure, here.nominal)):
            if gap <= 2 * error + EPSILON or (reading and error >= reading.error - EPSILON):
                continue
            rank = (fine, reading is not None, -gap / error)
            if best is None or rank < best[0]:
                best = rank, Telling(measure, tool, here, there, reading is not None)
    return best[1] if best else None


def _tools(measure: str, mm: float) -> tuple[tuple[str, float], ...]:
    if measure == "pitch_mm":
        return ("pitch gauge", LEAF_GAUGE * mm), ("rule over ten threads", TEN_THREADS * mm)
    tools = ("caliper", "micrometer") if mm <= MICROMETER_MOST else ("caliper",)
    return tuple((tool, TOOLS[tool]) for tool in tools)


def alike(thread: str) -> list[tuple[Thread, Range]]:
    """Other threads that a leaf gauge takes for this one on a nut of about this size, with their bores."""
    own = parse(thread)
    found = []
    for other in known_threads():
        near = abs(other.nominal_mm - own.nominal_mm) <= ALIKE_MM and other.name != own.name
        if near and abs(other.pitch_mm - own.pitch_mm) <= LEAF_GAUGE * own.pitch_mm and (bore := bore_of(other)):
            found.append((other, bore))
    return found


def rings_of(ways: Iterable[Way]) -> list[str]:
    """The sizes of AS568 that these readings may be, the nearest first; each way must tell two sizes of a ring."""
    found: dict[str, float] = {}
    for way in ways:
        if len(way) < 2:
            continue
        for dash, sizes in _as568_sizes().items():
            worst = max(off(reading, measure, sizes[measure]) for measure, reading in way.items())
            if worst <= 1 + EPSILON:
                found[dash] = min(worst, found.get(dash, worst))
    return sorted(found, key=lambda dash: (found[dash], dash))


@cache
def _as568_sizes() -> dict[str, dict[str, Range]]:
    """The sizes of every ring of AS568 by its dash number, with the tolerances of the table."""
    return {
        f"{dash:03}": ring_sizes(ring.id_mm.nominal, ring.section_mm.nominal, f"{dash:03}", (None, None))
        for dash, ring in as568().items()
    }


def has_ring(parts: Iterable[Known], dash: str) -> bool:
    """Whether one of the parts has the nominal sizes of that AS568 size."""
    ring = as568()[int(dash)]
    sizes = (("id_mm", ring.id_mm.nominal), ("section_mm", ring.section_mm.nominal))
    return any(all(abs(part.sizes[name].nominal - mm) <= SAME_RING_MM for name, mm in sizes) for part in parts)

"""What cold takes from a ring: rubber shrinks about ten times as much as the metal round it."""

from __future__ import annotations

import numpy as np

from compat.engineering.answers import Finding, ask
from compat.engineering.seals.gland import Rings
from compat.engineering.units import Range

ROOM_C = 20.0  # at which rings and glands are measured
# By how much less a length of rubber becomes beside its metal, a part for each kelvin: linear expansion of rubbers 1.1
# to 1.8 times 1e-4, of steel and aluminium 1.1 to 2.4 times 1e-5; both from memory of handbooks.
SHRINKS_LEAST, SHRINKS_MOST = 1.1e-4 - 2.4e-5, 1.8e-4 - 1.1e-5


def coldest_findings(coldest_c: float | None) -> list[Finding]:
    """What is to be said of how cold it becomes, degrees Celsius: asked for where not known, and where it is warmer
    than the room. Parts are measured and fitted at ROOM_C, so it becomes that cold at least; 40 for -40 is a sign left
    out, which a cap at ROOM_C would take for a mild one."""
    if coldest_c is None:
        return [ask("coldest_missing", "seal_makers")]
    return [ask("coldest_above_room", "", coldest_c=coldest_c, room_c=ROOM_C)] if coldest_c > ROOM_C else []


def shrinkage(coldest_c: float) -> Range:
    """What is left of a length of rubber in the cold beside metal measured at ROOM_C, as a part of it; 1 in warmth, as
    it was measured, which is the smaller ring."""
    colder = max(ROOM_C - coldest_c, 0.0)
    return Range.between(1 - SHRINKS_MOST * colder, 1 - SHRINKS_LEAST * colder)


def shrunk(rings: Rings, coldest_c: float) -> Rings:
    """Free rings, mm, arrays of shape (rings,), as they are in the cold; see shrinkage()."""
    by = shrinkage(coldest_c)
    low, high, middle = by.low, by.high, by.nominal
    return Rings(
        rings.id_low * low,
        rings.id_high * high,
        rings.id_nominal * middle,
        rings.section_low * low,
        rings.section_high * high,
        rings.section_nominal * middle,
    )


def warm_and_shrunk(rings: Rings, coldest_c: float) -> Rings:
    """The same rings twice, shape (2 rings,): as they were measured, then as they are in the cold."""
    cold = shrunk(rings, coldest_c)
    return Rings(*(np.concatenate([getattr(rings, name), getattr(cold, name)]) for name in Rings.__slots__))

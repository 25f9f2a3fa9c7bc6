"""What cold takes from a ring: rubber shrinks about ten times as much as the metal round it."""

from __future__ import annotations

import numpy as np

from compat.engineering.seals.gland import Rings

ROOM_C = 20.0  # at which rings and glands are measured
# By how much less a length of rubber becomes beside its metal, a part for each kelvin: linear expansion of rubbers 1.1
# to 1.8 times 1e-4, of steel and aluminium 1.1 to 2.4 times 1e-5; both from memory of handbooks.
SHRINKS_LEAST, SHRINKS_MOST = 1.1e-4 - 2.4e-5, 1.8e-4 - 1.1e-5


def shrunk(rings: Rings, coldest_c: float) -> Rings:
    """Free rings, mm, arrays of shape (rings,), as they are in the cold beside metal measured at ROOM_C; in warmth as
    they were measured, which is the smaller ring."""
    colder = max(ROOM_C - coldest_c, 0.0)
    low, high = 1 - SHRINKS_MOST * colder, 1 - SHRINKS_LEAST * colder
    middle = (low + high) / 2
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

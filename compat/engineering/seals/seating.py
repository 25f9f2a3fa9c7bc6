"""Rings in a gland as the limits judge them: warm and at the coldest, on one axis and to one side."""

from __future__ import annotations

from collections.abc import Iterator

from compat.engineering.seals.cold import warm_and_shrunk
from compat.engineering.seals.gland import Gland, Rings, seated
from compat.engineering.seals.limits import Seat

AT_ONCE = 500  # rings whose corners are in memory together: some hundred values for each


def seats(rings: Rings, gland: Gland, coldest_c: float | None) -> Iterator[Seat]:
    """What the gland does to each of the rings, in their order; the one place where both questions get it.

    rings: arrays of shape (n,), mm; coldest_c in degrees Celsius, None where not known. Raises ValueError as seated().
    """
    for start in range(0, len(rings.id_low), AT_ONCE):
        some = Rings(*(getattr(rings, name)[start : start + AT_ONCE] for name in Rings.__slots__))
        yield from _seats(some, gland, coldest_c)


def _seats(rings: Rings, gland: Gland, coldest_c: float | None) -> Iterator[Seat]:
    count = len(rings.id_low)
    found = seated(rings if coldest_c is None else warm_and_shrunk(rings, coldest_c), gland)
    for n in range(count):
        yield Seat(
            stretch=found.stretch.at(n),
            squeeze=found.squeeze.at(n),
            aside=found.aside.at(n),
            fill=None if found.fill is None else found.fill.at(n),
            crush=found.crush.at(n),
            cold=None if coldest_c is None else found.squeeze.at(count + n),
            cold_aside=None if coldest_c is None else found.aside.at(count + n),
        )

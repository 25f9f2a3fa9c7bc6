"""Which shims of the shelf may serve, as conditions of a query and of a size that was read already."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from compat.engineering.shims import Form, Size
from compat.engineering.units import Range

# A shim runs on a shaft with little play; a bore wider than this was made for another shaft.
WIDEST_PLAY_UM = 300


@dataclass(frozen=True, slots=True)
class Family:
    """Shims of some diameters with one bore and form, in any thickness: what may serve, or stand in for, a size."""

    bore_um: int
    form: str
    diameters_um: tuple[int, ...]
    near_um: tuple[tuple[int, int], ...] = ()  # and every diameter between these limits

    def at(self, shim: str) -> Q:
        """The condition, where `shim` is the lookup path to the table of shims."""
        diameters = Q(**{f"{shim}od_um__in": self.diameters_um})
        for limits in self.near_um:
            diameters |= Q(**{f"{shim}od_um__range": limits})
        return diameters & Q(**{f"{shim}bore_um": self.bore_um, f"{shim}form": self.form})

    def takes(self, size: Size) -> bool:
        """The same condition of a size that was read already."""
        near = any(low <= size.od_um <= high for low, high in self.near_um)
        return (size.bore_um, size.form) == (self.bore_um, self.form) and (near or size.od_um in self.diameters_um)


@dataclass(frozen=True, slots=True)
class Spacers:
    """Round shims for a bore between two limits, larger than the clamp shim and at most the contact diameter."""

    bore_low_um: int
    bore_high_um: int
    over_um: int
    upto_um: int

    def at(self, shim: str) -> Q:
        """The condition, where `shim` is the lookup path to the table of shims."""
        sizes = {
            "form": Form.ROUND.value,
            "bore_um__gte": self.bore_low_um,
            "bore_um__lte": self.bore_high_um,
            "od_um__gt": self.over_um,
            "od_um__lte": self.upto_um,
        }
        return Q(**{f"{shim}{name}": value for name, value in sizes.items()})

    def takes(self, size: Size) -> bool:
        """The same condition of a size that was read already."""
        bored = self.bore_low_um <= size.bore_um <= self.bore_high_um
        return size.form is Form.ROUND and bored and self.over_um < size.od_um <= self.upto_um


def spacers_for(*, shaft_mm: Range, over_um: int, upto_um: int) -> Spacers:
    """Spacers that can pass a shaft at one end of its readings, and without much play."""
    low, high = round(shaft_mm.low * 1000), round(shaft_mm.high * 1000)
    return Spacers(low, high + WIDEST_PLAY_UM, over_um, upto_um)


def families_of(sizes: Iterable[Size], *, short: Iterable[Size] = (), reach_um: int = 0) -> list[Family]:
    """What a plan may use for these sizes: the same diameter, bore and form in any thickness; for short ones every
    diameter within reach as well."""
    found: dict[tuple[int, str], set[int]] = {}
    near: dict[tuple[int, str], set[tuple[int, int]]] = {}
    for size in sizes:
        found.setdefault((size.bore_um, size.form.value), set()).add(size.od_um)
    for size in short:
        near.setdefault((size.bore_um, size.form.value), set()).add((size.od_um - reach_um, size.od_um + reach_um))
    return [
        Family(bore, form, tuple(sorted(diameters)), tuple(sorted(near.get((bore, form), ()))))
        for (bore, form), diameters in sorted(found.items())
    ]

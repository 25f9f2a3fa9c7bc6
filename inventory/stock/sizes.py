"""The nominal thickness of what lies in the drawers, as far as its kind has one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part

# Thicknesses that shims are commonly made in (common practice of the trade, no published source).
COMMON_UM = (80, 100, 110, 120, 150, 200, 250, 300, 400)


def thickness_um(part: Part) -> int | None:
    """The nominal thickness of a shim part; None for other kinds."""
    if part.kind != "shim":
        return None
    return Shim.objects.only("thickness_um").get(part=part).thickness_um


def nominal_thicknesses() -> list[int]:
    """Every thickness a shim may be: the common ones and those of the catalogue, ascending."""
    stocked = Shim.objects.order_by("thickness_um").values_list("thickness_um", flat=True).distinct()
    return sorted({*COMMON_UM, *stocked})


def other_nominal_um(*, nominal_um: int, readings_um: Sequence[int], known_um: Iterable[int]) -> int | None:
    """The nominal thickness that the readings' mean belongs to, where it is not this one; else None.

    A mean that is off by more than half the nominal thickness is a slip of the unit or of the gauge, and belongs to
    none: then the nearest is named, which may be this one.
    """
    mean = mean_um(readings_um)
    nearest = min(known_um, key=lambda known: (abs(known - mean), known != nominal_um), default=nominal_um)
    return nearest if nearest != nominal_um or abs(mean - nominal_um) > nominal_um / 2 else None


def mean_um(readings_um: Sequence[int]) -> float:
    """The mean of some readings, at least one."""
    return sum(readings_um) / len(readings_um)

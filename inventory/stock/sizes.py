"""The nominal thickness of what lies in the drawers, as far as its kind has one."""

from __future__ import annotations

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

"""The nominal thickness of what lies in the drawers, as far as its kind has one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.common.quantities import mm_text

# Thicknesses that shims are commonly made in (common practice of the trade, no published source).
COMMON_UM = (80, 100, 110, 120, 150, 200, 250, 300, 400)
# Strip of one thickness is read this much apart (common practice, no published source).
SCATTER_UM = 10
MOST_NAMED = 8


def thickness_um(part: Part) -> int | None:
    """The nominal thickness of a shim part; None for other kinds."""
    if part.kind != "shim":
        return None
    return Shim.objects.only("thickness_um").get(part=part).thickness_um


def nominal_thicknesses() -> list[int]:
    """Every thickness a shim may be: the common ones and those of the catalogue, ascending."""
    stocked = Shim.objects.order_by("thickness_um").values_list("thickness_um", flat=True).distinct()
    return sorted({*COMMON_UM, *stocked})


@dataclass(frozen=True, slots=True)
class Misfit:
    """Why readings do not belong to a part: an error code, the nominal nearest to their mean, and, for `mixed_sizes`,
    the nominals that single readings belong to. Micrometres."""

    code: str
    nearest_um: int
    sizes_um: tuple[int, ...] = ()


def misfit(*, nominal_um: int, readings_um: Sequence[int], known_um: Iterable[int]) -> Misfit | None:
    """Why a sample, at least one reading, does not belong to a part of that nominal thickness; None where it does.

    The mean decides which size the bag is: the nominal nearest to it. Then each reading is looked at alone, because
    two sizes in one bag may have the mean of a third. A reading does not belong to a nominal when it lies more than
    three quarters of the way to that nominal's neighbour on its side - nearer to the neighbour by more than half of
    what lies between the two - and is off by more than SCATTER_UM as well. So of 0.10 mm, with 0.08 and 0.11 mm beside
    it, readings from 0.085 to 0.11 mm are taken, and 0.12 mm is not; of 0.15 mm, with 0.12 and
    0.20 mm beside it, those from 0.128 to 0.187 mm. The rule is this project's own choice.

    A mean that is off by more than half the nominal thickness is a slip of the unit or of the gauge, and belongs to
    none: then the nearest is named, which may be this one.
    """
    known = sorted({*known_um, nominal_um})
    mean = mean_um(readings_um)
    nearest = min(known, key=lambda one: (abs(one - mean), one != nominal_um))
    if any(_is_stray(um, nearest, known) for um in readings_um):
        sizes = {min(known, key=lambda one: (abs(one - um), one != nominal_um)) for um in readings_um}
        if len(sizes) > 1:
            return Misfit("mixed_sizes", nearest, tuple(sorted(sizes)))
    if nearest != nominal_um or abs(mean - nominal_um) > nominal_um / 2:
        return Misfit("other_nominal_size", nearest)
    return None


def _is_stray(um: int, nominal_um: int, known_um: Sequence[int]) -> bool:
    """Whether one reading lies so near to the neighbour of a nominal thickness that it is not of that thickness."""
    off = um - nominal_um
    beside = [abs(known - nominal_um) for known in known_um if (known - nominal_um) * off > 0]
    return bool(beside) and abs(off) > max(SCATTER_UM, 0.75 * min(beside))


def mean_um(readings_um: Sequence[int]) -> float:
    """The mean of some readings, at least one."""
    return sum(readings_um) / len(readings_um)


def readings_text(readings_um: Iterable[int]) -> str:
    """Thicknesses in millimetres, each once and the thinnest first: `0.10, 0.20`; of many the first and the last."""
    texts = [mm_text(um) for um in sorted(set(readings_um))]
    return ", ".join(texts if len(texts) <= MOST_NAMED else [*texts[: MOST_NAMED // 2], "...", *texts[-4:]])

"""O-rings as a catalogue lists them: nominal sizes, tolerances where somebody knew them, a size of AS568 or none."""

from __future__ import annotations

from dataclasses import dataclass

from compat.engineering.seals.ring import Ring
from compat.engineering.seals.sizes import known
from compat.engineering.units import Range

ROUNDED_MM = 0.05  # by which a catalogue's 3.5 may differ from the standard's 3.53
DUST_MM = 1e-9
# How far a ring may lie from its nominal sizes where no tolerance is listed: a fixed part and one of the size. Both as
# in class B of ISO 3601-1 or a little wider, from memory of it; every size of AS568 lies inside.
ID_UNTOLD, SECTION_UNTOLD = (0.13, 0.009), (0.07, 0.012)


@dataclass(frozen=True, slots=True)
class Listed:
    """One ring of a catalogue, mm. Tolerances are plus-minus, None where none is listed; `size` is three digits of
    AS568, or anything else for a ring without one."""

    id_mm: float
    section_mm: float
    id_tolerance_mm: float | None = None
    section_tolerance_mm: float | None = None
    size: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """One ring that a catalogue's entry may mean, and the code of what is doubtful about it, empty for nothing."""

    ring: Ring
    doubt: str = ""


def standard_ring(listed: Listed) -> Ring | None:
    """The ring of the entry's size, None where it has none or AS568 does not know it."""
    return known().get(int(listed.size)) if listed.size.isdecimal() else None


def readings(listed: Listed) -> list[Reading]:
    """The rings that an entry may mean: one, or two where its size and its lengths contradict each other.

    Tolerances are those listed. Where one is not listed the standard's limits of the entry's size stand for that
    length; without such a size the widest usual ones do, and the reading is doubtful (`ring_tolerances_unknown`). A
    listed length contradicts its size (`ring_size_contradicts`) outside the standard's limits, or, listed without a
    tolerance, more than ROUNDED_MM off: then the lengths are read as they stand, and the size as well.
    """
    standard = standard_ring(listed)
    if standard is not None and _contradicts(listed, standard):
        return [
            Reading(_as_listed(listed, None), "ring_size_contradicts"),
            Reading(standard, "ring_size_contradicts"),
        ]
    unknown = standard is None and None in (listed.id_tolerance_mm, listed.section_tolerance_mm)
    return [Reading(_as_listed(listed, standard), "ring_tolerances_unknown" if unknown else "")]


def _contradicts(listed: Listed, standard: Ring) -> bool:
    return _apart(listed.id_mm, listed.id_tolerance_mm, standard.id_mm) or _apart(
        listed.section_mm, listed.section_tolerance_mm, standard.section_mm
    )


def _as_listed(listed: Listed, standard: Ring | None) -> Ring:
    return Ring(
        _span(listed.id_mm, listed.id_tolerance_mm, standard.id_mm if standard else untold(listed.id_mm, ID_UNTOLD)),
        _span(
            listed.section_mm,
            listed.section_tolerance_mm,
            standard.section_mm if standard else untold(listed.section_mm, SECTION_UNTOLD),
        ),
        standard.size if standard else "",
    )


def _apart(nominal: float, tolerance: float | None, limits: Range) -> bool:
    if tolerance is None:
        return abs(nominal - limits.nominal) > ROUNDED_MM + DUST_MM
    return not limits.low - DUST_MM <= nominal <= limits.high + DUST_MM


def _span(nominal: float, tolerance: float | None, limits: Range) -> Range:
    return limits if tolerance is None else Range.around(nominal, tolerance)


def untold(nominal_mm: float, about: tuple[float, float]) -> Range:
    """Where a length may lie whose tolerance is not listed, mm; never at or below zero."""
    fixed, part = about
    spread = min(fixed + part * nominal_mm, nominal_mm / 2)
    return Range.around(nominal_mm, spread)

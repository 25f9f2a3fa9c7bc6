"""Strength of a nut on a threaded shaft: stress area, stripping, engagement."""

from __future__ import annotations

import math

TAN_30 = math.tan(math.radians(30))
THIN_NUT = 0.8  # of the nominal diameter: below it ISO 898-2 calls a nut thin (style 0)

ROOT = 1.226869  # of the pitch: d - d3 (ISO 68-1, ISO 724)

# ISO 898-1: property class -> proof stress, tensile strength and yield stress Rp0.2, MPa, up to 16 mm and above. Proof
# stresses are from published tables; tensile strengths and yield stresses are from memory of the same standard.
_BOLT_MPA = {
    "8.8": ((580.0, 800.0, 640.0), (600.0, 830.0, 660.0)),
    "10.9": ((830.0, 1040.0, 940.0), (830.0, 1040.0, 940.0)),
    "12.9": ((970.0, 1220.0, 1100.0), (970.0, 1220.0, 1100.0)),
}
# ISO 898-2: least hardness of the nut by class (8: 200 HV, above 16 mm 233; 10: 272; 12: 295, above 16 mm 272)
# converted to tensile strength by ISO 18265. From memory of both.
_NUT_MPA = {"8": (640.0, 750.0), "10": (875.0, 875.0), "12": (950.0, 875.0)}


def stress_area_mm2(nominal: float, pitch: float, hole: float = 0.0) -> float:
    """Tensile stress area, mm2: pi/4 (d - 0.9382 P)^2, less the hole of a hollow shaft.

    `nominal`, `pitch` and the `hole` diameter in mm. The factor is ISO 898-1's; the 0.9743 of the inch
    standards is another root and gives about 1 % less. Raises ValueError unless 0 <= hole < d - 1.226869 P
    (the root diameter).
    """
    if not 0 <= hole < root_mm(nominal, pitch):
        raise ValueError(f"hole: {hole} mm leaves no wall under the thread")
    return math.pi / 4 * ((nominal - 0.9382 * pitch) ** 2 - hole**2)


def ring_mm2(outside: float, hole: float) -> float:
    """Section of a tube, mm2: pi/4 (outside^2 - hole^2), both in mm. Plain geometry."""
    return math.pi / 4 * (outside**2 - hole**2)


def root_mm(nominal: float, pitch: float) -> float:
    """Root diameter d3 of the basic profile, mm: d - 1.226869 P (ISO 68-1, ISO 724)."""
    return nominal - ROOT * pitch


def torsion_mm3(flank: float, root: float, hole: float = 0.0, groove: float = math.inf) -> float:
    """Section modulus against torsion with the whole section at yield, mm3: pi/12 (d0^3 - hole^3), where
    d0 = (d2 + d3)/2 of the thread (VDI 2230, which has it for a solid shaft; the hole is taken off by the same
    integral), or the diameter left in a relief groove where that is smaller.

    `flank` d2, `root` d3, `hole` and `groove` in mm. Raises ValueError unless 0 <= hole < d3 and hole < groove.
    """
    if not 0 <= hole < min(root, groove):
        raise ValueError(f"hole: {hole} mm leaves no wall under the thread or in its groove")
    return math.pi / 12 * (min((flank + root) / 2, groove) ** 3 - hole**3)


def equivalent_mpa(preload: float, area: float, moment: float, modulus: float) -> float:
    """Equivalent stress while the nut is tightened, MPa: sqrt(sigma^2 + 3 tau^2) of tension and torsion (VDI 2230).

    Preload in N, stress area in mm2, moment in the thread in N.mm, section modulus in mm3.
    """
    return math.sqrt((preload / area) ** 2 + 3 * (moment / modulus) ** 2)


def shaft_strip_area(pitch: float, nut_minor_max: float, shaft_pitch_min: float) -> float:
    """Shear area of the shaft's thread per mm of engagement, mm2/mm, at the worst limits (FED-STD-H28/2B, formula 4a).

    Pitch, largest D1 and least d2 in mm. Not below zero: there the threads do not overlap.
    """
    return max(0.0, math.pi / pitch * nut_minor_max * (pitch / 2 + TAN_30 * (shaft_pitch_min - nut_minor_max)))


def nut_strip_area(pitch: float, shaft_major_min: float, nut_pitch_max: float) -> float:
    """Shear area of the nut's thread per mm of engagement, mm2/mm, at the worst limits (FED-STD-H28/2B, formula 2a).

    Pitch, least d and largest D2 in mm. Not below zero: there the threads do not overlap.
    """
    return max(0.0, math.pi / pitch * shaft_major_min * (pitch / 2 + TAN_30 * (shaft_major_min - nut_pitch_max)))


def full_strength_mm(stress_area: float, strip_area: float) -> float:
    """Engagement at which the shaft breaks before its thread strips, mm: 2 As / (ASs per mm) (FED-STD-H28/2B).

    The 2 says that a thread shears at half the tensile strength. Raises ValueError where the threads do not overlap.
    """
    if strip_area <= 0:
        raise ValueError("strip_area: the threads do not overlap")
    return 2 * stress_area / strip_area


def available_mm(
    underside: float,
    height: float,
    chamfer: float,
    full_thread_start: float,
    shaft_end: float,
    unthreaded: float = 0.0,
) -> float:
    """Engaged full thread, mm: from the later of nut underside and start of full thread to the earlier of nut top and
    shaft end, less the chamfers of both faces of the nut and what of its height is not thread. Positions from the
    shoulder; never below zero."""
    top = min(underside + height, shaft_end)
    return max(0.0, top - max(underside, full_thread_start) - 2 * chamfer - unthreaded)


def needed_mm(
    preload: float, factor: float, *, shaft_area: float, shaft_mpa: float, nut_area: float, nut_mpa: float
) -> float:
    """Engagement at which the weaker thread strips at `factor` times the preload, mm.

    Preload in N, shear areas in mm2 per mm, tensile strengths in MPa; a thread shears at half its tensile strength
    (FED-STD-H28/2B). The factor is the shop's setting; no standard gives one. Raises ValueError where the threads do
    not overlap.
    """
    per_mm = strip_load_per_mm(shaft_area=shaft_area, shaft_mpa=shaft_mpa, nut_area=nut_area, nut_mpa=nut_mpa)
    if per_mm <= 0:
        raise ValueError("the threads do not overlap")
    return factor * preload / per_mm


def strip_load_per_mm(*, shaft_area: float, shaft_mpa: float, nut_area: float, nut_mpa: float) -> float:
    """What strips the weaker thread, N per mm of engagement; arguments and source as `needed_mm`."""
    return min(shaft_area * shaft_mpa, nut_area * nut_mpa) / 2


def proof_stress_mpa(bolt_class: str, nominal: float) -> float:
    """Proof stress of a bolt or shaft, MPa, by property class `8.8`, `10.9` or `12.9` and diameter, mm (ISO 898-1).

    Raises KeyError for a class that is not tabulated.
    """
    return _BOLT_MPA[bolt_class][nominal > 16][0]


def bolt_tensile_mpa(bolt_class: str, nominal: float) -> float:
    """Least tensile strength of a bolt or shaft, MPa (ISO 898-1); arguments and errors as `proof_stress_mpa`."""
    return _BOLT_MPA[bolt_class][nominal > 16][1]


def yield_mpa(bolt_class: str, nominal: float) -> float:
    """Yield stress Rp0.2 of a bolt or shaft, MPa (ISO 898-1); arguments and errors as `proof_stress_mpa`."""
    return _BOLT_MPA[bolt_class][nominal > 16][2]


def nut_tensile_mpa(nut_class: str, nominal: float) -> float:
    """Least tensile strength of a nut's steel, MPa, by property class `8`, `10` or `12` (ISO 898-2).

    Raises KeyError for a class that is not tabulated.
    """
    return _NUT_MPA[nut_class][nominal > 16]

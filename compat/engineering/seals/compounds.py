"""Compounds of seals: what oil and heat they bear."""

from __future__ import annotations

import re
from dataclasses import dataclass

from compat.engineering.answers import Finding, ask, stop, warn
from compat.engineering.corners import both
from compat.engineering.seals.cold import coldest_findings
from compat.engineering.units import Range

COMPOUNDS = ("NBR", "HNBR", "FKM", "EPDM", "VMQ", "PU")
FLUIDS = ("mineral_oil", "glycol_brake_fluid")
# (compound, fluid) -> lowest and highest service temperature, degrees Celsius; None where the fluid attacks it.
# Mineral oil: as makers of seals publish alike. Glycol brake fluid, and PU: from memory.
SERVICE: dict[tuple[str, str], tuple[float, float] | None] = {
    ("NBR", "mineral_oil"): (-30, 100),
    ("HNBR", "mineral_oil"): (-30, 150),
    ("FKM", "mineral_oil"): (-20, 200),
    ("EPDM", "mineral_oil"): None,
    ("PU", "mineral_oil"): (-30, 80),
    ("EPDM", "glycol_brake_fluid"): (-40, 120),
    ("NBR", "glycol_brake_fluid"): None,
    ("HNBR", "glycol_brake_fluid"): None,
    ("FKM", "glycol_brake_fluid"): None,
    ("PU", "glycol_brake_fluid"): None,
}
NEAR_C = 5.0  # to the end of the range, from where it is said
WRITTEN = re.compile(r"\s*+([A-Za-z]++)[\s-]*+(?:(\d{2,3})\s*+(?:shore(?:\s*+a)?)?)?\s*+", re.IGNORECASE)
HARDNESS_ABOUT = 5.0  # Shore A by which a ring of a nominal hardness may differ; from memory of ISO 3601-5


@dataclass(frozen=True, slots=True)
class Service:
    """What a seal is made of and meets: words as written, degrees Celsius, gauge pressure in MPa, hardness in Shore A;
    None where not known. `backup_rings` where one stands on each side of the ring."""

    compound: str | None = None
    fluid: str | None = None
    hottest_c: float | None = None
    coldest_c: float | None = None
    pressure_mpa: Range | None = None
    hardness_shore_a: Range | None = None
    backup_rings: bool = False


def compound_called(text: str | None) -> str | None:
    """The compound of a written name, `NBR` for `nbr 70` too; None where it is not one of COMPOUNDS."""
    found = WRITTEN.fullmatch(text or "")
    name = found[1].upper() if found else ""
    return name if name in COMPOUNDS else None


def hardness_of(service: Service) -> tuple[Range | None, Finding | None]:
    """The hardness as told, or as it stands behind the compound as in `NBR 70`, Shore A; None where neither is known.
    Asked about where the two contradict each other."""
    found = WRITTEN.fullmatch(service.compound or "")
    written = Range.around(float(found[2]), HARDNESS_ABOUT) if found and found[2] else None
    told = service.hardness_shore_a
    if told is None or written is None:
        return (written if told is None else told), None
    if told.low < written.low or told.high > written.high:
        data = {"compound": service.compound, "low": told.low, "high": told.high}
        return both(told, written), ask("hardness_contradicts", "seal_makers", **data)
    return told, None


def fluid_called(text: str | None) -> str | None:
    """The fluid of a written name, `mineral_oil` for `Mineral oil` too; None where it is not one of FLUIDS."""
    name = re.sub(r"[\s-]++", "_", (text or "").strip().lower())
    return name if name in FLUIDS else None


def bears(compound: str | None, fluid: str | None, *temperatures_c: float | None) -> bool:
    """Whether a compound surely bears a fluid that is known, at every temperature that is known."""
    span = SERVICE.get((compound_called(compound) or "", fluid_called(fluid) or ""))
    return span is not None and all(one is None or span[0] <= one <= span[1] for one in temperatures_c)


def service_findings(service: Service) -> list[Finding]:
    """Whether the compound bears fluid and temperature; what is not known or not tabulated is asked for."""
    found = []
    compound, fluid = compound_called(service.compound), fluid_called(service.fluid)
    if service.compound is None or not service.compound.strip():
        found.append(ask("compound_missing", "seal_makers"))
    elif compound is None:
        found.append(ask("compound_unknown", "seal_makers", compound=service.compound, known=", ".join(COMPOUNDS)))
    if service.fluid is None or not service.fluid.strip():
        found.append(ask("fluid_missing", "seal_makers", known=", ".join(FLUIDS)))
    elif fluid is None:
        found.append(ask("fluid_unknown", "seal_makers", fluid=service.fluid, known=", ".join(FLUIDS)))
    if service.hottest_c is None:
        found.append(ask("temperature_missing", "seal_makers"))
    found += coldest_findings(service.coldest_c)
    if compound is None or fluid is None:
        return found
    if (compound, fluid) not in SERVICE:
        return [*found, ask("compound_not_tabulated", "seal_makers", compound=compound, fluid=fluid.replace("_", " "))]
    span = SERVICE[compound, fluid]
    if span is None:
        return [*found, stop("compound_swells", "seal_makers", compound=compound, fluid=fluid.replace("_", " "))]
    return found + _temperatures(compound, span, service)


def _temperatures(compound: str, span: tuple[float, float], service: Service) -> list[Finding]:
    lowest, highest = span
    data = {"compound": compound, "lowest_c": lowest, "highest_c": highest}
    found = []
    if service.hottest_c is not None:
        data["hottest_c"] = service.hottest_c
        if service.hottest_c > highest:
            found.append(stop("seal_too_hot", "seal_makers", **data))
        elif service.hottest_c > highest - NEAR_C:
            found.append(warn("seal_nearly_too_hot", "seal_makers", **data))
    coldest = min((one for one in (service.coldest_c, service.hottest_c) if one is not None), default=lowest)
    if coldest < lowest:
        found.append(stop("seal_too_cold", "seal_makers", **data, coldest_c=coldest))
    return found

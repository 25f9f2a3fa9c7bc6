"""What a curve's own sizes say of each other: the clamp against the shims' bore, the steel against spring strip."""

from __future__ import annotations

from collections.abc import Sequence

from compat.engineering.answers import Finding, ask
from compat.engineering.bending.band import nominal
from compat.engineering.bending.spread import LEAST_MPA, LEAST_POISSON, MOST_MPA, MOST_POISSON, Spread
from compat.engineering.bending.stack import CannotBend, Groups
from compat.engineering.corners import both
from compat.engineering.groups import Ply
from compat.engineering.units import Range

CONTACT = "contact_model"
STEEL = {
    "youngs_mpa": Range.between(LEAST_MPA, MOST_MPA),
    "poisson": Range.between(LEAST_POISSON, MOST_POISSON),
}


def of_sizes(plies: Sequence[Ply], spread: Spread) -> list[Finding]:
    """What is to be asked: a clamp that may lie inside the bore, steel that spring strip may not be."""
    return [*_bore(plies, spread), *_steel(spread)]


def _bore(plies: Sequence[Ply], spread: Spread) -> list[Finding]:
    """A clamp that does not even reach the shims' bore: one of the sizes is wrong."""
    try:
        groups = Groups.of(nominal(plies))
    except CannotBend:
        return []
    bore = max(ply.bore_mm for ply in plies)
    least = {name: one.low for name, one in spread.open.items() if name in ("hub_radius_mm", "base_radius_mm")}
    clamp = spread.at(least).clamp_radius_mm(groups)
    return [ask("clamp_inside_bore", CONTACT, clamp_radius_mm=clamp, bore_mm=bore)] if clamp <= bore / 2 else []


def _steel(spread: Spread) -> list[Finding]:
    findings = []
    for name, usual in STEEL.items():
        told = spread.open.get(name) or Range.exact(getattr(spread.mount, name))
        if both(told, usual) != told:
            scale = 1000 if name == "youngs_mpa" else 1
            data = {"min": told.low, "max": told.high, "usual_min": usual.low, "usual_max": usual.high}
            findings.append(ask(f"{name}_unusual", CONTACT, **{key: value / scale for key, value in data.items()}))
    return findings

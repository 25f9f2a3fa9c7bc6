"""What holds and loads a stack, from the valve that it stands on."""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.answers import Finding, ask
from compat.engineering.bending.stack import Mount
from compat.engineering.valves import Valve

CONTACT = "contact_model"


def mount_on(valve: Valve, side: str, told: Mapping[str, float] | None = None) -> tuple[Mount | None, list[Finding]]:
    """The mount of one side's stack at nominal sizes, or None with what is still to be measured.

    told: radii by their names in Mount that count before the valve's. The pressure lies on the ring of the side's
    ports. Raises ValueError for a side that the valve does not have.
    """
    here = next((one for one in valve.sides if one.name == side), None)
    if here is None:
        raise ValueError(f"the valve has no side {side}")
    on_file = {
        "hub_radius_mm": ("hub", here.hub_mm),
        "base_radius_mm": ("contact_diameter", valve.plate(side).contact_diameter_mm),
        "inner_radius_mm": ("ports_inner", here.ports_inner_mm),
        "outer_radius_mm": ("ports_outer", here.ports_outer_mm),
    }
    radii, unknown = dict[str, float](), list[Finding]()
    for name, (word, size) in on_file.items():
        if told and name in told:
            radii[name] = told[name]
        elif size is None:
            unknown.append(ask(f"curve_{word}_unknown", CONTACT))
        else:
            radii[name] = size.nominal / 2
    if unknown:
        return None, unknown
    hub, base, inner, outer = (radii[name] for name in on_file)
    return Mount(hub, base, inner, outer), []

"""What holds and loads a stack, from the valve that it stands on."""

from __future__ import annotations

from compat.engineering.answers import Finding, ask
from compat.engineering.bending.stack import Mount
from compat.engineering.valves import Valve

CONTACT = "contact_model"


def mount_on(valve: Valve, side: str) -> tuple[Mount | None, list[Finding]]:
    """The mount of one side's stack at nominal sizes, or None with what is still to be measured.

    The pressure lies on the ring of the side's ports. Raises ValueError for a side that the valve does not have.
    """
    here = next((one for one in valve.sides if one.name == side), None)
    if here is None:
        raise ValueError(f"the valve has no side {side}")
    hub, base, inner, outer = (
        here.hub_mm,
        valve.plate(side).contact_diameter_mm,
        here.ports_inner_mm,
        here.ports_outer_mm,
    )
    if hub is None or base is None or inner is None or outer is None:
        sizes = {"hub": hub, "contact_diameter": base, "ports_inner": inner, "ports_outer": outer}
        return None, [ask(f"curve_{name}_unknown", CONTACT) for name, size in sizes.items() if size is None]
    return Mount(hub.nominal / 2, base.nominal / 2, inner.nominal / 2, outer.nominal / 2), []

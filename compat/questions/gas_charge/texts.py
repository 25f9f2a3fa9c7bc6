"""Texts of the gas charge."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "gas_charge_missing": "Say what pressure the damper's sheet gives, by gauge. There is no usual figure.",
    "gas_charge_temperature_missing": "Say at which temperature the sheet gives its pressure, often 20 °C.",
    "gas_fill_temperature_missing": "Measure how warm the damper is where it is filled.",
    "gas_bore_missing": "Measure the bore that the floating piston runs in.",
    "gas_depth_missing": "Measure how long the gas is with the rod out: from the piston to what it would stand on.",
    "gas_rod_missing": "Measure the rod's diameter.",
    "gas_stroke_missing": "Measure the rod's stroke.",
    "gas_oil_missing": "Say how much oil is in it: hot oil takes room from the gas.",
    "gas_coldest_missing": "Say how cold it becomes in use.",
    "gas_hottest_missing": "Say how hot it becomes in use.",
    "gas_least_missing": "Say the least pressure that the maker's sheet allows; 0 where it allows any.",
    "gas_most_missing": "Say the most pressure that the maker's sheet allows. There is no usual figure.",
    "gas_limits_source_missing": "Say which sheet the limits come from.",
    "gas_air_taken": (
        "The open air is taken as {low:g} to {high:g} bar, from 5,500 m to the sea; a barometer makes that narrower."
    ),
    "gas_looks_like_psi": (
        "{bar:g} bar is more than dampers are charged with: was it psi? 100 psi are 6.9 bar. Look again before any gas "
        "goes in."
    ),
    "gas_rod_not_in_bore": (
        "The rod ({rod_mm:g} mm) is not thinner than the bore of the floating piston ({bore_mm:g} mm): measure both "
        "again."
    ),
    "gas_cold_above_hot": "The coldest ({cold:g} °C) is above the hottest ({hot:g} °C): one of the two is wrong.",
    "gas_limits_crossed": (
        "The least pressure allowed ({least:g} bar) is above the most ({most:g} bar): look at the sheet again."
    ),
    "gas_charge_outside_limits": (
        "The sheet's own pressure ({bar:g} bar) is not inside the limits ({least:g} to {most:g} bar): one of the "
        "figures is wrong, or of another damper. Ask its maker."
    ),
    "gas_piston_bottoms": (
        "The floating piston stands on the end of its chamber before the rod is in ({when}): {short:.1f} mm are "
        "missing. Do not run it so: the rod would stop on oil."
    ),
    "gas_piston_may_bottom": (
        "The floating piston may stand on the end of its chamber with the rod in ({when}): {low:.1f} to {high:.1f} mm "
        "of gas are left. Measure bore, depth, rod and oil more closely."
    ),
    "gas_under_least": (
        "The pressure {when} is {low:.2f} to {high:.2f} bar, under the least allowed ({least:g} bar): oil would foam "
        "and the damper fade."
    ),
    "gas_may_be_under_least": (
        "The pressure {when} may be under the least allowed: {low:.2f} to {high:.2f} bar, with {least:g} bar allowed. "
        "Know it more closely, or ask the maker."
    ),
    "gas_over_most": (
        "The pressure {when} is {low:.2f} to {high:.2f} bar, over the most allowed ({most:g} bar): do not fill it so."
    ),
    "gas_may_be_over_most": (
        "The pressure {when} may be over the most allowed: {low:.2f} to {high:.2f} bar, with {most:g} bar allowed. "
        "Know it more closely, or ask the maker."
    ),
    "gas_squeezed_out": "The gas {when} has no room left, or so little that its pressure is over 500 bar.",
    "gas_may_be_squeezed_out": (
        "The gas {when} may have so little room left that its pressure is over 500 bar. Measure bore, depth, rod and "
        "oil more closely."
    ),
    "gas_how_fast": (
        "How fast the rod goes in is not known, so its pressures run from a stroke so slow that the gas stays as warm "
        "as it was to one so fast that it keeps all of its heat."
    ),
    "gas_oil_solid": (
        "Oil is counted as not giving way, and as growing by 0.06 to 0.1 % a degree; body and rod as not stretching."
    ),
}

METHODS: dict[str, str] = {
    "gas-charge": (
        "The density of nitrogen at the sheet's pressure and temperature, kept while it warms or cools; the room that "
        "rod and warm oil take from it by bore, depth, rod and stroke; the pressure then from the reference equation "
        "of nitrogen, between isothermal and adiabatic, at every corner of what is known."
    ),
}

SOURCES: dict[str, str] = {
    "nitrogen_equation": (
        "Span and others, a reference equation of state for nitrogen, J. Phys. Chem. Ref. Data 29 (2000)"
    ),
    "oil_expansion": "Growth of damper oils with heat, 0.06 to 0.1 % a degree (from memory of handbooks)",
}

CAUTIONS: dict[str, str] = {
    "nitrogen_only": (
        "Gas under pressure kills: only dry nitrogen, never oxygen or air, by a regulator that is made for it, with a "
        "gauge that was checked and a hose that is rated; eye protection, nobody in line with valve, plug or rod, a "
        "room with fresh air. Filled and emptied by trained people, as the damper's maker and local codes say."
    ),
}

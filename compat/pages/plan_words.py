"""A plan's figures in words and units, for pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from compat.pages.stack_text import size_text

NO_SPACER = {
    "no_such_shims": "No spacer: the shelf has no shims that end inside the window.",
    "": "No spacer is needed.",
}


def size(sizes: Mapping[str, Any]) -> str:
    """A shim's size as it is spoken: `34 x 0.15`."""
    return f"{sizes['od_mm']:g} x {size_text(sizes['thickness_mm'])}"


def stand_in(one: Mapping[str, Any]) -> str:
    """What stands in, and what it changes. Inside one diameter the sum of t^3 is the stiffness."""
    shims = " + ".join(f"{each['quantity']} of {size_text(each['thickness_mm'])}" for each in one["with"])
    changes = f"stiffness here {one['sum_t3_change_percent']:+.1f} %, height {one['height_change_mm']:+.3f} mm"
    return f"{shims} mm for {one['replaces']}: {changes}"


def spacer(found: Mapping[str, Any] | None) -> str:
    """The spacer under the rebound base plate in one sentence; empty where the lip was not asked about."""
    if found is None:
        return ""
    window = found["add_mm"]
    if window is None:
        return "No thickness of spacer is safe at both ends of the readings; see the findings."
    room = f"The lip allows {window['min']:.3f} to {window['max']:.3f} mm"
    if found["lines"]:
        return f"{room}; together these are {found['total_mm']:.3f} mm."
    reason = found["reason"] or ""
    return f"{room}. {NO_SPACER.get(reason) or 'No spacer: ' + reason.replace('_', ' ') + '.'}"


def alternative(one: Mapping[str, Any], lines: Sequence[Mapping[str, Any]]) -> str:
    """Another plan by what it does differently."""
    by_position = {line["position"]: line for line in lines}
    said = [
        f"{by_position[each['position']]['side']} {by_position[each['position']]['line']}: {stand_in(each)}"
        for each in one["stand_ins"]
        if each["position"] in by_position
    ]
    if one["missing"]:
        said.append(f"{one['missing']} missing")
    if one["spacer"] and one["spacer"]["lines"]:
        said.append(f"spacer {one['spacer']['total_mm']:.3f} mm")
    return "; ".join(said) or "The same sizes from other lots"


def changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    """What two plans of one request take otherwise, position by position."""
    old = {line["position"]: line for line in before["lines"]}
    found = []
    for line in after["lines"]:
        was, here = taken(old[line["position"]]), taken(line)
        if was != here:
            found.append(f"{line['side']} {line['line']}, {size(line)}: {was} before, {here} now")
    spacers = [_spacer_taken(plan["spacer"]) for plan in (before, after)]
    if spacers[0] != spacers[1]:
        found.append(f"spacer: {spacers[0]} before, {spacers[1]} now")
    return found


def taken(line: Mapping[str, Any]) -> str:
    """Where the pieces of a position come from."""
    lots = [f"{lot['quantity']} of {size_text(lot['thickness_mm'])} from {lot['drawer']}" for lot in line["lots"]]
    return ", ".join([*lots, *([f"{line['missing']} missing"] if line["missing"] else [])]) or "nothing"


def _spacer_taken(found: Mapping[str, Any] | None) -> str:
    return (
        ", ".join(f"{lot['quantity']} of {size(lot)} from {lot['drawer']}" for lot in (found or {}).get("lines", ()))
        or "none"
    )

"""The stack question: order, cover, clamp, bores, height and lip of a valve's stacks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace

from compat.engineering import stack_checks
from compat.engineering.answers import Answer, Finding, Value, ask, note, stop
from compat.engineering.assembly.model import assemble, height_before_spacers
from compat.engineering.face import face_shim
from compat.engineering.groups import Crossover, Group, Ply, crossovers_of, groups_of
from compat.engineering.lip import LipRule, LipWindow, window
from compat.engineering.refused import Refused
from compat.engineering.units import Range
from compat.engineering.valves import Kind, Valve, ValveSide, fixed_height

TRADE = "trade"
MAX_PIECES = 200  # far above any damper: more is a slip of the keyboard

Stacks = Mapping[str, Sequence[Ply]]


def _named(item: Group | Crossover, side: str) -> dict[str, Value]:
    return {"side": side, **{field.name: getattr(item, field.name) for field in fields(item)}}


def _cover(
    valve: Valve, side: ValveSide, face: Ply, overlap_mm: Range | None
) -> tuple[list[Finding], dict[str, Value]]:
    """The face-shim question for one side; each finding and the values are marked with the side."""
    answer = face_shim(
        shim_od_mm=Range.exact(face.od_mm),
        shim_bore_mm=Range.exact(face.bore_mm),
        shaft_mm=valve.shaft_mm,
        hub_mm=side.hub_mm,
        ports_inner_mm=side.ports_inner_mm,
        ports_outer_mm=side.ports_outer_mm,
        land_outer_mm=side.land_outer_mm,
        body_bore_mm=valve.body_bore_mm,
        other_side_feed_inner_mm=side.other_side_feed_inner_mm,
        overlap_mm=overlap_mm,
    )
    findings = [finding.on(side.name) for finding in answer.findings]
    return findings, {"side": side.name, **answer.values}


def _without_shims(valve: Valve, side: ValveSide, stacks: Stacks) -> Finding:
    """A side with nothing on it: open ports on a main piston; elsewhere a plate and spring may do the work."""
    if side.name not in stacks:
        return ask("side_not_told", TRADE, side=side.name)
    say, code = (stop, "side_without_shims") if valve.kind is Kind.MAIN else (ask, "side_may_be_empty")
    return say(code, TRADE, side=side.name)


def rule_for(valve: Valve, rule: LipRule) -> LipRule:
    """The lip rule with the valve's outer base plate filled in, unless the rule has a reading of its own."""
    return replace(rule, base_plate_mm=rule.base_plate_mm or valve.plate(valve.outer).height_mm)


def _lip(valve: Valve, height_mm: Range | None, rule: LipRule) -> LipWindow | None:
    """The lip rule holds for the main valve only."""
    if valve.kind is not Kind.MAIN:
        return None
    lip = window(height_mm, rule_for(valve, rule))
    # A height that cannot be summed is asked for part by part.
    return replace(lip, findings=tuple(f for f in lip.findings if f.code != "stack_height_unknown"))


def _refuse(valve: Valve, stacks: Stacks) -> None:
    unknown = set(stacks) - {side.name for side in valve.sides}
    if unknown:
        raise Refused("side_unknown", side=", ".join(sorted(unknown)))
    pieces = sum(ply.line.quantity for plies in stacks.values() for ply in plies)
    if pieces > MAX_PIECES:
        raise Refused("too_many_shims_asked", pieces=pieces, most=MAX_PIECES)


def stack_height(valve: Valve, stacks: Stacks) -> tuple[Range | None, list[Finding]]:
    """Everything between the shoulder and the outer base plate before spacers, millimetres, and what is unknown.

    Inner base plate, washers and sleeves, both stacks, the piston. A mid-valve's shims float and do not count. None
    while a part's height is unknown or a side is not told (`stack` asks for the side). Source: common practice of the
    trade, no published source.
    """
    return height_before_spacers(valve, stacks), fixed_height(valve)[1]


def stack(
    valve: Valve,
    stacks: Stacks,
    *,
    overlap_mm: Range | None = None,
    rule: LipRule | None = None,
    spacers_mm: Range | None = None,
) -> Answer:
    """Are the stacks of a valve sound: order, cover, clamp, bores, crossover gaps, height and lip?

    `stacks` gives each side's lines, face first, with the thickness of one piece in millimetres; `overlap_mm` is the
    radial cover that the shop requires, `spacers_mm` the spacers that are chosen, zero for none. `fits` means: every
    side's face shim covers its ports and nothing else, every shim passes the shaft and was made for it, and for a main
    valve the outer base plate straddles the lip, with spacers where they are noted. It says nothing of damping. Round,
    notched and slotted shims only (cut ones taken as round); a ring or a polygon asks. At most 200 pieces. Values:
    `height_mm`, `fixed_mm` (without shims), `add_mm` (the spacers' window), `cover`, `groups`, `crossovers`,
    `assembly_order` with each part's place, `nut_underside_mm`. Raises Refused for a side that the valve does not
    have or too many pieces. Source: common practice of the trade; contact of plates.
    """
    _refuse(valve, stacks)
    findings: list[Finding] = []
    groups: list[dict[str, Value]] = []
    crossovers: list[dict[str, Value]] = []
    cover: list[dict[str, Value]] = []
    for side in valve.sides:
        plies = stacks.get(side.name, ())
        if not plies:
            findings.append(_without_shims(valve, side, stacks))
            continue
        merged = groups_of(plies)
        gaps = crossovers_of(merged)
        covered, values = _cover(valve, side, plies[0], overlap_mm)
        findings += [
            *covered,
            *stack_checks.forms(side.name, plies),
            *stack_checks.bores(side.name, plies, valve.shaft_mm),
            *stack_checks.reach(side.name, plies, valve.shaft_mm, valve.body_bore_mm),
            *stack_checks.order(side.name, merged),
            *stack_checks.clamp(side.name, merged, valve.plate(side.name).contact_diameter_mm),
            *stack_checks.crossover_gaps(side.name, gaps),
        ]
        cover.append(values)
        groups += [_named(group, side.name) for group in merged]
        crossovers += [_named(gap, side.name) for gap in gaps]
    if valve.kind is Kind.MID:
        findings.append(note("floating_shims_not_in_height", TRADE))
    fixed, _ = fixed_height(valve)
    height, unmeasured = stack_height(valve, stacks)
    lip = _lip(valve, height, rule or LipRule())
    findings += [*unmeasured, *(lip.findings if lip else ())]
    standing = assemble(valve, stacks, lip, plate_mm=rule.base_plate_mm if rule else None, spacers_mm=spacers_mm)
    return Answer(
        "stack",
        tuple(findings),
        {
            "height_mm": height,
            "fixed_mm": fixed,
            "add_mm": lip.add_mm if lip else None,
            "cover": cover,
            "groups": groups,
            "crossovers": crossovers,
            "assembly_order": list(standing.steps),
            "nut_underside_mm": standing.nut_underside_mm,
        },
        (TRADE, "contact_model", "iso_9445_1"),
        ("makers_instructions", "wrong_nut", "clean_face", "light_gap"),
    )

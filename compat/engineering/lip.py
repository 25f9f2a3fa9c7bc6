"""The lip rule: the outer base plate must straddle the end of the straight part of the shaft."""

from __future__ import annotations

import math
from dataclasses import dataclass

from compat.engineering.answers import Finding, ask, note, stop
from compat.engineering.corners import judged, room
from compat.engineering.refused import Refused
from compat.engineering.rounding import clean
from compat.engineering.units import UM_PER_MM, Range

TRADE = "trade"


@dataclass(frozen=True, slots=True)
class LipRule:
    """What the shaft and the damper's instructions say, millimetres; None is unknown.

    `shoulder_to_lip_mm` runs from the shoulder to the end of the straight part, `base_plate_mm` is the thickness of
    the outer (rebound) base plate, `on_straight_mm` and `past_lip_mm` are the least lengths of that plate on the
    straight part and past its end. Raises Refused for a negative length.
    """

    shoulder_to_lip_mm: Range | None = None
    base_plate_mm: Range | None = None
    on_straight_mm: float | None = None
    past_lip_mm: float | None = None

    def __post_init__(self) -> None:
        for name in ("shoulder_to_lip_mm", "base_plate_mm"):
            length: Range | None = getattr(self, name)
            if length is not None and length.low <= 0:
                raise Refused("length_not_above_zero", name)
        for name in ("on_straight_mm", "past_lip_mm"):
            least: float | None = getattr(self, name)
            if least is not None and least < 0:
                raise Refused("length_negative", name)


@dataclass(frozen=True, slots=True)
class LipWindow:
    """What may be added under the outer base plate, millimetres.

    `add_min_mm` and `add_max_mm` are None while something is unknown; `add_max_mm` is negative where the stack is too
    tall. `add_mm` is the window as a range, its middle as nominal, and None unless every value in it is safe.
    `perhaps_mm` is what may be added at some corner of the readings; None while something is unknown, and where that is
    nothing.
    """

    add_min_mm: float | None
    add_max_mm: float | None
    findings: tuple[Finding, ...]
    perhaps_mm: Range | None = None

    @property
    def add_mm(self) -> Range | None:
        if self.add_min_mm is None or self.add_max_mm is None or self.add_min_mm > self.add_max_mm:
            return None
        return Range.between(self.add_min_mm, self.add_max_mm)


@dataclass(frozen=True, slots=True)
class LipLimits:
    """The lip rule for a search over shims, whole micrometres; S is the thickness of all shims, spacers included.

    The rule is met where S at its lowest is at least `floor_um` and S at its highest at most `ceiling_um`.
    """

    floor_um: int
    ceiling_um: int


def _unknown(height_mm: Range | None, rule: LipRule) -> list[Finding]:
    asked = [
        ("stack_height_unknown", height_mm),
        ("shoulder_to_lip_unknown", rule.shoulder_to_lip_mm),
        ("lip_base_plate_unknown", rule.base_plate_mm),
        ("on_straight_unknown", rule.on_straight_mm),
        ("past_lip_unknown", rule.past_lip_mm),
    ]
    return [ask(code, TRADE) for code, value in asked if value is None]


def _plate(plate: Range | None, on: float | None, past: float | None) -> list[Finding]:
    """Is the base plate thick enough to lie on both sides of the lip at once?"""
    if plate is None or on is None or past is None:
        return []
    needed = clean(on + past)
    data = {"needed_mm": needed, "plate_min_mm": plate.low, "plate_max_mm": plate.high}
    return judged(
        room(plate, least=Range.exact(needed)),
        never=stop("base_plate_too_thin", TRADE, **data),
        perhaps=ask("base_plate_may_be_thin", TRADE, **data),
    )


def _too_tall(left: Range) -> list[Finding]:
    """left: what the base plate has to spare on the straight part without any spacer, millimetres."""
    return judged(
        left,
        never=stop("stack_too_tall", TRADE, by_mm=clean(-left.high)),
        perhaps=ask("stack_may_be_too_tall", TRADE, min_mm=clean(left.low), max_mm=clean(left.high)),
    )


def _too_wide(height: Range, plate: Range, lip: Range, add_min: float, add_max: float) -> Finding:
    spreads = {
        "stack_height": clean(height.high - height.low),
        "shoulder_to_lip": clean(lip.high - lip.low),
        "base_plate": clean(plate.high - plate.low),
    }
    return ask(
        "lip_spread_too_wide",
        TRADE,
        add_min_mm=add_min,
        add_max_mm=add_max,
        height_spread_mm=spreads["stack_height"],
        lip_spread_mm=spreads["shoulder_to_lip"],
        plate_spread_mm=spreads["base_plate"],
        measure=max(spreads, key=lambda name: spreads[name]),
    )


def window(height_mm: Range | None, rule: LipRule) -> LipWindow:
    """The thickness of spacers with which the outer base plate straddles the lip at every corner of the readings.

    `height_mm` is everything between the shoulder and the outer base plate before spacers, millimetres; None is
    unknown. With H the height, L shoulder to lip, B the plate: add_min = max(0, L_max + past - B_min - H_min) and
    add_max = L_min - on - H_max. Too tall (L - on - H below zero) or a plate thinner than on + past stops where
    it is so at every corner and asks where it may be; anything unknown, and a spread wider than the window, asks.
    Raises Refused for a negative height. Source: common practice of the trade, no published source.
    """
    if height_mm is not None and height_mm.low < 0:
        raise Refused("length_negative", "stack_height_mm")
    lip, plate, on, past = rule.shoulder_to_lip_mm, rule.base_plate_mm, rule.on_straight_mm, rule.past_lip_mm
    findings = _unknown(height_mm, rule) + _plate(plate, on, past)
    add_min = add_max = None
    if height_mm is not None and lip is not None and on is not None:
        left = lip - Range.exact(on) - height_mm
        add_max = clean(left.low)
        findings += _too_tall(left)
    if height_mm is not None and lip is not None and plate is not None and past is not None:
        add_min = max(0.0, clean(lip.high + past - plate.low - height_mm.low))
    if add_min is not None and add_max is not None and not findings:
        assert height_mm is not None and plate is not None and lip is not None
        if add_min > add_max:
            findings.append(_too_wide(height_mm, plate, lip, add_min, add_max))
        elif add_min > 0:
            findings.append(note("lip_needs_spacers", TRADE, add_min_mm=add_min, add_max_mm=add_max))
        else:
            findings.append(note("lip_straddled", TRADE, add_max_mm=add_max))
    return LipWindow(add_min, add_max, tuple(findings), _perhaps(height_mm, rule))


def _perhaps(height: Range | None, rule: LipRule) -> Range | None:
    """The window at the corners that leave it widest, mm: the shortest way to the lip asks least, the longest takes
    most. Each height between is right at some corner, since the ends move together."""
    lip, plate, on, past = rule.shoulder_to_lip_mm, rule.base_plate_mm, rule.on_straight_mm, rule.past_lip_mm
    if height is None or lip is None or plate is None or on is None or past is None:
        return None
    least = max(0.0, clean(lip.low + past - plate.high - height.high))
    most = clean(lip.high - on - height.low)
    return Range.between(least, most) if least <= most else None


def spread_of_spacer(total_mm: Range, add_mm: Range) -> list[Finding]:
    """Does the spacer stay inside the window at both ends of its own spread? Asks to measure it where it may not.

    `total_mm` is the thickness of its pieces together, `add_mm` the window, both millimetres. Source: the same rule.
    """
    total = {"total_min_mm": total_mm.low, "total_max_mm": total_mm.high}
    wide = ask("spacer_spread", TRADE, **total, add_min_mm=add_mm.low, add_max_mm=add_mm.high)
    limits = {"least": Range.exact(add_mm.low), "most": Range.exact(add_mm.high)}
    return judged(room(total_mm, **limits), never=wide, perhaps=wide)


def spacer_may_reach(total_mm: Range, add_mm: Range) -> Finding:
    """A spacer for want of one inside the window, both millimetres: right at some corner of the readings at most."""
    total = {"total_min_mm": total_mm.low, "total_max_mm": total_mm.high}
    return ask("spacer_may_reach", TRADE, **total, add_min_mm=add_mm.low, add_max_mm=add_mm.high)


def shim_limits(rule: LipRule, fixed_mm: Range | None) -> LipLimits | None:
    """The lip rule as whole-micrometre limits on the shims alone; None while anything is unknown.

    `fixed_mm` is the height of everything that is not a shim (inner base plate, washers, sleeves, piston),
    millimetres. floor = L_max + past - B_min - fixed_min rounded up, ceiling = L_min - on - fixed_max rounded down,
    so rounding never makes the window wider. A plate that is too thin is `window`'s finding, not this one's. Source:
    the same rule.
    """
    lip, plate = rule.shoulder_to_lip_mm, rule.base_plate_mm
    if fixed_mm is None or lip is None or plate is None or rule.on_straight_mm is None or rule.past_lip_mm is None:
        return None
    floor = clean(lip.high + rule.past_lip_mm - plate.low - fixed_mm.low)
    ceiling = clean(lip.low - rule.on_straight_mm - fixed_mm.high)
    return LipLimits(math.ceil(round(floor * UM_PER_MM, 2)), math.floor(round(ceiling * UM_PER_MM, 2)))

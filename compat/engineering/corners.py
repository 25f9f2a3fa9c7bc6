"""The corner law: what a rule may say of quantities that are known only between limits.

A quantity is an interval, and what is not known is the infinite interval. A rule is good or bad at each value of its
margin. Bad at every corner: it stops. Bad at some corner: something must be measured. Good at every corner: silence.
So no verdict becomes `fits` because a reading is left out or made vaguer: a wider interval holds every corner that the
narrower one had.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from enum import StrEnum
from itertools import product

from compat.engineering.answers import Finding, Severity
from compat.engineering.units import Range

DUST = 1e-6  # of any unit, far under any reading: a limit met exactly is met
UNKNOWN = Range(-math.inf, math.inf, 0.0)


class Standing(StrEnum):
    """How a rule stands over all corners."""

    GOOD = "good"
    OPEN = "open"
    BAD = "bad"


def known(quantity: Range | None) -> Range:
    """The interval of a quantity; the infinite one where it is None. Any unit."""
    return UNKNOWN if quantity is None else quantity


def standing(margin: Range | None, *, strict: bool = False) -> Standing:
    """How `margin >= 0`, with `strict` `margin > 0`, stands over the whole interval, any unit. None: unknown, OPEN."""
    least = DUST if strict else -DUST
    spread = known(margin)
    if spread.low >= least:
        return Standing.GOOD
    return Standing.OPEN if spread.high >= least else Standing.BAD


def judged(margin: Range | None, *, never: Finding, perhaps: Finding, strict: bool = False) -> list[Finding]:
    """What the rule `margin >= 0` says, any unit: `never` where it is bad at every corner, `perhaps` where it is bad at
    some, nothing where it is good at all. With `strict` the rule is `margin > 0`.

    Raises ValueError unless `perhaps` asks and `never` stops or asks: a doubt of the readings themselves only asks.
    """
    if perhaps.severity is not Severity.ASK or never.severity not in (Severity.STOP, Severity.ASK):
        raise ValueError(f"{never.code} stops or asks, {perhaps.code} asks")
    found = {Standing.GOOD: [], Standing.OPEN: [perhaps], Standing.BAD: [never]}
    return found[standing(margin, strict=strict)]


def room(quantity: Range | None, *, least: Range | None = None, most: Range | None = None) -> Range:
    """The margin of a quantity to its limits, same unit: the smaller distance of the two at each corner. A limit that
    is None does not exist; a limit that exists and is not known is `UNKNOWN`."""
    spread = known(quantity)
    sides = [spread - least] if least is not None else []
    sides += [most - spread] if most is not None else []
    if not sides:
        raise ValueError("a margin is to one limit at least")
    return Range(*(min(getattr(one, end) for one in sides) for end in ("low", "high", "nominal")))


def both(one: Range | None, other: Range | None) -> Range | None:
    """What two sources of one quantity leave possible together, same unit: their intersection, None where they
    contradict each other, which is then asked about. Unknown is the infinite interval and narrows nothing."""
    first, second = known(one), known(other)
    low, high = max(first.low, second.low), min(first.high, second.high)
    if low > high:
        return None
    nominal = first.nominal if one is not None else second.nominal
    return Range(low, high, min(max(nominal, low), high))


def over_corners(function: Callable[..., float], *quantities: Range) -> Range:
    """The span of a function at every corner of its arguments and at their nominal values, any unit.

    Holds where the function is monotone in each argument between the corners; the caller answers for that.
    """
    ends = [(one.low, one.high) if one.low < one.high else (one.low,) for one in quantities]
    values = [function(*corner) for corner in product(*ends)]
    nominal = function(*(one.nominal for one in quantities))
    return Range(min(*values, nominal), max(*values, nominal), nominal)

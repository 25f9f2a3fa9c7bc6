"""From true positions on the shaft to the drawing: what lies inside a part keeps its share of that part's height."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from compat.engineering.drawing.heights import Placed, Scale
from compat.engineering.drawing.items import Kind


@dataclass(frozen=True, slots=True)
class Straddle:
    """How the outer base plate lies at the lip, millimetres: on the straight part, and past its end.

    Either is negative where the plate does not reach the lip from that side. `fraction` is the share of the plate
    below the lip: inside 0..1 it straddles.
    """

    on_straight_mm: float
    past_lip_mm: float

    @property
    def fraction(self) -> float:
        return self.on_straight_mm / (self.on_straight_mm + self.past_lip_mm)

    @property
    def straddles(self) -> bool:
        return self.on_straight_mm > 0 and self.past_lip_mm > 0


def straddle(placed: Sequence[Placed], lip_mm: float | None) -> Straddle | None:
    """The outer base plate at the lip; None while the lip or a height below it is unknown, or without such a plate."""
    for one in placed:
        if one.at_lip and one.true_mm is not None and lip_mm is not None:
            low, high = one.true_mm
            return Straddle(round(lip_mm - low, 6), round(high - lip_mm, 6))
    return None


def level(placed: Sequence[Placed], true_mm: float, scale: Scale) -> float | None:
    """The drawn height of a true position, units above the shoulder; None where a height below it is unknown.

    Inside a part it divides the drawn height as it divides the true one; beyond the last part, the scale across.
    """
    top, at = 0.0, 0.0
    for one in placed:
        if one.true_mm is None:
            if one.item.kind is Kind.NUT and one is placed[-1]:
                break  # it carries nothing, so its height leaves no position open
            return None
        top, at = one.true_mm[1], one.high
        if true_mm <= top:
            share = (true_mm - one.true_mm[0]) / (top - one.true_mm[0]) if top > one.true_mm[0] else 1.0
            return one.low + share * (one.high - one.low)
    return at + (true_mm - top) * scale.across

"""Lengths and ranges. Stacks and spacers count whole micrometres; threads and joints compute in float millimetres."""

from __future__ import annotations

from dataclasses import dataclass

UM_PER_MM = 1000
MM_PER_INCH = 25.4  # exact, by the international inch


def um_to_mm(um: float) -> float:
    """Micrometres to millimetres, rounded to a hundredth of a micrometre so that no binary dust is shown."""
    return round(um / UM_PER_MM, 5)


@dataclass(frozen=True, slots=True)
class Range:
    """A quantity known only between two limits, both included; `nominal` is the best single value.

    Any unit; the field that holds it says which. Raises ValueError unless low <= nominal <= high.
    """

    low: float
    high: float
    nominal: float

    def __post_init__(self) -> None:
        if not self.low <= self.nominal <= self.high:
            raise ValueError(f"not a range: {self.low} <= {self.nominal} <= {self.high}")

    @classmethod
    def exact(cls, value: float) -> Range:
        """A quantity known without spread."""
        return cls(value, value, value)

    @classmethod
    def between(cls, low: float, high: float, nominal: float | None = None) -> Range:
        """From two limits; the nominal value is the middle unless given."""
        return cls(low, high, (low + high) / 2 if nominal is None else nominal)

    @classmethod
    def around(cls, nominal: float, spread: float) -> Range:
        """`nominal` plus or minus `spread`."""
        return cls(nominal - spread, nominal + spread, nominal)

    def __add__(self, other: Range) -> Range:
        return Range(self.low + other.low, self.high + other.high, self.nominal + other.nominal)

    def __sub__(self, other: Range) -> Range:
        return Range(self.low - other.high, self.high - other.low, self.nominal - other.nominal)

    def touches(self, other: Range) -> bool:
        """Have the two any value in common?"""
        return self.low <= other.high and other.low <= self.high

    def times(self, factor: float) -> Range:
        """Scaled by a factor; a negative one swaps the limits."""
        ends = sorted((self.low * factor, self.high * factor))
        return Range(ends[0], ends[1], self.nominal * factor)

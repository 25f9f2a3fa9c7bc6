"""A length as documents hold it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Length:
    """A length in millimetres, known between two limits, both included; `nominal` is the best single value.

    Whether it was told as one number or between limits is said by the field that holds it. Raises ValueError unless
    low <= nominal <= high.
    """

    low: float
    high: float
    nominal: float

    def __post_init__(self) -> None:
        if not self.low <= self.nominal <= self.high:
            raise ValueError("min <= nominal <= max must hold")

    @classmethod
    def exact(cls, mm: float) -> Length:
        """A length told as one number."""
        return cls(float(mm), float(mm), float(mm))

    @property
    def is_exact(self) -> bool:
        """Whether nothing is left open."""
        return self.low == self.high

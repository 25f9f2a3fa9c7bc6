"""Which numbers are dash numbers of AS568; what size they mean is the engine's table."""

from __future__ import annotations

# First and last of each run; from memory of AS568, and compared in the tests with the table of sizes.
RUNS = ((1, 50), (102, 178), (201, 284), (309, 395), (425, 475))


def is_dash(number: int) -> bool:
    """Whether AS568 has a ring of this number."""
    return any(first <= number <= last for first, last in RUNS)

"""What a spacer is made of: pieces of one lot in one drawer, and a choice of them."""

from __future__ import annotations

from dataclasses import dataclass

MAX_PREFERENCE = 1_000_000


@dataclass(frozen=True, slots=True)
class Piece:
    """`available` like pieces of one lot in one drawer, each `thickness_um` thick (measured mean).

    `preference` is the cost of using one of them, 0 or more: the shop's wish in numbers, such as days newer than the
    oldest lot. `drawer`: where they lie; empty is a drawer of their own. Raises ValueError outside these ranges.
    """

    key: str
    thickness_um: int
    available: int
    preference: int = 0
    drawer: str = ""

    def __post_init__(self) -> None:
        if self.thickness_um <= 0:
            raise ValueError(f"piece {self.key}: a thickness is above zero, not {self.thickness_um}")
        if self.available < 0:
            raise ValueError(f"piece {self.key}: available is 0 or more, not {self.available}")
        if not 0 <= self.preference <= MAX_PREFERENCE:
            raise ValueError(f"piece {self.key}: preference is 0..{MAX_PREFERENCE}, not {self.preference}")

    @property
    def place(self) -> tuple[str, str]:
        """The drawer, one that no other row shares where none is named."""
        return (self.drawer, "") if self.drawer else ("", self.key)


@dataclass(frozen=True, slots=True)
class SpacerChoice:
    """Pieces out of so many drawers that add up to `total_um`: (key, quantity) in the order the rows were given."""

    total_um: int
    pieces: int
    drawers: int
    preference: int
    taken: tuple[tuple[str, int], ...]

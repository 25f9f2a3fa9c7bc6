"""What stands on a shaft, as the half section takes it: lengths in millimetres, None where unknown."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from compat.engineering.drawing.shapes import NotDrawable, checked


class Kind(StrEnum):
    """What a part on the shaft is."""

    WASHER = "washer"
    SLEEVE = "sleeve"
    BASE_PLATE = "base_plate"
    SHIM = "shim"
    PISTON = "piston"
    SPACER = "spacer"
    NUT = "nut"


class Mark(StrEnum):
    """Is the part the one that was asked for, another one in its place, or not there?"""

    NONE = "none"
    STAND_IN = "stand_in"
    MISSING = "missing"


THIN = (Kind.SHIM, Kind.SPACER)


@dataclass(frozen=True, slots=True)
class Item:
    """One line of a parts list. `height_mm` is of one piece; `ref` is the number in its balloon.

    Of a nut `outer_mm` is its width across flats. `contact_diameter_mm` is where a base plate touches the stack.
    Raises ValueError for a length that is none, no piece, or an inner diameter that is not inside the outer one.
    """

    kind: Kind
    ref: str
    side: str = ""
    outer_mm: float | None = None
    inner_mm: float | None = None
    height_mm: float | None = None
    pieces: int = 1
    role: str = ""
    mark: Mark = Mark.NONE
    contact_diameter_mm: float | None = None

    def __post_init__(self) -> None:
        for name in ("outer_mm", "inner_mm", "height_mm", "contact_diameter_mm"):
            checked(name, getattr(self, name))
        if self.pieces < 1:
            raise NotDrawable(f"item {self.ref} has at least one piece, not {self.pieces}")
        if self.outer_mm is not None and self.inner_mm is not None and self.inner_mm >= self.outer_mm:
            raise NotDrawable(f"item {self.ref}: the inner diameter is not inside the outer one")


@dataclass(frozen=True, slots=True)
class ShaftEnd:
    """The end of a shaft; positions are from its shoulder. Raises ValueError for a length that is none."""

    diameter_mm: float | None = None
    shoulder_to_lip_mm: float | None = None
    full_thread_start_mm: float | None = None
    shaft_end_mm: float | None = None

    def __post_init__(self) -> None:
        for name in ("diameter_mm", "shoulder_to_lip_mm", "full_thread_start_mm", "shaft_end_mm"):
            checked(name, getattr(self, name))


@dataclass(frozen=True, slots=True)
class PistonFace:
    """The diameters on one face of the piston. Raises ValueError for a length that is none."""

    ports_inner_mm: float | None = None
    ports_outer_mm: float | None = None
    land_outer_mm: float | None = None
    hub_mm: float | None = None

    def __post_init__(self) -> None:
        for name in ("ports_inner_mm", "ports_outer_mm", "land_outer_mm", "hub_mm"):
            checked(name, getattr(self, name))


@dataclass(frozen=True, slots=True)
class Assembly:
    """A valve on its shaft: `items` from the shoulder outward, the piston's face towards the shoulder and towards the
    nut. `whole` is False where a stack that belongs there is not told, so that nothing above it stands where it will.
    Raises ValueError without any item, or for a bore that is none."""

    items: tuple[Item, ...]
    shaft: ShaftEnd = field(default_factory=ShaftEnd)
    face_below: PistonFace = field(default_factory=PistonFace)
    face_above: PistonFace = field(default_factory=PistonFace)
    body_bore_mm: float | None = None
    whole: bool = True

    def __post_init__(self) -> None:
        checked("body_bore_mm", self.body_bore_mm)
        if not self.items:
            raise ValueError("a section has at least one item")

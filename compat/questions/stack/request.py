"""What is asked of a stack: its lines, and the valve that they stand on."""

from __future__ import annotations

from typing import ClassVar

from compat.asking.fields import length, measured, request, rows, text, within, word
from compat.asking.requests import refuse, untold
from compat.engineering.units import Range
from compat.engineering.valves import Kind, Valve
from compat.questions.told_lines import StackLine
from compat.questions.told_valves import VALVE_SIZES, BasePlates, PistonSide, Sides, Washer
from compat.texts.refusals import engine_errors
from inventory.dampers.checked import StacksIn
from inventory.dampers.words import SIDES, VALVES

STACKS = "The stacks, face shim first"
LINES = "One size a line, face shim first: diameter J x thickness L, bore K if it is not the shaft's: 34x0.15 x3."
OF_A_VALVE = ("shaft_mm", "body_bore_mm", "piston_height_mm", "overlap_mm", "base_plates", "washers", "sides")


@request
class Stacks:
    """The stacks of one valve by side, each face first. A side without shims is left out."""

    CHECKED_BY: ClassVar = StacksIn

    compression: tuple[StackLine, ...] | None = rows(
        StackLine, "Compression stack", apart=True, help=LINES, group=STACKS
    )
    rebound: tuple[StackLine, ...] | None = rows(StackLine, "Rebound stack", apart=True, help=LINES, group=STACKS)

    @property
    def told(self) -> dict[str, tuple[StackLine, ...]]:
        """{side: lines} of the sides that are told, of which one may have none."""
        both = {"compression": self.compression, "rebound": self.rebound}
        return {side: lines for side, lines in both.items() if lines is not None}


@request
class Stack:
    """Is this stack sound, on this valve?"""

    damper: str | None = text(most=40, null=False)
    valve: str = word(VALVES, "Valve", default="main", group=STACKS)
    stacks: Stacks = within(Stacks, needed=True)
    shaft_mm: Range | None = measured(
        "Shaft where the shims sit",
        least_um=1000,
        help="Diameter of shaft, bolt or sleeve.",
        letter="G",
        group=VALVE_SIZES,
    )
    body_bore_mm: Range | None = measured("Bore of the body", letter="H", group=VALVE_SIZES)
    piston_height_mm: Range | None = measured(
        "Height of the piston", help="Between its two seats for the stacks.", letter="D", group=VALVE_SIZES
    )
    overlap_mm: float | None = length(
        "Overlap required",
        least_um=0,
        help="Past the ports' edges, radial; the shop's own figure.",
        group=VALVE_SIZES,
    )
    base_plates: BasePlates | None = within(BasePlates, null=False)
    washers: tuple[Washer, ...] = rows(Washer, open=2, group="Washers and sleeves that count in the height")
    sides: Sides | None = within(Sides, null=False)

    def check(self) -> None:
        if self.damper is not None and any(getattr(self, name) not in (None, ()) for name in OF_A_VALVE):
            refuse("invalid", damper="give a damper or the fields of a valve, not both")

    def described(self) -> Valve:
        """The valve that the request itself describes. Raises DomainError `invalid` where it contradicts itself."""
        both = (
            untold(PistonSide) if self.valve == Kind.MAIN else None
        )  # a main valve has both, whatever is told of them
        told = {name: side for name in SIDES if (side := getattr(self.sides, name, None) or both) is not None}
        with engine_errors("valve"):
            return Valve(
                kind=Kind(self.valve),
                sides=tuple(side.side(name) for name, side in told.items()),
                piston_height_mm=self.piston_height_mm,
                base_plates={
                    name: plate.plate()
                    for name in SIDES
                    if (plate := getattr(self.base_plates, name, None)) is not None
                },
                spacings=tuple(one.spacing() for one in self.washers),
                body_bore_mm=self.body_bore_mm,
                shaft_mm=self.shaft_mm,
            )

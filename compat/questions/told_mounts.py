"""A stack and what holds it, as the questions about its curve take them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from compat.asking.fields import Nothing, measured, number, request, rows, text, within, word
from compat.asking.requests import refuse
from compat.dampers import engine_values, mounts
from compat.engineering.answers import Answer, Finding, ask
from compat.engineering.bending.mounting import RADII, Told
from compat.engineering.bending.mounting import spread_of as spread_told
from compat.engineering.bending.spread import Spread
from compat.engineering.groups import Ply
from compat.engineering.units import Range
from compat.questions.told_lines import StackLine, accept_stack, lots_of, plies_of
from compat.texts.refusals import engine_errors
from inventory.dampers.selectors import damper_called
from inventory.dampers.words import SIDES, VALVES

NO_BORE_UM = 1  # of a shim whose bore nothing tells, so that it stands in no clamp's way
CONTACT = "contact_model"
NEEDED = ("hub_radius_mm", "base_radius_mm", "pressure")


@request
class Pressure:
    """The ring that the oil presses on, and how much of it the ports leave open."""

    inner_radius_mm: Range = measured(least_um=1, most_um=100_000, needed=True)
    outer_radius_mm: Range = measured(least_um=1, most_um=100_000, needed=True)
    open_fraction: float | None = number(least=0.01, most=1)

    def check(self) -> None:
        if self.inner_radius_mm.low >= self.outer_radius_mm.high:
            refuse("invalid", outer_radius_mm="must be larger than the inner radius")


@request
class Preload:
    """A seat land that stands proud of the clamped face and meets the face shim."""

    radius_mm: Range = measured(least_um=1, most_um=100_000, needed=True)
    height_mm: Range = measured(least_um=0, most_um=5_000, needed=True)


@request
class StackOfLines:
    """A stack, face shim first."""

    stack: tuple[StackLine, ...] = rows(StackLine, needed=True, accepts=accept_stack)


@dataclass(frozen=True, slots=True)
class Held:
    """A mount, the open part of its ring, and what was measured on it; without a mount what is to be measured.
    bore_um: that of shims which tell none, where the valve's shaft is known."""

    spread: Spread | None
    open_fraction: float | None = None
    findings: Sequence[Finding] = ()
    bore_um: int | None = None

    def open(self, question: str) -> Answer:
        """The answer where something must be measured before anything can be computed."""
        return Answer(question, tuple(self.findings), {}, (CONTACT,), ("makers_instructions",))


@request
class MountedStack(StackOfLines):
    """A stack and what holds it: the mount from a damper on file, or told here; what is told here counts."""

    damper: str | None = text(most=40, null=False)
    valve: str = word(VALVES, default="main")
    side: str | None = word(SIDES, null=False)
    hub_radius_mm: Range | None = measured(least_um=1, most_um=100_000, null=False)
    base_radius_mm: Range | None = measured(least_um=1, most_um=100_000, null=False)
    pressure: Pressure | None = within(Pressure, null=False)
    preload: Preload | Nothing | None = within(Preload, none=True)
    poisson: float | None = number(least=0, most=0.49, null=False)

    def check(self) -> None:
        if self.damper is not None and self.side is None:
            refuse("required", side="is required with a damper")
        missing = [name for name in NEEDED if getattr(self, name) is None]
        if self.damper is None and missing:
            refuse("required", **dict.fromkeys(missing, "is required without a damper"))

    def held(self, told: Told, *, calibrated: bool) -> Held:
        """The mount of a damper on file with what is told in its place, and the open part of its ring. `calibrated`:
        with what was measured on its pistons.

        Raises DomainError `invalid` for what cannot be computed, `not_found` for an unknown damper.
        """
        open_fraction = None if self.pressure is None else self.pressure.open_fraction
        if self.damper is None:
            unknown = [] if told.seated else [ask("curve_seat_not_told", CONTACT)]
            return Held(spread_told(told), open_fraction, unknown)
        assert self.side is not None
        damper = damper_called(self.damper)
        valve = engine_values.valve_from(engine_values.valve_called(damper.document, self.valve)).valve
        fits = mounts.fits_of(damper.code).get(self.valve, ()) if calibrated and not told.anything else ()
        bore = engine_values.usual_bore_um(valve.shaft_mm)
        with engine_errors("side"):
            spread, findings = mounts.spread_of(valve, self.side, fits, told)
        if spread is None:
            return Held(None, None, findings, bore)
        # a fraction belongs to its ring: the file's says nothing of a ring that is told
        if self.pressure is None:
            open_fraction = next(side.open_fraction for side in valve.sides if side.name == self.side)
        return Held(spread, open_fraction, findings, bore)

    def told(self, *, youngs_gpa: float | None = None, edge_slip: float | None = None) -> Told:
        """What the request tells of the mount, and of its steel."""
        pressure, seat = self.pressure, self.preload
        known = (
            *(self.hub_radius_mm, self.base_radius_mm),
            *((pressure.inner_radius_mm, pressure.outer_radius_mm) if pressure else (None, None)),
        )
        steel = {"poisson": self.poisson, "edge_slip": edge_slip}
        steel |= {"youngs_mpa": None if youngs_gpa is None else youngs_gpa * 1000}
        return Told(
            {name: size for name, size in zip(RADII, known, strict=True) if size is not None},
            {name: Range.exact(value) for name, value in steel.items() if value is not None},
            (seat.radius_mm, seat.height_mm) if isinstance(seat, Preload) else None,
            seated=seat is not None,
        )

    def plies(self, held: Held) -> list[Ply]:
        """The shims; a line that tells no bore takes its lot's, else the usual one of its valve's shaft. Raises
        DomainError `invalid`."""
        lots = lots_of(self.stack)
        usual = held.bore_um or NO_BORE_UM
        lines = []
        for index, one in enumerate(self.stack):
            size, _ = lots.get(one.lot or "", (None, None))
            lines.append(one.line(usual if size is None else size.bore_um, f"stack.{index}"))
        return plies_of(self.stack, lines, "stack", lots)

    def bores(self, held: Held) -> list[Finding]:
        """Bores that nothing tells: whether the clamp reaches beyond them is not known."""
        unknown = [n for n, one in enumerate(self.stack, start=1) if one.bore_mm is None and one.lot is None]
        return [ask("curve_bore_unknown", CONTACT, line=unknown[0])] if unknown and held.bore_um is None else []


def names_lots(asked: StackOfLines) -> str:
    """Where lots are named."""
    return "stack" if any(line.lot for line in asked.stack) else ""

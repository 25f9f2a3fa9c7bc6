"""Lines of a stack as several questions take them: some shims of one size, the face shim first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import ClassVar

from compat.asking.fields import length, quantity, refuse_value, request, text, word
from compat.engineering.groups import Ply
from compat.engineering.shims import Form, Line, Size
from compat.engineering.units import Range
from compat.shelf import shim_rows
from inventory.common.errors import invalid
from inventory.dampers.checked import LineIn
from inventory.dampers.words import MOST_LINES, MOST_PIECES

Lots = Mapping[str, tuple[Size, Range]]


@request
class StackLine:
    """Some shims of one size, perhaps of a lot whose readings then count."""

    CHECKED_BY: ClassVar = LineIn

    od_mm: float = length(needed=True, letter="J")
    thickness_mm: float = length(needed=True, letter="L")
    quantity: int = quantity(most=MOST_PIECES, needed=True)
    bore_mm: float | None = length(letter="K")
    form: str = word([str(one) for one in Form], default="round")
    lot: str | None = text()

    def line(self, bore_um: int, path: str) -> Line:
        """For the engine, with that bore where none is told. Raises DomainError `invalid` where it is no ring."""
        bore = bore_um if self.bore_mm is None else _um(self.bore_mm)
        if bore >= _um(self.od_mm):
            raise invalid(f"{path}.od_mm", f"must be larger than the bore, {bore / 1000:g} mm")
        return Line(Size(_um(self.od_mm), _um(self.thickness_mm), bore, Form(self.form)), self.quantity)


def accept_stack(lines: Sequence[StackLine]) -> None:
    """Refuses a stack of no line, of too many lines or of too many shims."""
    if not 1 <= len(lines) <= MOST_LINES:
        refuse_value("lines", f"has 1 to {MOST_LINES} lines, face first")
    if sum(line.quantity for line in lines) > MOST_PIECES:
        refuse_value("too_many", f"may have at most {MOST_PIECES} shims")


def lots_of(lines: Sequence[StackLine]) -> Lots:
    """The lots that lines name; two queries, none where no line does."""
    named = {line.lot for line in lines if line.lot}
    return shim_rows.thickness_of_lots(named) if named else {}


def plies_of(told: Sequence[StackLine], lines: Sequence[Line], path: str, lots: Lots) -> list[Ply]:
    """Lines with the readings of their lots, or else with the strip's tolerance. Raises DomainError `invalid`."""
    return shim_rows.with_lots(lines, [one.lot for one in told], path, lots)


def _um(mm: float) -> int:
    return round(mm * 1000)

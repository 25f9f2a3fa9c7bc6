"""An O-ring as several questions take it: by its size, or as read."""

from __future__ import annotations

from compat.asking.fields import measured, request, text
from compat.asking.requests import refuse
from compat.engineering.seals.ring import Ring
from compat.engineering.seals.sizes import ring_called
from compat.engineering.units import Range
from compat.texts.refusals import engine_errors

SIZE = "Its three digits of AS568, as in 222."
AS_READ = "In place of the size, or for a metric ring."
ENERGISER = "The energiser, the O-ring under the band"


@request
class FreeRing:
    """An O-ring by its size of AS568, or by inner diameter and section as read."""

    size: str | None = text("Size", most=20, help=SIZE)
    id_mm: Range | None = measured("or inner diameter", least_um=1, help=AS_READ)
    section_mm: Range | None = measured("and section", least_um=1, most_um=50_000, help="With it, at three places.")

    def check(self) -> None:
        if self.size and (self.id_mm or self.section_mm):
            refuse("two", size="give this, or the inner diameter and the section as read")

    def ring(self, field: str) -> Ring | None:
        """The ring; None where not all of it is told. Raises DomainError `invalid` for a size that nobody knows."""
        if self.size:
            with engine_errors(f"{field}.size"):
                return ring_called(self.size)
        if self.id_mm is None or self.section_mm is None:
            return None
        return Ring(self.id_mm, self.section_mm)


def ring_of(told: FreeRing | None, field: str) -> Ring | None:
    """The same of a ring that may not be told at all."""
    return None if told is None else told.ring(field)
